"""How alike two medicinals are in what is stated of them, rare facts counting for more than common ones."""

from collections.abc import Mapping, Sequence
from math import log

from materia_data.facts.facts import Facts

_WEIGHTS = {
    "action": 3.0, "contains": 3.0, "indication": 1.0, "nature": 1.0, "flavor": 1.0, "channel": 1.0, "category": 1.0,
    "subgroup": 1.0, "direction": 0.5, "trait": 0.5, "part": 0.5,
}  # fmt: skip
Marks = Mapping[tuple[str, str], float]


def marks(facts: Facts, numbers: Sequence[int]) -> dict[int, Marks]:
    """What each subject is known by: its values and every broader one, weighted by predicate and by rarity.

    The rarity of a value that k of the n subjects have is log(1 + n / k) (after K. Sparck Jones, Journal of
    Documentation 28, 1972, 11-21). A stated negative is no mark.
    """
    having: dict[int, set[tuple[str, str]]] = {number: set() for number in numbers}
    for predicate in _WEIGHTS:
        terms = facts.vocabularies.get(facts.predicates[predicate].values.name)
        for number in numbers:
            for entry in facts.effective_entries[predicate].get(number, ()):
                kind = facts.entries.kind(entry)
                if kind.stated and kind.value != "-":
                    broader = terms.up(kind.value) if terms and predicate != "contains" else (kind.value,)
                    having[number].update((predicate, value) for value in broader)
    count: dict[tuple[str, str], int] = {}
    for found in having.values():
        for mark in found:
            count[mark] = count.get(mark, 0) + 1
    total = len(having)
    weight = {mark: _WEIGHTS[mark[0]] * log(1 + total / k) for mark, k in count.items()}
    return {number: {mark: weight[mark] for mark in sorted(found)} for number, found in having.items()}


def likeness(a: Marks, b: Marks) -> float:
    """The weight they share over the weight that either has: 0 nothing, 1 everything (weighted Jaccard index)."""
    shared = sum(weight for mark, weight in a.items() if mark in b)
    either = sum(a.values()) + sum(b.values()) - shared
    return shared / either if either else 0.0
