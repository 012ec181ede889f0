"""Which member breaks what its category tends to: the only one of four with the value. Wrong by closed lists."""

from collections.abc import Sequence

from materia_data.study.items.bench import OPTIONS, Bench, claim_of
from materia_data.study.items.item import Item, Option

_STEMS = {
    "nature": "Most of “{category}” are otherwise. Which of these is {word}?",
    "flavor": "Few of “{category}” have the flavor {word}. Which of these does?",
    "channel": "Few of “{category}” enter the {word} channel. Which of these does?",
}
_FEW = 0.34
Frame = tuple[str, str, str]


def frames(bench: Bench) -> Sequence[Frame]:
    """A member, a predicate, and a value that at most a third of its category shares."""
    return [
        (subject, predicate, value)
        for subject in bench.subjects
        if bench.facts.kind(subject) == "herbs"
        for predicate in _STEMS
        for value in sorted(bench.closed(subject, predicate) or ())
        if 0 < bench.share(subject, predicate, value) <= _FEW
    ]


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item: the others are members that certainly lack the value."""
    subject, predicate, value = frame
    category = bench.category(subject)
    others = [
        one
        for one in bench.mates.get(category, ())
        if one != subject and (held := bench.closed(one, predicate)) and bench.apart(predicate, value, held)
    ]
    if len(others) < OPTIONS - 1:
        return None
    chosen = bench.nearest(subject, others, OPTIONS - 1)
    word = bench.label(predicate, value)

    def option(one: str) -> Option:
        held = ", ".join(bench.label(predicate, each) for each in sorted(bench.closed(one, predicate) or ()))
        why = f"{bench.name(one)}: {predicate} {held}{'.' if one == subject else ', and nothing else.'}"
        return Option(bench.name(one), one == subject, why, claim_of(one, predicate, value, one == subject))

    rarity = 1 - bench.share(subject, predicate, value)
    alike = sum(bench.alike(subject, one) for one in chosen) / len(chosen)
    facts = [place for one in (subject, *chosen) for place in bench.places(one, predicate)]
    stem = _STEMS[predicate].format(category=bench.label("category", category), word=word)
    return bench.item(
        "stand-out", stem, option(subject), map(option, chosen), [subject, *chosen], facts, (rarity + alike) / 2
    )
