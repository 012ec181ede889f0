"""Groups worth teaching that nobody wrote down: what a few medicinals from several categories have in common."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from materia_data.facts.facts import Facts
from materia_data.facts.match import match
from materia_data.facts.pattern import And, Atom, Pattern, Qualifier, parse
from materia_data.materia import Materia
from materia_data.teach.holders import holders
from materia_data.teach.words import row_of, say

_FEWEST, _MOST, _LONGEST = 3, 9, 2
_READ = ("action", "handling", "trait", "direction")
_NATURES = ("nature:..cool", "nature:neutral", "nature:slightly-warm..")


@dataclass(frozen=True, slots=True)
class Found:
    """One group. pattern: what all have and nobody else; label: in words; subjects in table order with their
    categories; lift: how many times more often the facts meet than if each fell by itself."""

    pattern: str
    label: str
    subjects: tuple[str, ...]
    names: tuple[str, ...]
    categories: tuple[str, ...]
    lift: float


def discover(materia: Materia, most: int = 30) -> tuple[Found, ...]:
    """One or two facts, an action among them, that 3 to 9 medicinals share, from at least three categories, and that no
    rule says.

    Each group stands once, under the fewest such facts that mark it out (the generators of closed itemsets: N. Pasquier
    and others, ICDT 1999, LNCS 1540, 398-416). A group is left out if a rule that holds reads
    one of its facts and expects the other, or if half of it was shown before. Ordered: one fact before two, then the
    number of categories for each medicinal, then lift.
    """
    facts = materia.facts
    herbs = frozenset(n for n, one in enumerate(facts.subjects) if facts.kind(one) == "herbs")
    asked = {atom: match(atom, facts).true & herbs for atom in _atoms(facts, herbs)}
    useful = {atom: frozenset(true) for atom, true in asked.items() if len(true) >= _FEWEST}
    told = _told(materia)
    category = {n: row_of(facts, "herbs", facts.subjects[n])["category"] for n in herbs}
    found = []
    for atoms, members in _closed(useful, herbs, facts):
        across = tuple(dict.fromkeys(category[n] for n in sorted(members)))
        if len(across) < 3 or any((a, b) in told for a in map(str, atoms) for b in map(str, atoms) if a != b):
            continue
        found.append(_found(facts, atoms, members, across, useful, len(herbs)))
    found.sort(
        key=lambda one: (" and " in one.pattern, -len(one.categories) / len(one.subjects), -one.lift, one.pattern)
    )
    return tuple(_varied(found))[:most]


def _atoms(facts: Facts, herbs: Iterable[int]) -> list[Atom]:
    atoms: dict[Atom, None] = {}
    for predicate in _READ:
        for number in herbs:
            for entry in facts.effective_entries[predicate].get(number, ()):
                kind = facts.entries.kind(entry)
                if not kind.stated or kind.value in ("-", "none-stated", "ordinary"):
                    continue
                atoms[Atom(predicate, ":", (kind.value,))] = None
                if predicate == "action":
                    for key, value in kind.qualifiers:
                        if key in ("site", "cause"):
                            atoms[Atom("action", ":", (kind.value,), qualifiers=(Qualifier(key, ":", value),))] = None
    for text in filter(lambda text: holders(facts, text).true, _NATURES):
        pattern = parse(text, facts)
        if isinstance(pattern, Atom):
            atoms[pattern] = None
    return list(atoms)


Useful = dict[Atom, frozenset[int]]


def _closed(useful: Useful, herbs: frozenset[int], facts: Facts) -> Iterable[tuple[tuple[Atom, ...], frozenset[int]]]:
    """Each set of members once, with the fewest facts that mark it out, an action among them: what its facts imply is
    left out."""
    order = sorted(useful, key=lambda atom: (len(useful[atom]), str(atom)))
    seen: dict[frozenset[int], tuple[Atom, ...]] = {}

    def grow(start: int, atoms: tuple[Atom, ...], members: frozenset[int]) -> None:
        for place in range(start, len(order)):
            both = members & useful[order[place]]
            if len(both) < _FEWEST or both == members:
                continue
            chosen = (*atoms, order[place])
            told = any(atom.predicate == "action" for atom in chosen)
            if told and len(both) <= _MOST and (both not in seen or len(seen[both]) > len(chosen)):
                seen[both] = chosen
            if len(chosen) < _LONGEST:
                grow(place + 1, chosen, both)

    grow(0, (), herbs)
    for members, atoms in seen.items():
        if not _one_says_the_other(atoms, useful):
            yield atoms, members


def _one_says_the_other(atoms: Sequence[Atom], useful: Useful) -> bool:
    return any(useful[a] <= useful[b] for a in atoms for b in atoms if a != b)


def _told(materia: Materia) -> set[tuple[str, str]]:
    """Pairs of facts of which a rule says the second of what has the first."""
    told: set[tuple[str, str]] = set()
    for rule, measured in materia.measured:
        if measured.holds:
            told.update((str(a), str(b)) for a in rule.when.atoms() for b in rule.expect.atoms())
    return told


def _found(
    facts: Facts, atoms: Sequence[Atom], members: frozenset[int], across: tuple[str, ...], useful: Useful, total: int
) -> Found:
    ordered = sorted(atoms, key=lambda atom: (*_READ, "nature").index(atom.predicate))
    by_chance = 1.0
    for atom in atoms:
        by_chance *= len(useful[atom]) / total
    pattern: Pattern = ordered[0] if len(ordered) == 1 else And(tuple(ordered))
    return Found(
        str(pattern),
        " and ".join(_said(facts, atom) for atom in ordered),
        tuple(facts.subjects[n] for n in sorted(members)),
        tuple(row_of(facts, "herbs", facts.subjects[n])["name_hans"] for n in sorted(members)),
        across,
        round(len(members) / total / by_chance, 1),
    )


def _said(facts: Facts, atom: Atom) -> str:
    asked = [(one.key, one.value) for one in atom.qualifiers]
    if atom.test == "..":
        return {"nature:..cool": "cold or cool", "nature:slightly-warm..": "warm or hot"}[str(atom)]
    return say(facts, atom.predicate, atom.values[0], asked)


def _varied(found: Sequence[Found]) -> Iterable[Found]:
    """Leave out a group most of whose members a better one has shown together already."""
    shown: list[set[str]] = []
    for one in found:
        members = set(one.subjects)
        if all(2 * len(members & other) <= len(members) for other in shown):
            shown.append(members)
            yield one
