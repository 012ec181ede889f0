"""Whether one pattern can be shown to be true wherever another is. What cannot be shown is not assumed."""

from materia_data.facts.amount import number
from materia_data.facts.facts import Facts
from materia_data.facts.pattern import And, Atom, Not, Or, Pattern, Qualifier
from materia_data.facts.predicates import Predicate


def implies(first: Pattern, second: Pattern, facts: Facts) -> bool:
    """Whether the second must be true of every subject of which the first is, by their form and the vocabularies."""
    if first == second:
        return True
    if isinstance(second, And):
        return all(implies(first, part, facts) for part in second.parts)
    if isinstance(first, Or):
        return all(implies(part, second, facts) for part in first.parts)
    if isinstance(second, Or) and any(implies(first, part, facts) for part in second.parts):
        return True
    if isinstance(first, And):
        return any(implies(part, second, facts) for part in first.parts)
    if isinstance(first, Not) and isinstance(second, Not):
        return implies(second.part, first.part, facts)
    return isinstance(first, Atom) and isinstance(second, Atom) and _atom(first, second, facts)


def _atom(first: Atom, second: Atom, facts: Facts) -> bool:
    if first.predicate != second.predicate:
        return False
    predicate = facts.predicates[first.predicate]
    if predicate.compare == "number":
        exact = set(first.qualifiers) == set(second.qualifiers)
        ranges = first.test == ".." and second.test == ".."
        return exact and (second.test == "any" or (ranges and _inside(first, second)))
    if not all(
        any(_qualifier(mine, asked, predicate, facts) for mine in first.qualifiers) for asked in second.qualifiers
    ):
        return False
    return _value(first, second, predicate, facts)


def _value(first: Atom, second: Atom, predicate: Predicate, facts: Facts) -> bool:
    if first.test == second.test and (first.values, first.low, first.high) == (second.values, second.low, second.high):
        return True
    within = first.values_within(facts)
    graded = not set(within) & set(predicate.values.unranked)
    if second.test == "any":
        return graded
    if not within or first.test == "any" or (first.test == "=" and len(within) > 1):
        return False
    terms = facts.vocabularies[predicate.values.name]
    reached = {below for value in within for below in (terms.down(value) if first.test == ":" else (value,))}
    if predicate.name in predicate.both_ways:
        return False
    if second.test == ":":
        return reached <= terms.down(second.values[0])
    return second.test == ".." and graded and reached <= set(second.values_within(facts))


def _qualifier(mine: Qualifier, asked: Qualifier, predicate: Predicate, facts: Facts) -> bool:
    if mine.key != asked.key:
        return False
    if mine == asked:
        return True
    if asked.operator == "=" or mine.key in predicate.both_ways or mine.key in predicate.implied:
        return False
    return mine.value in facts.vocabularies[predicate.asked[mine.key].name].down(asked.value)


def _inside(first: Atom, second: Atom) -> bool:
    low, high, least, most = (number(end) for end in (first.low, first.high, second.low, second.high))
    return (least is None or (low is not None and low >= least)) and (
        most is None or (high is not None and high <= most)
    )
