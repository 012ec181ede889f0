"""A formula on record, or a recipe in a file, looked at from every side."""

from collections.abc import Sequence
from dataclasses import dataclass

from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.teach.formula.cooking import Step, cooking
from materia_data.teach.formula.dangers import (
    Antagonism,
    Caution,
    Control,
    Dose,
    Person,
    Raw,
    antagonisms,
    cautions,
    controls,
    doses,
    person,
    raws,
)
from materia_data.teach.formula.kin import Kin, kin
from materia_data.teach.formula.recipe import Item, Recipe, Unknown
from materia_data.teach.formula.whole import Whole, whole
from materia_data.teach.layered import layer_lines
from materia_data.teach.words import actions_of, listed, say, subject_name


@dataclass(frozen=True, slots=True)
class Analysed:
    """One item. reason: as recorded, else from its facts (reason_from_facts then true)."""

    position: int
    subject: str
    means: str
    name: str
    as_written: str
    roles: tuple[str, ...]
    function: str
    amount: float | None
    classical: str
    alternative_to: int | None
    reason: str
    reason_from_facts: bool


@dataclass(frozen=True, slots=True)
class Formula:
    """The whole answer; `grave` says in words what must not pass in silence."""

    id: str
    title: str
    dosage_form: str
    amounts_are: str
    items: tuple[Analysed, ...]
    unknown: tuple[Unknown, ...]
    whole: Whole
    antagonisms: tuple[Antagonism, ...]
    cautions: tuple[Caution, ...]
    doses: tuple[Dose, ...]
    raw: tuple[Raw, ...]
    controls: tuple[Control, ...]
    cooking: tuple[Step, ...]
    person: tuple[Person, ...]
    kin: tuple[Kin, ...]
    grave: tuple[str, ...]


def analyse(materia: Materia, recipe: Recipe, asks: Sequence[str] = ()) -> Formula:
    """Look at a recipe. asks: reasons for care of one person, topics or targets. KeyError for one that is not known."""
    facts = materia.facts
    opposed, dosed, raw = antagonisms(facts, recipe), doses(facts, recipe), raws(facts, recipe)
    controlled, steps = controls(facts, recipe), cooking(facts, recipe)
    people = tuple(person(facts, recipe, asked) for asked in asks)
    return Formula(
        recipe.id, recipe.title, recipe.dosage_form, recipe.amounts_are,
        tuple(_item(facts, item, recipe) for item in recipe.items),
        recipe.unknown, whole(facts, recipe), opposed, cautions(facts, recipe), dosed, raw, controlled, steps, people,
        kin(facts, recipe),
        (*_loosened(materia, recipe), *_grave(recipe, opposed, dosed, raw, controlled, steps, people)),
    )  # fmt: skip


def _loosened(materia: Materia, recipe: Recipe) -> list[str]:
    """What a layer weakens or hides of the recipe and of what is in it."""
    own = [recipe.id] if recipe.id in materia.facts.number else []
    items = [item.means for item in recipe.items if item.means in materia.facts.number]
    return [f"loosened by a layer: {line.text}" for line in layer_lines(materia, own, items) if line.loosens]


def _item(facts: Facts, item: Item, recipe: Recipe) -> Analysed:
    return Analysed(
        item.position, item.subject, item.means, subject_name(facts, item.subject), item.as_written, item.roles,
        item.function, item.amount, item.classical, item.alternative_to,
        item.reason or _from_facts(facts, item, recipe), not item.reason,
    )  # fmt: skip


def _from_facts(facts: Facts, item: Item, recipe: Recipe) -> str:
    """What it does that the formula is for, else what it does first."""
    terms = facts.vocabularies["actions"]
    does = list(dict.fromkeys(fact.value for fact in actions_of(facts, item.means) if fact.stated))
    wanted = {broader for action in recipe.actions for broader in terms.up(action)}
    shared = [action for action in does if action in wanted]
    chosen = (shared or does)[:3]
    return f"On record: {listed(say(facts, 'action', action) for action in chosen)}." if chosen else ""


def _grave(
    recipe: Recipe,
    opposed: Sequence[Antagonism],
    dosed: Sequence[Dose],
    raw: Sequence[Raw],
    controlled: Sequence[Control],
    steps: Sequence[Step],
    people: Sequence[Person],
) -> list[str]:
    found = [f"not understood: {one.name} {one.why}" for one in recipe.unknown]
    found += [
        f"opposed: {one.names} ({one.state})" + (f"; on purpose: {one.excepted}" if one.excepted else "")
        for one in opposed
    ]
    found += [
        f"above its ceiling: {one.name}, {one.amount:g} g where {one.high or one.elsewhere} g is the most"
        for one in dosed
        if one.verdict == "above"
    ]
    found += [f"raw: {one.name}: {one.message}" for one in raw if one.danger]
    found += [f"not lawful or not used today: {one.name}: {one.label}" for one in controlled if not one.instrument]
    found += [f"not to be boiled: {', '.join(step.items)}" for step in steps if step.stage == "not-in-the-pot"]
    for each in people:
        found += [
            f"{each.asked}: {one.label}: {listed(one.brought_by)}"
            for one in each.said
            if one.state in ("avoid", "contraindicated")
        ]
    return list(dict.fromkeys(found))
