"""What the makers of items work on: the facts of a package, and what may be said of them under the open world."""

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from random import Random
from typing import Any

from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.study.items.item import Claim, Item, Option, item_id
from materia_data.teach.words import subject_name

OPTIONS = 4


@dataclass(eq=False)
class Bench:
    """The facts, the subjects that items may be about, and a source of chance; kept: what makers worked out once."""

    materia: Materia
    subjects: tuple[str, ...]
    chance: Random
    kept: dict[str, Any] = field(default_factory=dict, repr=False)
    _closed: dict[tuple[str, str], frozenset[str] | None] = field(default_factory=dict, repr=False)

    @property
    def facts(self) -> Facts:
        return self.materia.facts

    def name(self, subject: str) -> str:
        """`半夏 bàn xià`."""
        return subject_name(self.facts, subject)

    def label(self, predicate: str, value: str) -> str:
        """The English word of a term."""
        return self.facts.vocabularies[self.facts.predicates[predicate].values.name].label(value)

    def closed(self, subject: str, predicate: str) -> frozenset[str] | None:
        """All values, where what is not among them is a stated no; None where the list is open, empty or disputed, or
        where the bare name means a form that differs."""
        if (subject, predicate) not in self._closed:
            self._closed[subject, predicate] = self._find_closed(subject, predicate)
        return self._closed[subject, predicate]

    def _find_closed(self, subject: str, predicate: str) -> frozenset[str] | None:
        facts = self.facts
        if facts.number[subject] not in facts.closed[predicate]:
            return None
        values = frozenset(facts.values(subject, predicate))
        form = facts.default_form(subject)
        if not values or (form != subject and self.closed(form, predicate) != values):
            return None
        return values

    def apart(self, predicate: str, value: str, held: Collection[str]) -> bool:
        """Whether no held value is the same, broader or narrower, or of the same rank."""
        terms = self.facts.vocabularies[self.facts.predicates[predicate].values.name]
        near = terms.up(value) | terms.down(value)
        rank = terms.rank(value)
        return all(one not in near and (rank is None or terms.rank(one) != rank) for one in held)

    @property
    def mates(self) -> dict[str, tuple[str, ...]]:
        """The herbs of each category."""
        if "mates" not in self.kept:
            found: dict[str, list[str]] = {}
            for subject in self.facts.subjects:
                if self.facts.kind(subject) == "herbs":
                    found.setdefault(self.category(subject), []).append(subject)
            self.kept["mates"] = {category: tuple(members) for category, members in found.items()}
        mates: dict[str, tuple[str, ...]] = self.kept["mates"]
        return mates

    def category(self, subject: str) -> str:
        """The category a subject is taught in, of a form its herb's; a formula's own."""
        return next(iter(self.facts.values(self.facts.herb_of(subject), "category")), "")

    def share(self, subject: str, predicate: str, value: str) -> float:
        """How many of the category have the value, 0 to 1."""
        counts, members = self._counts(self.category(subject), predicate)
        return counts[value] / members if members else 0.0

    def _counts(self, category: str, predicate: str) -> tuple[Counter[str], int]:
        known: dict[tuple[str, str], tuple[Counter[str], int]] = self.kept.setdefault("counts", {})
        if (category, predicate) not in known:
            members = self.mates.get(category, ())
            tally = Counter(value for one in members for value in self.facts.values(one, predicate))
            known[category, predicate] = (tally, len(members))
        return known[category, predicate]

    def alike(self, one: str, other: str) -> float:
        """How much two subjects share of nature, flavors and channels, 0 to 1."""
        mine, theirs = self._properties(one), self._properties(other)
        return len(mine & theirs) / len(mine | theirs) if mine | theirs else 0.0

    def _properties(self, subject: str) -> frozenset[tuple[str, str]]:
        known: dict[str, frozenset[tuple[str, str]]] = self.kept.setdefault("properties", {})
        if subject not in known:
            known[subject] = frozenset(
                (predicate, value)
                for predicate in ("nature", "flavor", "channel")
                for value in self.facts.values(subject, predicate)
            )
        return known[subject]

    def nearest(self, subject: str, others: Sequence[str], count: int) -> list[str]:
        """Some of the others, the more alike the likelier."""
        drawn = sorted(others, key=lambda one: (-self.alike(subject, one) - self.chance.random() * 0.6, one))
        return drawn[:count]

    def place(self, fact: Fact) -> str:
        """Where a fact is written: file, record, column; of a layer's the file that it is laid over."""
        table = self.facts.package.tables[fact.table]
        return f"{table.file} {table.key(table.row_at(fact.file, fact.line))} {fact.column}"

    def places(self, subject: str, predicate: str, value: str = "") -> list[str]:
        """Where the facts of a predicate are written, or those with one value."""
        return [self.place(fact) for fact in self.facts.of(subject, predicate) if value in ("", fact.value)]

    def item(
        self,
        kind: str,
        stem: str,
        right: Option,
        wrong: Iterable[Option],
        about: Sequence[str],
        facts: Iterable[str],
        difficulty: float,
        *,
        safety: bool = False,
    ) -> Item | None:
        """The item, its options in a drawn order; None if there are too few, or two say the same."""
        options = [right, *list(wrong)[: OPTIONS - 1]]
        if len(options) < OPTIONS or len({option.text for option in options}) < len(options):
            return None
        resting = tuple(sorted(set(facts)))
        id = item_id(kind, stem, options, resting)
        self.chance.shuffle(options)
        hard = round(min(1.0, max(0.0, difficulty)), 2)
        return Item(id, kind, stem, tuple(options), tuple(about), resting, self.category(about[0]), hard, safety)


def claim_of(subject: str, predicate: str, value: str, holds: bool = True) -> Claim:
    """The claim that a subject has a value."""
    return Claim(subject, predicate, value, holds)
