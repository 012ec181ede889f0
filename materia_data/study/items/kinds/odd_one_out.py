"""Three that share a property, and one that lacks it by a closed list."""

from collections.abc import Sequence

from materia_data.study.items.bench import OPTIONS, Bench, claim_of
from materia_data.study.items.item import Item, Option

_STEMS = {
    "nature": "Three of these are {}. Which one is not?",
    "flavor": "Three of these have the flavor {}. Which one does not?",
    "channel": "Three of these enter the {} channel. Which one does not?",
}
Frame = tuple[str, str, str]


def frames(bench: Bench) -> Sequence[Frame]:
    """The odd one, the predicate, and a value that it lacks and its category-mates have."""
    found: list[Frame] = []
    for subject in bench.subjects:
        if bench.facts.kind(subject) != "herbs":
            continue
        for predicate in _STEMS:
            held = bench.closed(subject, predicate)
            if not held:
                continue
            mates = bench.mates.get(bench.category(subject), ())
            values = {value for mate in mates for value in bench.closed(mate, predicate) or ()}
            found += [(subject, predicate, one) for one in sorted(values) if bench.apart(predicate, one, held)]
    return found


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item, the three others of the same category and as like the odd one as may be."""
    odd, predicate, value = frame
    mates = bench.mates.get(bench.category(odd), ())
    having = [one for one in mates if one != odd and value in (bench.closed(one, predicate) or ())]
    if len(having) < OPTIONS - 1:
        return None
    chosen = bench.nearest(odd, having, OPTIONS - 1)
    word = bench.label(predicate, value)
    held = ", ".join(bench.label(predicate, one) for one in sorted(bench.closed(odd, predicate) or ()))

    def option(one: str) -> Option:
        if one == odd:
            why = f"{bench.name(one)}: {predicate} {held}, and nothing else."
        else:
            why = f"{bench.name(one)}: {predicate} {word}, like two others here."
        return Option(bench.name(one), one == odd, why, claim_of(one, predicate, value, one != odd))

    alike = sum(bench.alike(odd, one) for one in chosen) / len(chosen)
    facts = [*bench.places(odd, predicate), *(place for one in chosen for place in bench.places(one, predicate, value))]
    stem = _STEMS[predicate].format(word)
    return bench.item("odd-one-out", stem, option(odd), map(option, chosen), [odd, *chosen], facts, 0.2 + 0.8 * alike)
