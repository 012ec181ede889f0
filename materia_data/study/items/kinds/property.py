"""Nature, flavor, channel: what a medicinal has, or which of them it lacks. Wrong by a closed property."""

from collections.abc import Sequence
from statistics import mean

from materia_data.study.items.bench import OPTIONS, Bench, claim_of
from materia_data.study.items.item import Item, Option

_ASKS = {
    "nature": "What is the nature of {}?",
    "flavor": "Which flavor does {} have?",
    "channel": "Which channel does {} enter?",
}
_LACKS = {"flavor": "Which flavor does {} not have?", "channel": "Which channel does {} not enter?"}
_SAYS = {"nature": "{} is {}", "flavor": "{} has the flavor {}", "channel": "{} enters the {} channel"}
Frame = tuple[str, str, str, bool]


def frames(bench: Bench) -> Sequence[Frame]:
    """Subject, predicate, value, and whether it is asked what it has or what it lacks."""
    found: list[Frame] = []
    for subject in bench.subjects:
        if bench.facts.kind(subject) == "formulas":
            continue
        for predicate in _ASKS:
            held = bench.closed(subject, predicate)
            if held:
                found += [(subject, predicate, value, True) for value in sorted(held)]
                found += [(subject, predicate, "", False)] if predicate in _LACKS and len(held) >= OPTIONS - 1 else []
    return found


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item; None where too few values are certainly wrong."""
    subject, predicate, value, has = frame
    held = bench.closed(subject, predicate) or frozenset()
    terms = bench.facts.vocabularies[bench.facts.predicates[predicate].values.name]
    others = [one for one in terms.ids if bench.apart(predicate, one, held)]
    tempting = sorted(others, key=lambda one: -bench.share(subject, predicate, one) - bench.chance.random() * 0.4)
    if has:
        right, wrong = value, _apart_from_each_other(bench, predicate, tempting)
        stem, rarity = _ASKS[predicate], 1 - bench.share(subject, predicate, value)
        likeness = mean(bench.share(subject, predicate, one) for one in wrong) if wrong else 0.0
    else:
        lacked = _apart_from_each_other(bench, predicate, tempting)
        if not lacked:
            return None
        right, wrong = lacked[0], bench.chance.sample(sorted(held), OPTIONS - 1)
        stem, rarity = _LACKS[predicate], bench.share(subject, predicate, lacked[0])
        likeness = bench.share(subject, predicate, right)
    name = bench.name(subject)

    def option(one: str) -> Option:
        holds = one in held
        said = _SAYS[predicate].format(name, bench.label(predicate, one))
        why = f"{said}." if holds else f"Not so: {_all(bench, subject, predicate, held)}, and nothing else."
        return Option(bench.label(predicate, one), one == right, why, claim_of(subject, predicate, one, holds))

    facts = bench.places(subject, predicate)
    return bench.item(
        "property", stem.format(name), option(right), map(option, wrong), [subject], facts, (rarity + likeness) / 2
    )


def _apart_from_each_other(bench: Bench, predicate: str, values: Sequence[str]) -> list[str]:
    """The first few of which none is a narrower or broader word for another."""
    chosen: list[str] = []
    for value in values:
        if bench.apart(predicate, value, chosen):
            chosen.append(value)
        if len(chosen) == OPTIONS - 1:
            break
    return chosen


def _all(bench: Bench, subject: str, predicate: str, held: frozenset[str]) -> str:
    ordered = [fact.value for fact in bench.facts.of(subject, predicate) if fact.value in held]
    return _SAYS[predicate].format(bench.name(subject), ", ".join(bench.label(predicate, one) for one in ordered))
