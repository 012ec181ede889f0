"""Rules with their measures, and the reasons they give: worked out once for all pages."""

from functools import cached_property

from materia_data import Explanation, Measure, Property, Rule, explain_all
from materia_exporters.site.book import Book, Row, slug


class Reasons:
    """The rules of a package, how far each holds, and why each medicinal and form is what it is."""

    def __init__(self, book: Book) -> None:
        self._book = book

    @cached_property
    def rules(self) -> dict[str, tuple[Rule, Measure]]:
        """Every rule with its measure, by id, as the files have them."""
        return {rule.id: (rule, measure) for rule, measure in self._book.materia.measured}

    @cached_property
    def _told(self) -> Explanation:
        return explain_all(self._book.materia)

    @cached_property
    def herbs(self) -> dict[str, tuple[Property, ...]]:
        """For each herb its nature, flavours and channels, and why."""
        return {one.id: one.properties for one in self._told.subjects if self._book.facts.kind(one.id) == "herbs"}

    @property
    def counts(self) -> dict[str, int]:
        """How many values of herbs and forms there are, and how many have a reason."""
        return {
            key: getattr(self._told, key) for key in ("properties", "explained", "excepted", "together", "unexplained")
        }

    def href(self, rule: str) -> str:
        """Where a rule stands, from the site's root: a place on the page of its theme."""
        return f"{theme_path(self.rules[rule][0])}#{rule}"

    def exceptions(self, rule: str) -> list[Row]:
        return self._book.rows("exceptions", "rule", rule)


def theme_path(rule: Rule) -> str:
    """The page of the rule's theme, as the rule files have them."""
    return f"rules/{slug(rule.file.rpartition('/')[2].removesuffix('.toml'))}.html"
