"""What one kind of fact says to one atom. Three points that the paper leaves open are read on the safe side:

- A closed list that holds a broader value than the one asked (a formula with bare aconite, asked for its raw form), or
the value without
  the qualifier asked about, neither has nor lacks it: unstated.
- A ranked value outside an atom makes it stated-false only if its qualifiers say all that is asked and no more: a mild
caution for one
  drug says nothing about drugs. Of numbers every fact must lie inside, so one outside makes the atom stated-false.
- An empty target covers an asked one only if the asked target belongs to the fact's topic.
"""

from collections.abc import Callable
from decimal import Decimal
from enum import Flag, auto
from typing import TYPE_CHECKING

from materia_data.facts.amount import number
from materia_data.facts.entries import Kind
from materia_data.facts.implied import qualifier_values
from materia_data.facts.pattern import Atom, Qualifier
from materia_data.facts.predicates import Predicate
from materia_data.facts.vocabulary import Vocabulary

if TYPE_CHECKING:
    from materia_data.facts.facts import Facts


class Says(Flag):
    """What a kind of fact does to an atom for any subject that has it.

    SUPPORTS: makes it true; DENIES: makes it stated-false where nothing makes it true; SPOILS: keeps it from being
    true; LEAVES_OPEN: a closed list with it may have what is asked.
    """

    NOTHING = 0
    SUPPORTS = auto()
    DENIES = auto()
    SPOILS = auto()
    LEAVES_OPEN = auto()


def judge(atom: Atom, facts: "Facts") -> Callable[[Kind], Says]:
    """From a kind of the atom's predicate to what it says. For `=`: that its value is in the set, or spoils it."""
    predicate = facts.predicates[atom.predicate]
    terms = None if predicate.values.kind == "number" else facts.vocabularies[predicate.values.name]
    return _Judge(atom, predicate, terms, facts).says


def values_that_matter(atom: Atom, facts: "Facts") -> frozenset[str] | None:
    """The values of which a fact may say something to the atom; None where any may."""
    predicate = facts.predicates[atom.predicate]
    if atom.test != ":" or predicate.compare or predicate.values.kind == "number":
        return None
    terms = facts.vocabularies[predicate.values.name]
    return terms.down(atom.values[0]) | terms.up(atom.values[0])


