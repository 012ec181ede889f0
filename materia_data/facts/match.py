"""Which subjects a pattern is true of, which it is stated-false of; the others are unstated.

Each distinct kind of fact is judged once, and the rest is set algebra over subject numbers.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from materia_data.facts.entries import Kind, kind_number
from materia_data.facts.fact import Fact
from materia_data.facts.judge import Says, judge, values_that_matter
from materia_data.facts.pattern import And, Atom, Not, Or, Pattern, StatesNot

if TYPE_CHECKING:
    from materia_data.facts.facts import Facts


@dataclass(frozen=True, slots=True)
class Truth:
    """Subject numbers (`Facts.number`). In neither set: unstated."""

    true: set[int]
    false: set[int]


def match(pattern: Pattern, facts: "Facts") -> Truth:
    """Judge the pattern of every subject: herbs, forms, formulas. The sets are shared: not to be changed in place."""
    match pattern:
        case And(parts):
            truths = [match(part, facts) for part in parts]
            return Truth(
                set.intersection(*(truth.true for truth in truths)), set().union(*(truth.false for truth in truths))
            )
        case Or(parts):
            truths = [match(part, facts) for part in parts]
            return Truth(
                set().union(*(truth.true for truth in truths)), set.intersection(*(truth.false for truth in truths))
            )
        case Not(part):
            true = match(part, facts).true
            return Truth(set(range(len(facts.subjects))) - true, true)
        case StatesNot(part):
            truth = match(part, facts)
            return Truth(truth.false, truth.true)
        case Atom():
            if pattern not in facts.truths:
                facts.truths[pattern] = _atom(pattern, facts)
            return facts.truths[pattern]
    raise TypeError(f"{pattern!r} is no pattern")


def supports(atom: Atom, subject: str, facts: "Facts") -> list[Fact]:
    """The facts that make the atom true of the subject; none if it is not true."""
    return [facts.fact(subject, entry) for entry in _supporting(atom, facts.number[subject], facts)]


def supporting_kinds(atom: Atom, facts: "Facts") -> dict[int, list[int]]:
    """For each subject (its number) of which the atom is true, the kinds (their numbers) that make it so, each once, in
    the order of the facts."""
    supports, spoils = _kept_judge(atom, facts)
    by_kind = facts.by_kind(atom.predicate)
    found: dict[int, list[int]] = {}
    for kind in supports:
        for number in by_kind[kind]:
            found.setdefault(number, []).append(kind)
    for number in _united(by_kind[kind] for kind in spoils):
        found.pop(number, None)
    for number, kinds in list(found.items()):
        if len(kinds) > 1 or atom.test == "=":
            found[number] = list(dict.fromkeys(map(kind_number, _supporting(atom, number, facts))))
    return found


def _supporting(atom: Atom, number: int, facts: "Facts") -> list[int]:
    entries = facts.effective_entries[atom.predicate].get(number)
    if not entries:
        return []
    supports, spoils = _kept_judge(atom, facts)
    if spoils and any(kind_number(entry) in spoils for entry in entries):
        return []
    supporting = [entry for entry in entries if kind_number(entry) in supports]
    if atom.test == "=":
        values = {facts.entries.kind(entry).value for entry in supporting}
        return supporting if _whole(atom, values, number, facts) else []
    return supporting


def _kept_judge(atom: Atom, facts: "Facts") -> tuple[frozenset[int], frozenset[int]]:
    """The kinds (their numbers) that support the atom, and those that spoil it; judged once."""
    found = facts.judges.get(atom)
    if found is None:
        said = _sorted(judge(atom, facts), _candidates(atom, facts), facts)
        found = facts.judges[atom] = (
            frozenset(number for number, says in said if Says.SUPPORTS in says),
            frozenset(number for number, says in said if Says.SPOILS in says),
        )
    return found


def _whole(atom: Atom, values: set[str], number: int, facts: "Facts") -> bool:
    predicate = facts.predicates[atom.predicate]
    return values == set(atom.values) and (predicate.single or number in facts.closed[atom.predicate])


def _atom(atom: Atom, facts: "Facts") -> Truth:
    """Sort the kinds of the predicate by what they say, and unite their subjects."""
    by_kind = facts.by_kind(atom.predicate)
    said = _sorted(judge(atom, facts), _candidates(atom, facts), facts)

    def having(what: Says) -> set[int]:
        return _united(by_kind[number] for number, says in said if what in says)

    closed = facts.closed[atom.predicate]
    if atom.test == "=":
        kinds = facts.entries.kinds
        each = [
            _united(by_kind[number] for number, says in said if Says.SUPPORTS in says and kinds[number].value == value)
            for value in atom.values
        ]
        true = set.intersection(*each)
        if not facts.predicates[atom.predicate].single:
            true &= closed
    else:
        true = having(Says.SUPPORTS)
    true -= having(Says.SPOILS)
    false = having(Says.DENIES) | (closed - having(Says.LEAVES_OPEN))
    return Truth(true, false - true)


def _candidates(atom: Atom, facts: "Facts") -> Iterable[int]:
    """The kinds that may say something to the atom: those of the values, else those with the qualifier asked for."""
    values = values_that_matter(atom, facts)
    if values is not None:
        by_value = facts.kinds_by_value(atom.predicate)
        return [number for value in values for number in by_value.get(value, ())]
    predicate = facts.predicates[atom.predicate]
    for asked in atom.qualifiers:
        if atom.test != ":" or asked.key not in predicate.implied:
            terms = facts.vocabularies.get(predicate.asked[asked.key].name)
            near = {asked.value, ""} | (terms.down(asked.value) | terms.up(asked.value) if terms else frozenset())
            by_held = facts.kinds_by_held(atom.predicate, asked.key)
            return dict.fromkeys(number for value in sorted(near) for number in by_held.get(value, ()))
    return facts.by_kind(atom.predicate)


def _sorted(says: Callable[[Kind], Says], by_kind: Iterable[int], facts: "Facts") -> list[tuple[int, Says]]:
    kinds = facts.entries.kinds
    return [(number, said) for number in by_kind if (said := says(kinds[number]))]


def _united(groups: Iterable[list[int]]) -> set[int]:
    found: set[int] = set()
    for numbers in groups:
        found.update(numbers)
    return found
