"""The facts of a package: which subjects there are, and what is stated of each."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from materia_data.facts.cited import Cited
from materia_data.facts.entries import Entries, Kind, kind_number
from materia_data.facts.fact import Fact
from materia_data.facts.implied import qualifier_values
from materia_data.facts.predicates import Predicate
from materia_data.facts.vocabulary import Vocabulary
from materia_data.suggest import did_you_mean

if TYPE_CHECKING:
    from materia_data.facts.match import Truth
    from materia_data.facts.pattern import Atom
    from materia_data.read.package import Package

Numbered = dict[int, list[int]]


@dataclass(eq=False)
class Facts:
    """Effective facts, and what each subject's own rows state. `build_facts` makes them.

    subjects: herbs, forms, formulas in table order; number: a subject's place among them; predicates, vocabularies: by
    name; entries, effective_entries, own_entries (by predicate, then subject number) and closed (subjects whose lack is
    a stated no) are the packed form that matching reads; herbs: a form's herb by subject number; truths, judges: what
    matching has found of an atom.
    """

    package: "Package"
    predicates: Mapping[str, Predicate]
    vocabularies: Mapping[str, Vocabulary]
    subjects: tuple[str, ...]
    number: dict[str, int]
    entries: Entries
    cited: Cited
    herbs: dict[int, int]
    own_entries: dict[str, Numbered]
    effective_entries: dict[str, Numbered]
    closed: dict[str, set[int]]
    looser_entries: list[tuple[int, int]]
    truths: "dict[Atom, Truth]" = field(default_factory=dict, repr=False)
    judges: "dict[Atom, tuple[frozenset[int], frozenset[int]]]" = field(default_factory=dict, repr=False)
    _by_kind: dict[str, dict[int, list[int]]] = field(default_factory=dict, repr=False)
    _kinds_by_value: dict[str, dict[str, list[int]]] = field(default_factory=dict, repr=False)
    _kinds_by_held: dict[tuple[str, str], dict[str, list[int]]] = field(default_factory=dict, repr=False)

    def kind(self, subject: str) -> str:
        """`herbs`, `forms` or `formulas`. KeyError: no such subject."""
        found = self.package.subject_table(subject)
        if found is None:
            raise KeyError(subject)
        return found

    def herb_of(self, subject: str) -> str:
        """The herb that a form is a form of; any other subject itself."""
        herb = self.herbs.get(self.number[subject])
        return subject if herb is None else self.subjects[herb]

    def default_form(self, subject: str) -> str:
        """The form that the bare name means; the subject itself where none is recorded."""
        for entry in self.effective_entries["default-form"].get(self.number[subject], ()):
            form = self.entries.kind(entry).value
            if form in self.number:
                return form
        return subject

    def of(self, subject: str, predicate: str | None = None) -> list[Fact]:
        """What holds of the subject, by predicate in their declared order, each in row order, inherited facts first.

        Raises KeyError naming the nearest subjects or predicates.
        """
        return self._made(subject, predicate, self.effective_entries)

    def values(self, subject: str, predicate: str) -> list[str]:
        """The values that hold of the subject, stated negatives left out: `of` without the facts around them."""
        kinds = map(self.entries.kind, self.effective_entries[predicate].get(self.number[subject], ()))
        return [kind.value for kind in kinds if kind.stated]

    def own(self, subject: str, predicate: str | None = None) -> list[Fact]:
        """What the subject's own rows state, a looser value that no source confirms among it (`confirmed` false)."""
        return self._made(subject, predicate, self.own_entries)

    @property
    def looser(self) -> list[Fact]:
        """Values of forms looser than their herb's that no source confirms: they don't hold, the herb's do."""
        return [self.fact(self.subjects[number], entry) for number, entry in self.looser_entries]

    def by_kind(self, predicate: str) -> dict[int, list[int]]:
        """Subject numbers by each kind (its number) that some subject has of the predicate. Made once, then kept."""
        if predicate not in self._by_kind:
            found: dict[int, list[int]] = {}
            for number, entries in self.effective_entries[predicate].items():
                for entry in entries:
                    found.setdefault(kind_number(entry), []).append(number)
            self._by_kind[predicate] = found
        return self._by_kind[predicate]

    def kinds_by_value(self, predicate: str) -> dict[str, list[int]]:
        """The kinds (their numbers) that some subject has of the predicate, by value. Made once, then kept."""
        if predicate not in self._kinds_by_value:
            found: dict[str, list[int]] = {}
            for number in self.by_kind(predicate):
                found.setdefault(self.entries.kinds[number].value, []).append(number)
            self._kinds_by_value[predicate] = found
        return self._kinds_by_value[predicate]

    def kinds_by_held(self, predicate: str, key: str) -> dict[str, list[int]]:
        """The kinds (their numbers) that some subject has of the predicate, by the values of a qualifier that they
        state or that their own value implies; those with none under "". Made once, then kept."""
        if (predicate, key) not in self._kinds_by_held:
            declared = self.predicates[predicate]
            terms = self.vocabularies.get(declared.values.name)
            found: dict[str, list[int]] = {}
            for number in self.by_kind(predicate):
                for value in qualifier_values(declared, self.entries.kinds[number], key, "", terms) or ("",):
                    found.setdefault(value, []).append(number)
            self._kinds_by_held[predicate, key] = found
        return self._kinds_by_held[predicate, key]

    def fact(self, subject: str, entry: int) -> Fact:
        """The entry as a fact of the subject."""
        kind: Kind = self.entries.kind(entry)
        table, row, column = self.entries.place(entry)
        word = self.cited.word(table, row, column, kind.value)
        file, line = table.place(row, column)
        owner = self._owner(subject, entry)
        confirmed = (self.number[subject], entry) not in self._looser_set()
        return Fact(
            subject, kind.predicate, kind.value, kind.qualifiers, kind.stated,
            table.schema.name, file, line, column,
            word.source, word.locator, word.basis, owner, confirmed,
        )  # fmt: skip

    def _made(self, subject: str, predicate: str | None, entries: Mapping[str, Numbered]) -> list[Fact]:
        if subject not in self.number:
            raise KeyError(f"There is no herb, form or formula {subject}. {did_you_mean(subject, self.number)}".strip())
        if predicate is not None and predicate not in self.predicates:
            raise KeyError(f"There is no predicate {predicate}. {did_you_mean(predicate, self.predicates)}".strip())
        number = self.number[subject]
        names = self.predicates if predicate is None else (predicate,)
        return [self.fact(subject, entry) for name in names for entry in entries[name].get(number, ())]

    def _owner(self, subject: str, entry: int) -> str:
        number = self.number[subject]
        herb = self.herbs.get(number)
        if herb is None:
            return ""
        origin = self.entries.origin(entry)
        own = self.own_entries[self.entries.kind(entry).predicate].get(number, ())
        return "" if any(self.entries.origin(mine) == origin for mine in own) else self.subjects[herb]

    def _looser_set(self) -> set[tuple[int, int]]:
        if self._looser is None:
            self._looser = set(self.looser_entries)
        return self._looser

    _looser: set[tuple[int, int]] | None = field(default=None, repr=False)
