"""What in a recipe can hurt: opposed items, cautions at their strictest, doses, raw drugs, controls, and one person's
reasons for care."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

from materia_data.facts.facts import Facts
from materia_data.facts.match import supports
from materia_data.facts.pattern import Atom, Qualifier
from materia_data.suggest import did_you_mean
from materia_data.teach.formula.recipe import Item, Recipe
from materia_data.teach.words import cell_row, say, subject_name

_STATES = ("none-stated", "caution", "avoid", "contraindicated")
_NOT_SWALLOWED = ("external", "enema", "inhaled")
ITSELF = "the formula as a whole"


@dataclass(frozen=True, slots=True)
class Antagonism:
    """Two items that some list sets against each other. excepted: the reason on record why this formula does it."""

    a: str
    b: str
    names: str
    lists: tuple[str, ...]
    state: str
    excepted: str


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution at the strictest that any item brings, and who brings it."""

    topic: str
    target: str
    state: str
    label: str
    brought_by: tuple[str, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Dose:
    """An item's amount a day against the range on record. verdict: within, above, below, no-amount, no-range,
    not-comparable (a ratio or a batch). elsewhere: where nothing is on record for this way of taking it, the largest
    amount a day taken by mouth in any other; more than that is above."""

    subject: str
    name: str
    amount: float | None
    low: str
    high: str
    elsewhere: str
    verdict: str


@dataclass(frozen=True, slots=True)
class Raw:
    """A raw drug where a prepared one is required, or a bare name read as its prepared form."""

    subject: str
    name: str
    message: str
    danger: bool


@dataclass(frozen=True, slots=True)
class Control:
    """A controlled item, with the lawful substitute on record."""

    subject: str
    name: str
    label: str
    instrument: str
    substitute: str
    ratio: str


@dataclass(frozen=True, slots=True)
class Person:
    """What one person's reason for care meets: said: items with a caution that covers it; not_checked: the others, of
    which nothing is on record, which is no permission."""

    asked: str
    said: tuple[Caution, ...]
    not_checked: tuple[str, ...]


def antagonisms(facts: Facts, recipe: Recipe) -> tuple[Antagonism, ...]:
    """Every opposed pair, read as the forms meant; two alternatives to each other never clash."""
    excepted = _exceptions(facts, recipe.id)
    found: dict[tuple[str, str], Antagonism] = {}
    for one, other in combinations(recipe.items, 2):
        if _alternatives(one, other):
            continue
        met = [f for f in facts.of(one.means, "opposes") if f.stated and f.value in _called(facts, other)]
        met += [f for f in facts.of(one.subject, "opposes") if f.stated and f.value in _called(facts, other)]
        met += [f for f in facts.of(other.means, "opposes") if f.stated and f.value in _called(facts, one)]
        if not met:
            continue
        asked = [dict(fact.qualifiers) for fact in met]
        state = max((q.get("state", "") for q in asked), key=lambda s: _STATES.index(s) if s in _STATES else -1)
        reason = next((excepted[key] for key in _keys(facts, one, other) if key in excepted), "")
        found[one.subject, other.subject] = Antagonism(
            one.subject, other.subject, f"{subject_name(facts, one.subject)} and {subject_name(facts, other.subject)}",
            tuple(sorted({q.get("list", "") for q in asked})), state, reason,
        )  # fmt: skip
    return tuple(found.values())


def cautions(facts: Facts, recipe: Recipe) -> tuple[Caution, ...]:
    """Each topic and target once, at the strictest, the gravest first; a formula's own cautions too."""
    found: Brought = {}
    for subject, name in _carriers(facts, recipe):
        for fact in facts.of(subject, "caution"):
            asked = dict(fact.qualifiers)
            key = (asked.get("topic", ""), asked.get("target", ""))
            found.setdefault(key, []).append((fact.value, name, cell_row(facts, fact).get("reason", "")))
    return _gathered(facts, found)


def doses(facts: Facts, recipe: Recipe) -> tuple[Dose, ...]:
    """Each item's amount against the range of grown persons, by the route of the recipe's form."""
    route = _route(facts, recipe.dosage_form)
    return tuple(_dose(facts, item, route, recipe) for item in recipe.items)


def raws(facts: Facts, recipe: Recipe) -> tuple[Raw, ...]:
    """Raw drugs that must be prepared first, and bare names that mean the prepared form."""
    found = []
    for item in recipe.items:
        name = subject_name(facts, item.subject)
        if item.means != item.subject:
            found.append(Raw(item.subject, name, f"a bare name: read as {subject_name(facts, item.means)}", False))
        by_mouth = _inner(facts, item.means)
        if by_mouth and recipe.dosage_form not in ("plaster", "external"):
            found.append(Raw(item.subject, name, by_mouth, True))
    return tuple(found)


def controls(facts: Facts, recipe: Recipe) -> tuple[Control, ...]:
    """Every control on an item, and every withdrawn or historical item, with what may lawfully take its place."""
    found = []
    for item in recipe.items:
        name = subject_name(facts, item.subject)
        for fact in facts.of(item.means, "control"):
            row = cell_row(facts, fact)
            label = say(facts, "control", fact.value, fact.qualifiers)
            found.append(
                Control(item.subject, name, label, row["instrument"], row["substitute"], row["substitute_ratio"])
            )
        for fact in facts.of(item.means, "status"):
            if fact.value in ("withdrawn", "historical"):
                found.append(Control(item.subject, name, f"{fact.value}: not used today", "", "", ""))
    return tuple(dict.fromkeys(found))


def person(facts: Facts, recipe: Recipe, asked: str) -> Person:
    """What covers a topic (pregnancy) or a target (warfarin) in this recipe, the milder cautions too.

    KeyError names the nearest reasons for care.
    """
    wanted = asked.strip().casefold().replace(" ", "-")
    topics, targets = facts.vocabularies["topics"], facts.vocabularies["targets"]
    key = "topic" if wanted in set(topics) else "target" if wanted in set(targets) else ""
    if not key:
        raise KeyError(f"There is no reason for care {asked}. {did_you_mean(wanted, [*topics, *targets])}".strip())
    atom = Atom("caution", "any", qualifiers=(Qualifier(key, ":", wanted),))
    by_state: dict[str, Brought] = {}
    silent = []
    for subject, name in _carriers(facts, recipe):
        met = supports(atom, subject, facts)
        if not met and name != ITSELF:
            silent.append(name)
        for fact in met:
            given = dict(fact.qualifiers)
            about = (given.get("topic", ""), given.get("target", ""))
            brought = (fact.value, name, cell_row(facts, fact).get("reason", ""))
            by_state.setdefault(fact.value, {}).setdefault(about, []).append(brought)
    said = [one for state in reversed(_STATES) for one in _gathered(facts, by_state.get(state, {}))]
    return Person(asked.strip(), tuple(said), tuple(dict.fromkeys(silent)))


Brought = dict[tuple[str, str], list[tuple[str, str, str]]]


def _carriers(facts: Facts, recipe: Recipe) -> list[tuple[str, str]]:
    """Whatever may bring a caution, with the name it is called by: the items, and the formula if it is on record."""
    whole = [(recipe.id, ITSELF)] if recipe.id in facts.number else []
    return whole + [(item.means, subject_name(facts, item.subject)) for item in recipe.items]


def _gathered(facts: Facts, found: Brought) -> tuple[Caution, ...]:
    gathered = []
    for (topic, target), brought in found.items():
        state = max((one[0] for one in brought), key=_STATES.index)
        strictest = [one for one in brought if one[0] == state]
        asked = [("topic", topic)] + ([("target", target)] if target else [])
        gathered.append(
            Caution(
                topic, target, state, say(facts, "caution", state, asked),
                tuple(dict.fromkeys(name for _, name, _ in strictest)),
                tuple(dict.fromkeys(reason for _, _, reason in strictest if reason)),
            )
        )  # fmt: skip
    return tuple(
        sorted(gathered, key=lambda one: (-_STATES.index(one.state), one.topic != "pregnancy", one.topic, one.target))
    )


def _called(facts: Facts, item: Item) -> set[str]:
    return {item.subject, item.means, facts.herb_of(item.subject)}


def _keys(facts: Facts, one: Item, other: Item) -> Iterable[str]:
    for a in _called(facts, one):
        for b in _called(facts, other):
            yield "+".join(sorted((a, b)))


def _alternatives(one: Item, other: Item) -> bool:
    return (
        one.alternative_to == other.position
        or other.alternative_to == one.position
        or (one.alternative_to is not None and one.alternative_to == other.alternative_to)
    )


def _exceptions(facts: Facts, formula: str) -> dict[str, str]:
    table = facts.package.tables["exceptions"]
    rows = [table.row(number) for number in table.rows_of("subject").get(formula, ())] if formula else []
    return {row["value"]: row["reason"] for row in rows if row["rule"] == "antagonism-in-formula"}


def _route(facts: Facts, dosage_form: str) -> str:
    forms = facts.package.tables["dosage_forms"]
    broader = {row["id"]: row["broader"] for row in (forms.row(n) for n in range(len(forms)))}
    name = dosage_form
    while broader.get(name):
        name = broader[name]
    return {"pill": "pill", "powder": "powder", "medicinal-wine": "wine"}.get(name, "decoction")


def _dose(facts: Facts, item: Item, route: str, recipe: Recipe) -> Dose:
    name = subject_name(facts, item.subject)
    low, high = (_range(facts, item.means, predicate, route) for predicate in ("dose-min", "dose-max"))
    other = None if high is not None else _range(facts, item.means, "dose-max", "")
    if recipe.amounts_are != "daily":
        verdict = "not-comparable"
    elif item.amount is None:
        verdict = "no-amount"
    elif item.amount > min((most for most in (high, other) if most is not None), default=item.amount):
        verdict = "above"
    elif high is None and low is None:
        verdict = "no-range"
    elif low is not None and item.amount < low:
        verdict = "below"
    else:
        verdict = "within"
    return Dose(item.subject, name, item.amount, _text(low), _text(high), _text(other), verdict)


def _range(facts: Facts, subject: str, predicate: str, route: str) -> float | None:
    """The smallest or the largest daily amount of grown persons over all purposes [g]; without a route by any way of
    swallowing it."""
    found = []
    for fact in facts.of(subject, predicate):
        asked = dict(fact.qualifiers)
        wanted = (asked.get("per"), asked.get("population")) == ("day", "adult")
        by = asked.get("route") == route if route else asked.get("route") not in _NOT_SWALLOWED
        if wanted and by and fact.value.replace(".", "", 1).isdigit():
            found.append(float(fact.value))
    return (min(found) if predicate == "dose-min" else max(found)) if found else None


def _text(amount: float | None) -> str:
    return "" if amount is None else f"{amount:g}"


def _inner(facts: Facts, subject: str) -> str:
    for fact in facts.of(subject, "caution"):
        if ("topic", "internal-use") in fact.qualifiers and fact.value in ("avoid", "contraindicated"):
            reason = cell_row(facts, fact).get("reason", "")
            return f"{say(facts, 'caution', fact.value, fact.qualifiers)}; {reason}".rstrip("; ")
    return ""
