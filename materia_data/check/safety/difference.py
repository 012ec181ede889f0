"""What has become of one subject's safety facts: fact by fact, whether something as strict still stands.

A fact that stands elsewhere in a form as strict (a broader target, a narrower term, a higher state) is no loss. What
cannot be shown to be as strict, such as another level of control, counts as weaker.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from materia_data.check.safety.doses import dose_differences
from materia_data.check.safety.gather import Held, Holding
from materia_data.facts.amount import number
from materia_data.facts.facts import Facts


class Difference(NamedTuple):
    """One fact then and now; old and new are the facts themselves, where there are any."""

    predicate: str
    qualifiers: tuple[tuple[str, str], ...]
    was: str
    now: str
    effect: str
    old: Held | None
    new: Held | None


@dataclass(frozen=True, slots=True)
class Measure:
    """How facts of a predicate compare.

    covers(new, old): the new fact speaks for all that the old one did; as_strict(new, old): and as strictly; grade: to
    choose the strictest for a message; shown(fact, beside): its text as `now`, beside the old one.
    """

    covers: Callable[[Held, Held], bool]
    as_strict: Callable[[Held, Held], bool]
    grade: Callable[[Held], float]
    shown: Callable[[Held, Held], str] = lambda held, beside: held.value


def differences(old: Holding, new: Holding, by: Mapping[str, Measure]) -> Iterator[Difference]:
    """Every difference between two lists of facts of a subject, ids in the old ones as they read today.

    by: what `measures` gives. The default form is not judged here: it needs other subjects.
    """
    for predicate, measure in by.items():
        yield from _by_measure(predicate, measure, old.get(predicate, ()), new.get(predicate, ()))
    for predicate, qualifiers, was, now, effect, held, held_now in dose_differences(old, new):
        yield Difference(predicate, qualifiers, was, now, effect, held, held_now)


def _by_measure(predicate: str, measure: Measure, old: Sequence[Held], new: Sequence[Held]) -> Iterator[Difference]:
    stood, stand = set(map(_stated, old)), set(map(_stated, new))
    told: set[int] = set()
    for held in old:
        if not held.required or _stated(held) in stand:
            continue
        covering = [each for each in new if measure.covers(each, held)]
        strict = [each for each in covering if measure.as_strict(each, held)]
        best = max(strict or covering, key=measure.grade, default=None)
        shown = measure.shown(best, held) if best else ""
        if not strict:
            effect = "weakened" if covering else "removed"
        elif best and _stated(best) not in stood and not _as_much(measure, held, best):
            effect = "strengthened"
        else:
            effect = "none"
        told.add(id(best))
        yield Difference(predicate, held.qualifiers, held.value, shown, effect, held, best)
    for held in new:
        if not held.required or _stated(held) in stood or id(held) in told:
            continue
        before = [each for each in old if each.required and measure.covers(each, held)]
        if not any(measure.as_strict(each, held) for each in before):
            was = max(before, key=measure.grade, default=None)
            effect = "strengthened" if was else "gained"
            yield Difference(predicate, held.qualifiers, was.value if was else "", held.value, effect, was, held)


def _as_much(measure: Measure, new: Held, old: Held) -> bool:
    return measure.covers(new, old) and measure.as_strict(new, old)


def _stated(held: Held) -> tuple[str, tuple[tuple[str, str], ...], bool]:
    return held.value, held.qualifiers, held.required


def measures(before: Facts, facts: Facts) -> dict[str, Measure]:
    """How facts of each predicate compare; doses have a module of their own.

    before, facts: of the old and of the new package. What is broader is the new one's to say; a grade must be as high
    by the ranks of both.
    """
    terms = {name: facts.vocabularies[predicate.values.name] for name, predicate in facts.predicates.items()
             if predicate.values.kind != "number"}  # fmt: skip
    targets = facts.vocabularies[facts.predicates["caution"].asked["target"].name]
    taxa = facts.vocabularies[facts.predicates["control"].asked["taxon"].name]

    def rank(predicate: str, value: str) -> float:
        found = terms[predicate].rank(value)
        return float("-inf") if found is None else found

    toxicities = terms["toxicity"], before.vocabularies[facts.predicates["toxicity"].values.name]

    def as_toxic(new: Held, old: Held) -> bool:
        ranks = [[grade.rank(held.value) for held in (new, old)] for grade in toxicities]
        return all(theirs is None or (mine is not None and mine >= theirs) for mine, theirs in ranks)

    def state(held: Held) -> float:
        return rank("caution", held.get("state"))

    def within(predicate: str) -> Callable[[Held, Held], bool]:
        return lambda new, old: old.value in terms[predicate].up(new.value)

    def same(new: Held, old: Held, *keys: str) -> bool:
        return all(new.get(key) == old.get(key) for key in keys)

    def same_step(new: Held, old: Held) -> bool:
        return new.get("purpose") in ("", old.get("purpose"))

    def constant(held: Held) -> float:
        return float(held.required)

    return {
        "toxicity": Measure(
            lambda new, old: True,
            as_toxic,
            lambda held: rank("toxicity", held.value),
        ),
        "caution": Measure(
            lambda new, old: (
                same(new, old, "topic")
                and (not new.get("target") or new.get("target") in targets.up(old.get("target")))
            ),
            lambda new, old: rank("caution", new.value) >= rank("caution", old.value),
            lambda held: rank("caution", held.value),
        ),
        "opposes": Measure(
            lambda new, old: new.value in terms["opposes"].up(old.value),
            lambda new, old: state(new) >= state(old),
            state,
            lambda new, old: new.value if same(new, old, "state") else f"{new.value}[state={new.get('state')}]",
        ),
        "control": Measure(
            lambda new, old: (
                same(new, old, "instrument", "jurisdiction")
                and (not new.get("taxon") or new.get("taxon") in taxa.up(old.get("taxon")))
            ),
            within("control"),
            constant,
        ),
        "handling": Measure(
            lambda new, old: within("handling")(new, old) and same_step(new, old),
            lambda new, old: new.required or not old.required,
            constant,
            lambda new, old: new.value if same(new, old, "force") else f"{new.value}[force={new.get('force')}]",
        ),
        "minutes-min": Measure(
            lambda new, old: (
                new.required
                and old.get("handling") in terms["handling"].up(new.get("handling"))
                and same_step(new, old)
            ),
            lambda new, old: _minutes(new) >= _minutes(old),
            _minutes,
        ),
        "status": Measure(
            lambda new, old: True,
            lambda new, old: _STATUS.get(new.value, 0) >= _STATUS.get(old.value, 0),
            lambda held: _STATUS.get(held.value, 0),
        ),
        "trait": Measure(within("trait"), lambda new, old: True, constant),
    }


_STATUS = {"current": 0, "restricted": 1, "withdrawn": 2, "historical": 2}


def _minutes(held: Held) -> float:
    return float(number(held.value) or 0)