class _Judge:
    def __init__(self, atom: Atom, predicate: Predicate, terms: Vocabulary | None, facts: "Facts") -> None:
        self._atom, self._predicate, self._terms = atom, predicate, terms
        self._vocabularies = facts.vocabularies
        self._about = atom.values[0] if atom.test == ":" else ""
        self._low, self._high = self._ends()
        self._taken_in = self._values_taken_in()
        self._asked = [(asked, self._qualifier_values(asked)) for asked in atom.qualifiers]

    def says(self, kind: Kind) -> Says:
        if not kind.stated:
            return Says.DENIES if self._covered_by(kind) else Says.NOTHING
        meets = all(self._meets(kind, asked, values) for asked, values in self._asked)
        inside = self._inside(kind.value)
        if self._predicate.compare == "number" and self._atom.test != "any":
            return self._number_says(kind, inside) if meets else Says.NOTHING
        if self._atom.test == "=":
            return self._set_says(kind, meets, inside)
        if meets and inside:
            return Says.SUPPORTS
        says = Says.DENIES if self._ranked_outside(kind) else Says.NOTHING
        return says | Says.LEAVES_OPEN if self._could_be(kind) else says

    def _number_says(self, kind: Kind, inside: bool) -> Says:
        if inside:
            return Says.SUPPORTS if kind.firm or self._atom.test != "=" else Says.SPOILS
        return Says.SPOILS | Says.DENIES if kind.firm and number(kind.value) is not None else Says.SPOILS

    def _set_says(self, kind: Kind, meets: bool, inside: bool) -> Says:
        if not meets:
            could = all(self._could_meet(kind, asked, values) for asked, values in self._asked)
            return Says.LEAVES_OPEN if could else Says.NOTHING
        if inside:
            return Says.SUPPORTS if kind.firm else Says.SPOILS
        return Says.SPOILS | Says.DENIES if self._ranked_outside(kind) else Says.SPOILS

    def _ends(self) -> tuple[Decimal | float | None, Decimal | float | None]:
        low, high = (self._atom.low, self._atom.high) if self._atom.test == ".." else ("", "")
        return self._rank(low) if low else None, self._rank(high) if high else None

    def _rank(self, value: str) -> Decimal | float | None:
        return number(value) if self._terms is None else self._terms.rank(value)

    def _values_taken_in(self) -> frozenset[str]:
        if self._atom.test != ":" or self._terms is None or self._about in self._predicate.values.unranked:
            return frozenset(self._atom.values)
        found = self._terms.down(self._about) - set(self._predicate.values.unranked)
        return found | self._terms.up(self._about) if self._predicate.name in self._predicate.both_ways else found

    def _inside(self, value: str) -> bool:
        if self._atom.test == "any":
            return value not in self._predicate.values.unranked
        if self._atom.test != "..":
            return value in self._taken_in
        rank = self._rank(value)
        if rank is None or value in self._predicate.values.unranked:
            return False
        return (self._low is None or rank >= self._low) and (self._high is None or rank <= self._high)

    def _qualifier_values(self, asked: Qualifier) -> frozenset[str]:
        if asked.operator == "=":
            return frozenset((asked.value,))
        vocabulary = self._vocabularies[self._predicate.asked[asked.key].name]
        found = vocabulary.down(asked.value)
        return found | vocabulary.up(asked.value) if asked.key in self._predicate.both_ways else found

    def _held(self, kind: Kind, key: str) -> set[str]:
        if self._terms is None:
            return {value for held, value in kind.qualifiers if held == key}
        return qualifier_values(self._predicate, kind, key, self._about, self._terms)

    def _meets(self, kind: Kind, asked: Qualifier, values: frozenset[str]) -> bool:
        held = self._held(kind, asked.key)
        return not values.isdisjoint(held) or (not held and asked.operator == ":" and self._empty_covers(kind, asked))

    def _empty_covers(self, kind: Kind, asked: Qualifier) -> bool:
        over = self._predicate.empty_covers.get(asked.key)
        if over is None:
            return False
        belongs = self._vocabularies[self._predicate.asked[asked.key].name].cell(asked.value, over)
        broader = self._vocabularies[self._predicate.asked[over].name].up(belongs)
        return not belongs or not broader.isdisjoint(self._held(kind, over))

    def _could_meet(self, kind: Kind, asked: Qualifier, values: frozenset[str]) -> bool:
        held = self._held(kind, asked.key)
        broader = self._vocabularies[self._predicate.asked[asked.key].name].up(asked.value)
        return not held or not held.isdisjoint(values | broader)

    def _could_be(self, kind: Kind) -> bool:
        if self._predicate.closed == "never" or self._terms is None:
            return False
        near = self._atom.test == "any" or any(
            kind.value in self._terms.up(value) or kind.value in self._taken_in for value in self._atom.values
        )
        return near and all(self._could_meet(kind, asked, values) for asked, values in self._asked)

    def _ranked_outside(self, kind: Kind) -> bool:
        if (
            not self._predicate.compare
            or not kind.firm
            or self._rank(kind.value) is None
            or self._atom.test == "any"
            or self._inside(kind.value)
        ):
            return False
        asked = {qualifier.key for qualifier in self._atom.qualifiers}
        asked |= {over for key, over in self._predicate.empty_covers.items() if key in asked}
        return all(key in asked for key, _ in kind.qualifiers) and all(
            self._says_all(kind, each, values) for each, values in self._asked
        )

    def _says_all(self, kind: Kind, asked: Qualifier, values: frozenset[str]) -> bool:
        """Whether the fact meets the qualifier and holds for all that is asked, not for a narrower part of it."""
        held = self._held(kind, asked.key) & values
        if not held:
            return self._meets(kind, asked, values)
        return not held.isdisjoint(self._vocabularies[self._predicate.asked[asked.key].name].up(asked.value))

    def _covered_by(self, negative: Kind) -> bool:
        """Whether a stated negative denies what is asked: it is as narrow, and so is each of its qualifiers."""
        if self._atom.test != ":" or self._terms is None or negative.value not in self._terms.up(self._about):
            return False
        for key, value in negative.qualifiers:
            narrower = self._vocabularies[self._predicate.asked[key].name].down(value)
            asked = {each.value for each in self._atom.qualifiers if each.key == key}
            if key in self._predicate.implied:
                asked.update(filter(None, self._terms.cell(self._about, self._predicate.implied[key]).split(";")))
            if narrower.isdisjoint(asked):
                return False
        return True
