"""Every fact by which subjects can be told apart, and of whom it is true: what a contrast needs, beside the package."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from materia_data.facts.facts import Facts
from materia_data.facts.match import match
from materia_data.facts.pattern import Atom
from materia_data.materia import Materia
from materia_data.teach.contrast import SAFETY, TAUGHT, asked_of, said_of, says_more


@dataclass(frozen=True, slots=True)
class Askable:
    """One fact. qualifiers: how many; true, false: subjects by their number (`Facts.number`), in neither: not stated;
    under: places of the facts that leave nothing to be said by this one where they are true too."""

    pattern: str
    label: str
    predicate: str
    value: str
    qualifiers: tuple[tuple[str, str], ...]
    true: frozenset[int]
    false: frozenset[int]
    under: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """facts: by predicate as they are taught, then by pattern; own: for each subject asked about, the places of the
    facts that it brings into a contrast, in the order of `contrast`; predicates: in that order, and which are of
    safety."""

    facts: tuple[Askable, ...]
    own: tuple[tuple[int, ...], ...]
    predicates: tuple[tuple[str, bool], ...]


def askable(materia: Materia, subjects: Iterable[str]) -> Asked:
    """What `contrast` may ask of any of the subjects: with it a contrast needs no package. KeyError: no such one."""
    facts = materia.facts
    mine = [asked_of(facts, [facts.number[subject]]) for subject in subjects]
    turn = {predicate: place for place, predicate in enumerate(TAUGHT)}
    atoms = sorted(dict.fromkeys(atom for own in mine for atom in own), key=lambda a: (turn[a.predicate], str(a)))
    places = {atom: place for place, atom in enumerate(atoms)}
    near = _near(facts, atoms)
    return Asked(
        tuple(
            _one(facts, atom, (places[other] for other in near(atom) if says_more(facts, other, atom)))
            for atom in atoms
        ),
        tuple(tuple(places[atom] for atom in own) for own in mine),
        tuple((predicate, predicate in SAFETY) for predicate in TAUGHT),
    )


def _one(facts: Facts, atom: Atom, under: Iterable[int]) -> Askable:
    truth = match(atom, facts)
    return Askable(
        str(atom),
        said_of(facts, atom),
        atom.predicate,
        atom.low if atom.test == ".." else atom.values[0],
        tuple((one.key, one.value) for one in atom.qualifiers),
        frozenset(truth.true),
        frozenset(truth.false),
        tuple(under),
    )


def _near(facts: Facts, atoms: Iterable[Atom]) -> Callable[[Atom], list[Atom]]:
    """For a fact those of its predicate that may say more: the value under qualifiers, a narrower or stricter one."""
    by_value: dict[tuple[str, str], list[Atom]] = {}
    ranges: dict[str, list[Atom]] = {}
    for atom in atoms:
        if atom.test == "..":
            ranges.setdefault(atom.predicate, []).append(atom)
        else:
            by_value.setdefault((atom.predicate, atom.values[0]), []).append(atom)

    def near(atom: Atom) -> list[Atom]:
        if atom.test == "..":
            return ranges[atom.predicate]
        terms = facts.vocabularies.get(facts.predicates[atom.predicate].values.name)
        narrower = terms.down(atom.values[0]) if terms is not None and atom.values[0] in terms else ()
        return [
            other
            for value in dict.fromkeys((atom.values[0], *sorted(narrower)))
            for other in by_value.get((atom.predicate, value), ())
        ]

    return near
