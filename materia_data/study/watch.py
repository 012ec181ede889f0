"""The cautions of medicinals that go out together: every one of every member and of its forms, heaviest first."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.study.document import STATES
from materia_data.teach.words import cell_row, subject_name

_FIRST = ("internal-use", "pregnancy", "lactation", "children")
_SAYS_LITTLE = frozenset({"internal-use", "overdose", "duration", "poisoning", "contact"})
"""Topics whose name does not yet say what to do: the row's own words go along."""


@dataclass(frozen=True, slots=True)
class Watched:
    """One thing to watch. label: in words; subjects: ids, forms for what only they have; detail: in the row's words
    where the label alone does not say what to do, or where asked for."""

    state: str
    topic: str
    target: str
    label: str
    subjects: tuple[str, ...]
    detail: str


def watched(facts: Facts, subjects: Sequence[str], *, in_full: bool = False) -> list[Watched]:
    """Every caution and antagonism of the subjects and of what only their forms have. in_full: each with its detail.

    A herb's caution speaks for its forms too; a form is named for what its own rows state.
    """
    found: dict[tuple[str, str, str, str], dict[str, None]] = {}
    for subject, fact in _each(facts, subjects, "caution"):
        asked = dict(fact.qualifiers)
        topic, target = asked.get("topic", ""), asked.get("target", "")
        told = in_full or topic in _SAYS_LITTLE or (not target and topic in ("condition", "drug", "food"))
        detail = cell_row(facts, fact).get("detail", "") if told else ""
        who = found.setdefault((fact.value, topic, target, detail), {})
        if facts.herb_of(subject) not in who:
            who[subject] = None
    said = [
        Watched(state, topic, target, _about(facts, topic, target), tuple(who), detail)
        for (state, topic, target, detail), who in found.items()
    ]
    return sorted([*_opposed(facts, subjects), *said], key=lambda one: _rank(facts, one))


def heaviest(facts: Facts, subject: str) -> str:
    """The heaviest state that the subject, or one of its forms, carries; `not-checked` where nothing is on record."""
    states = {fact.value for _, fact in _each(facts, [subject], "caution")}
    states |= {dict(fact.qualifiers).get("state", "avoid") for _, fact in _each(facts, [subject], "opposes")}
    return next((state for state in STATES if state in states), "not-checked")


def unchecked(facts: Facts, subjects: Sequence[str]) -> list[tuple[str, tuple[str, ...]]]:
    """For each topic in words, the subjects on which nobody looked it up; topics with nobody left out."""
    spoken: dict[str, set[str]] = {}
    for subject, fact in _each(facts, subjects, "caution"):
        spoken.setdefault(dict(fact.qualifiers).get("topic", ""), set()).add(facts.herb_of(subject))
    topics = facts.vocabularies["topics"]
    order = sorted(topics, key=lambda topic: (_turn(topic), topic))
    lacking = [
        (topics.label(topic), tuple(one for one in subjects if facts.herb_of(one) not in spoken.get(topic, ())))
        for topic in order
    ]
    return [(label, who) for label, who in lacking if who]


def family(facts: Facts, subject: str) -> list[str]:
    """The subject, and if it is a herb its forms."""
    forms = facts.package.tables["forms"]
    return [subject, *(forms.columns["id"][row] for row in forms.rows_of("herb").get(subject, ()))]


def _each(facts: Facts, subjects: Iterable[str], predicate: str) -> Iterable[tuple[str, Fact]]:
    for subject in subjects:
        for one in family(facts, subject):
            for fact in facts.of(one, predicate):
                if one == subject or not fact.inherited_from:
                    yield one, fact


def _opposed(facts: Facts, subjects: Sequence[str]) -> list[Watched]:
    """Which must not be combined with which, each at its heaviest; the same others together."""
    against: dict[tuple[str, str], str] = {}
    for subject, fact in _each(facts, subjects, "opposes"):
        state = dict(fact.qualifiers).get("state", "avoid")
        against[subject, fact.value] = min(state, against.get((subject, fact.value), state), key=STATES.index)
    whom: dict[tuple[str, str], list[str]] = {}
    for (subject, other), state in against.items():
        of_herb = against.get((facts.herb_of(subject), other), "not-checked")
        if facts.herb_of(subject) != subject and STATES.index(of_herb) <= STATES.index(state):
            continue
        whom.setdefault((state, other), []).append(subject)
    alike: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for (state, other), who in whom.items():
        alike.setdefault((state, tuple(who)), []).append(other)
    return [
        Watched(state, "opposes", "", "together with " + ", ".join(_short(facts, other) for other in others), who, "")
        for (state, who), others in alike.items()
    ]


def _short(facts: Facts, subject: str) -> str:
    return subject_name(facts, subject).partition(" ")[0]


def _about(facts: Facts, topic: str, target: str) -> str:
    if target:
        return facts.vocabularies["targets"].label(target)
    return facts.vocabularies["topics"].label(topic)


def _rank(facts: Facts, one: Watched) -> tuple[int, int, str, str, str]:
    state = STATES.index(one.state) if one.state in STATES else len(STATES)
    return state, _turn(one.topic), one.topic, one.label, one.detail


def _turn(topic: str) -> int:
    return -1 if topic == "opposes" else _FIRST.index(topic) if topic in _FIRST else len(_FIRST)
