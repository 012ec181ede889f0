"""The pairs most alike in name and in facts whose mix-up would hurt most."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import combinations

from materia_data.facts.facts import Facts
from materia_data.find import plain_reading
from materia_data.materia import Materia
from materia_data.teach.holders import holders
from materia_data.teach.likeness import Marks, likeness, marks
from materia_data.teach.words import row_of

_HARM = (
    (1.0, "status:withdrawn", "withdrawn"),
    (1.0, "trait:aristolochic-acid", "contains aristolochic acids"),
    (1.0, "trait:pyrrolizidine", "contains pyrrolizidine alkaloids"),
    (1.0, "toxicity:very-toxic", "very toxic"),
    (0.8, "toxicity:toxic", "toxic"),
    (0.8, "caution:avoid..[topic:internal-use]", "not taken by mouth"),
    (0.6, "caution:contraindicated[topic:pregnancy]", "contraindicated in pregnancy"),
    (0.4, "toxicity:slight", "slightly toxic"),
    (0.4, "caution:avoid[topic:pregnancy]", "avoided in pregnancy"),
    (0.3, "opposes", "opposed to other medicinals"),
    (0.2, "caution:caution[topic:pregnancy]", "caution in pregnancy"),
)
_TOO_UNLIKE = 0.45


@dataclass(frozen=True, slots=True)
class Confusable:
    """Two medicinals that may be taken for each other. name, facts: likeness of each, 0 to 1; harm: 0 to 1, the worst
    that one carries and the other does not; rank: likeness times harm; recorded: whether the mix-up is on record."""

    a: str
    b: str
    a_name: str
    b_name: str
    name: float
    facts: float
    harm: float
    rank: float
    why: str
    recorded: bool


def confusable(materia: Materia, most: int = 20) -> tuple[Confusable, ...]:
    """The worst pairs of medicinals, the worst first. Likeness is that of the names, or of what is on record as mixed
    up (then at least 0.9), plus a tenth for what is stated of both."""
    facts = materia.facts
    herbs = [n for n, one in enumerate(facts.subjects) if facts.kind(one) == "herbs"]
    known, harms = marks(facts, herbs), _harms(facts)
    recorded = _recorded(facts)
    names = {n: row_of(facts, "herbs", facts.subjects[n]) for n in herbs}
    found = []
    for a, b in sorted(_candidates(names) | {pair for pair in recorded if pair[0] in names and pair[1] in names}):
        one = _pair(facts, a, b, names, known, harms, (a, b) in recorded)
        if one is not None:
            found.append(one)
    return tuple(sorted(found, key=lambda one: (-one.rank, one.a, one.b))[:most])


def _candidates(names: dict[int, dict[str, str]]) -> set[tuple[int, int]]:
    """Pairs that share a character or a syllable; no other two names are alike enough to matter."""
    sharing: dict[str, list[int]] = {}
    for number, row in names.items():
        for piece in {*row["name_hans"], *plain_reading(row["pinyin"]).split()}:
            sharing.setdefault(piece, []).append(number)
    return {tuple(sorted(pair)) for numbers in sharing.values() for pair in combinations(numbers, 2)}  # type: ignore[misc]


def _pair(
    facts: Facts,
    a: int,
    b: int,
    names: dict[int, dict[str, str]],
    known: dict[int, Marks],
    harms: dict[int, dict[str, float]],
    recorded: bool,
) -> Confusable | None:
    difference = {what: weight for what, weight in harms.get(a, {}).items() if what not in harms.get(b, {})}
    other = {what: weight for what, weight in harms.get(b, {}).items() if what not in harms.get(a, {})}
    harm = max([*difference.values(), *other.values()], default=0.0)
    by_name = _name_likeness(names[a], names[b])
    if not harm or (by_name < _TOO_UNLIKE and not recorded):
        return None
    by_facts = likeness(known[a], known[b])
    alike = min(1.0, max(by_name, 0.9 if recorded else 0.0) + 0.1 * by_facts)
    said = [
        f"{names[n]['name_hans']}: {', '.join(_gravest(what))}" for n, what in ((a, difference), (b, other)) if what
    ]
    return Confusable(
        facts.subjects[a], facts.subjects[b], names[a]["name_hans"], names[b]["name_hans"],
        round(by_name, 3), round(by_facts, 3), harm, round(alike * harm, 3), "; ".join(said), recorded,
    )  # fmt: skip


def _gravest(what: dict[str, float]) -> list[str]:
    return [label for label, _ in sorted(what.items(), key=lambda item: -item[1])][:3]


def _name_likeness(a: dict[str, str], b: dict[str, str]) -> float:
    """The better of characters and readings without tones; the readings count for a little less."""
    written = SequenceMatcher(None, a["name_hans"], b["name_hans"]).ratio()
    said = SequenceMatcher(None, plain_reading(a["pinyin"]), plain_reading(b["pinyin"])).ratio()
    return max(written, 0.9 * said)


def _harms(facts: Facts) -> dict[int, dict[str, float]]:
    found: dict[int, dict[str, float]] = {}
    for weight, text, label in _HARM:
        for number in holders(facts, text).true:
            found.setdefault(number, {})[label] = weight
    return found


def _recorded(facts: Facts) -> set[tuple[int, int]]:
    table = facts.package.tables["confusions"]
    pairs: Iterable[tuple[str, str]] = zip(table.columns["a"], table.columns["b"], strict=True)
    return {
        tuple(sorted((facts.number[a], facts.number[b])))  # type: ignore[misc]
        for a, b in pairs
        if a in facts.number and b in facts.number
    }
