"""Rules with their measures, the reasons they give, and the lessons: worked out once for all pages, and kept."""

from dataclasses import dataclass
from functools import cached_property

from materia_data import Measure, Property, Rule, explain_all
from materia_exporters.site.book import Book, Row, slug
from materia_exporters.site.keys import Keys, digest
from materia_exporters.site.store import Store


@dataclass(frozen=True, slots=True)
class Taught:
    """What the facts alone decide, and no prose: rules with measures, and for each herb its properties with reasons."""

    rules: dict[str, tuple[Rule, Measure]]
    herbs: dict[str, tuple[Property, ...]]
    counts: dict[str, int]


class Reasons:
    """The rules of a package, how far each holds, and why each medicinal is what it is."""

    def __init__(self, book: Book, keys: Keys | None = None, store: Store | None = None) -> None:
        self._book = book
        self._keys = keys
        self._store = store

    @cached_property
    def _taught(self) -> Taught:
        kept = self._store.thing("taught", self._keys.taught) if self._store and self._keys else None
        if isinstance(kept, Taught):
            return kept
        book = self._book
        told = explain_all(book.materia)
        made = Taught(
            {rule.id: (rule, measure) for rule, measure in book.materia.measured},
            {one.id: one.properties for one in told.subjects if book.facts.kind(one.id) == "herbs"},
            {key: getattr(told, key) for key in ("properties", "explained", "excepted", "together", "unexplained")},
        )
        if self._store and self._keys:
            self._store.keep_thing("taught", self._keys.taught, made)
        return made

    @property
    def rules(self) -> dict[str, tuple[Rule, Measure]]:
        """Every rule with its measure, by id, as the files have them."""
        return self._taught.rules

    @property
    def herbs(self) -> dict[str, tuple[Property, ...]]:
        """For each herb its nature, flavours and channels, and why."""
        return self._taught.herbs

    @property
    def counts(self) -> dict[str, int]:
        """How many values of herbs and forms there are, and how many have a reason."""
        return self._taught.counts

    def key(self, herb: str) -> bytes:
        """A digest of why a herb is what it is, with the measures that its page shows."""
        shown = [
            (one.predicate, one.value, one.label, one.verdict, one.exception, reason, *self._measured(reason.rule))
            for one in self.herbs.get(herb, ())
            for reason in one.reasons
        ]
        silent = [(one.predicate, one.value, one.verdict, one.exception) for one in self.herbs.get(herb, ())]
        return digest(repr(shown), repr(silent))

    def _measured(self, rule: str) -> tuple[object, ...]:
        measure = self.rules[rule][1]
        counts = (measure.holds, measure.contradicted, measure.applies)
        return (measure.sentence, measure.base_sentence, self.href(rule), *map(len, counts))

    def href(self, rule: str) -> str:
        """Where a rule stands, from the site's root: a place on the page of its theme."""
        return f"{theme_path(self.rules[rule][0])}#{rule}"

    def exceptions(self, rule: str) -> list[Row]:
        return self._book.rows("exceptions", "rule", rule)


def theme_path(rule: Rule) -> str:
    """The page of the rule's theme, as the rule files have them."""
    return f"rules/{slug(rule.file.rpartition('/')[2].removesuffix('.toml'))}.html"
