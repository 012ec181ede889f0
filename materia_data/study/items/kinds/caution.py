"""How strict a caution the data record: one state a topic and target, so that every other state is wrong by rank."""

from collections.abc import Sequence

from materia_data.study.items.bench import Bench, claim_of
from materia_data.study.items.item import Item, Option

_STATES = {"contraindicated": "contraindicated", "avoid": "avoid", "caution": "use with caution"}
_NOTHING = "nothing is recorded"
_PARTS = {"caution": 0.3, "avoid": 0.6, "contraindicated": 0.5}
Frame = tuple[str, str, str]


def frames(bench: Bench) -> Sequence[Frame]:
    """Subject, topic and target of every stated caution that no source disputes."""
    facts, found = bench.facts, list[Frame]()
    for subject in bench.subjects:
        if facts.kind(subject) == "formulas" or any(one.value == "caution" for one in facts.of(subject, "disputed")):
            continue
        if facts.default_form(subject) != subject:
            continue
        for fact in facts.of(subject, "caution"):
            asked = dict(fact.qualifiers)
            if fact.value in _STATES:
                found.append((subject, asked.get("topic", ""), asked.get("target", "")))
    return found


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item: the three states, and that nothing is recorded, which is wrong because a row stands."""
    subject, topic, target = frame
    facts = bench.facts
    states = [
        fact
        for fact in facts.of(subject, "caution")
        if (asked := dict(fact.qualifiers)).get("topic", "") == topic and asked.get("target", "") == target
    ]
    about = facts.vocabularies[facts.predicates["caution"].asked["target" if target else "topic"].name]
    said = {fact.value for fact in states} | _covering(bench, subject, topic, target)
    if len(said) != 1:
        return None
    state = states[0].value
    name = bench.name(subject)
    predicate = f"caution[topic={topic},target={target}]"

    def option(one: str, text: str) -> Option:
        why = f"The data record for {name}: {_STATES[state]}."
        return Option(text, one == state, why, claim_of(subject, predicate, one, one == state))

    wrong = [option(one, text) for one, text in _STATES.items() if one != state] + [option("", _NOTHING)]
    stem = f"How strict is what the data record for {name} with regard to {about.label(target or topic)}?"
    return bench.item(
        "caution", stem, option(state, _STATES[state]), wrong, [subject], map(bench.place, states), _PARTS[state],
        safety=True,
    )  # fmt: skip


def _covering(bench: Bench, subject: str, topic: str, target: str) -> set[str]:
    """The states on the whole topic and on broader and narrower targets: they speak of this one, or of a part of it."""
    terms = bench.facts.vocabularies[bench.facts.predicates["caution"].asked["target"].name]
    near = terms.up(target) | terms.down(target) | {""} if target else frozenset(terms.ids) | {""}
    return {
        fact.value
        for fact in bench.facts.of(subject, "caution")
        if (asked := dict(fact.qualifiers)).get("topic", "") == topic and asked.get("target", "") in near
    }
