"""What is cooked first, goes in late, or is not boiled with the rest; and how long. Wrong: what is stated to be done at
another time, for a medicinal cannot be both; or another number."""

from collections.abc import Sequence

from materia_data.study.items.bench import OPTIONS, Bench, claim_of
from materia_data.study.items.item import Item, Option

_TIMES = {
    "decoct-first": "is decocted before the rest",
    "add-late": "goes in near the end",
    "take-powder": "is swallowed as powder, not boiled with the rest",
    "dissolve": "is dissolved in the finished decoction",
    "melt": "is melted apart and stirred in",
    "pills-powder-only": "is used in pills and powders only",
}
_MINUTES = ("5", "10", "15", "20", "30", "60", "90", "120")
Frame = tuple[str, str]


def frames(bench: Bench) -> Sequence[Frame]:
    """A medicinal with its one time; and, with `minutes`, those that are boiled for a stated time at least."""
    times = _times(bench)
    found = [(subject, next(iter(times[subject]))) for subject in bench.subjects if len(times.get(subject, ())) == 1]
    return found + [(subject, "minutes") for subject in bench.subjects if len(_minutes(bench, subject)) == 1]


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item, of times or of minutes."""
    subject, time = frame
    if time == "minutes":
        return _of_minutes(bench, subject)
    times = _times(bench)
    others = [one for one, theirs in times.items() if time not in theirs and len(theirs) == 1 and one != subject]
    chosen = bench.nearest(subject, others, OPTIONS - 1)
    if len(chosen) < OPTIONS - 1:
        return None

    def option(one: str) -> Option:
        theirs = next(iter(times[one]))
        claim = claim_of(one, "handling", theirs)
        return Option(bench.name(one), one == subject, f"{bench.name(one)} {_TIMES[theirs]}.", claim)

    facts = [place for one in (subject, *chosen) for place in bench.places(one, "handling")]
    alike = sum(bench.alike(subject, one) for one in chosen) / len(chosen)
    stem = f"Which of these {_TIMES[time]}?"
    return bench.item("cooking", stem, option(subject), map(option, chosen), [subject], facts, 0.3 + 0.7 * alike)


def _of_minutes(bench: Bench, subject: str) -> Item | None:
    right = next(iter(_minutes(bench, subject)))
    # "at least" is true of less too, so that a shorter time would be half right: the question names the record
    wrong = [one for one in _MINUTES if one != right]
    near = sorted(wrong, key=lambda one: abs(float(one) - float(right)) + bench.chance.random() * 20)[: OPTIONS - 1]
    name = bench.name(subject)

    def option(one: str) -> Option:
        why = f"{name}: {right} minutes or more before the rest."
        return Option(f"{one} minutes", one == right, why, claim_of(subject, "minutes-min", one, one == right))

    facts = bench.places(subject, "minutes-min")
    stem = f"What is the shortest time on record for decocting {name} before the rest?"
    return bench.item("cooking", stem, option(right), map(option, near), [subject], facts, 0.6, safety=True)


def _minutes(bench: Bench, subject: str) -> set[str]:
    if bench.facts.default_form(subject) != subject:
        return set()
    facts = bench.facts.of(subject, "minutes-min")
    return {fact.value for fact in facts if dict(fact.qualifiers).get("handling") == "decoct-first"}


def _times(bench: Bench) -> dict[str, frozenset[str]]:
    """By herb the times that are stated of it and not merely possible; none for one with an optional time."""
    if "times" not in bench.kept:
        found: dict[str, frozenset[str]] = {}
        for subject in bench.facts.subjects:
            if bench.facts.kind(subject) != "herbs" or bench.facts.default_form(subject) != subject:
                continue
            stated = [fact for fact in bench.facts.of(subject, "handling") if fact.value in _TIMES]
            if stated and all(dict(fact.qualifiers).get("force") in ("required", "usual") for fact in stated):
                found[subject] = frozenset(fact.value for fact in stated)
        bench.kept["times"] = found
    times: dict[str, frozenset[str]] = bench.kept["times"]
    return times
