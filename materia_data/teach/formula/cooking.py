"""When each item goes into the pot: a time line for a decoction, or how the parts are made up."""

from collections.abc import Iterable
from dataclasses import dataclass

from materia_data.facts.facts import Facts
from materia_data.teach.formula.recipe import Item, Recipe
from materia_data.teach.words import subject_name

_MAIN, _LATE = 30, 5
_BEFORE = ("crush", "remove-hairs", "remove-core", "remove-oil")
_FIRST = ("decoct-first", "decoct-for-water")
_AFTER = ("dissolve", "melt", "take-powder", "juice", "with-wine", "steep")
_OUT = ("pills-powder-only", "not-decocted")
_VESSEL = ("no-iron", "no-aluminum", "no-fire")


@dataclass(frozen=True, slots=True)
class Step:
    """One step. stage: before, first, main, late, apart, after, not-in-the-pot, vessel; start, end: minutes from the
    fire, empty where there are none; items: names with what is done to each."""

    stage: str
    start: int | None
    end: int | None
    what: str
    items: tuple[str, ...]


def cooking(facts: Facts, recipe: Recipe) -> tuple[Step, ...]:
    """The steps in order. An item's own handling in the recipe goes before what is on record of it, unless that is
    required.

    Boiling the main part 30 minutes and the late one 5 is common practice, no source; minutes on record go before.
    Of a recipe that is not boiled: only what is done beforehand and what stays out.
    """
    stages: dict[str, list[Item]] = {}
    minutes: dict[int, int] = {}
    done: dict[int, set[str]] = {}
    for item in recipe.items:
        known, asked = _handlings(facts, item)
        done[item.position] = known
        stages.setdefault(_stage(known), []).append(item)
        minutes[item.position] = asked
    boiled = _is_boiled(facts, recipe)
    return tuple(_steps(facts, recipe, stages, minutes, done, boiled))


def _steps(
    facts: Facts,
    recipe: Recipe,
    stages: dict[str, list[Item]],
    minutes: dict[int, int],
    done: dict[int, set[str]],
    boiled: bool,
) -> Iterable[Step]:
    def named(items: Iterable[Item], *shown: str) -> tuple[str, ...]:
        return tuple(_named(facts, item, [one for one in shown if one in done[item.position]]) for item in items)

    before = [item for item in recipe.items if done[item.position] & set(_BEFORE)]
    if before:
        yield Step("before", None, None, "prepare", named(before, *_BEFORE))
    vessel = [item for item in recipe.items if done[item.position] & set(_VESSEL)]
    if vessel:
        yield Step("vessel", None, None, "mind the vessel and the fire", named(vessel, *_VESSEL))
    if boiled:
        start = 0
        first = stages.get("first", [])
        if first:
            longest = max(minutes[item.position] or _MAIN for item in first)
            for wait, items in _by_wait(first, minutes, longest):
                yield Step("first", wait, longest, "boil first", named(items, *_FIRST, "wrap"))
            start = longest
        yield Step("main", start, start + _MAIN, "boil together", named(stages.get("main", []), "wrap"))
        if stages.get("late"):
            yield Step("late", start + _MAIN - _LATE, start + _MAIN, "add late", named(stages["late"], "wrap"))
        if stages.get("apart"):
            yield Step("apart", None, None, "boil apart and mix in", named(stages["apart"], "wrap"))
        if stages.get("after"):
            yield Step("after", start + _MAIN, None, "into the strained decoction", named(stages["after"], *_AFTER))
    elif stages:
        yield Step("main", None, None, f"make up as {_form(facts, recipe)}", named(list(recipe.items), "wrap"))
    if boiled and stages.get("not-in-the-pot"):
        yield Step("not-in-the-pot", None, None, "keep out of the pot", named(stages["not-in-the-pot"], *_OUT))


def _by_wait(first: list[Item], minutes: dict[int, int], longest: int) -> list[tuple[int, list[Item]]]:
    """What boils longest goes in at once, the others so much later."""
    waits: dict[int, list[Item]] = {}
    for item in first:
        waits.setdefault(longest - (minutes[item.position] or min(_MAIN, longest)), []).append(item)
    return sorted(waits.items())


def _handlings(facts: Facts, item: Item) -> tuple[set[str], int]:
    known: set[str] = set()
    minutes = 0
    for fact in facts.of(item.means, "handling"):
        asked = dict(fact.qualifiers)
        if fact.stated and not asked.get("purpose") and asked.get("force") in ("required", "usual"):
            known.add(fact.value)
    if item.handling:
        required = {
            fact.value
            for fact in facts.of(item.means, "handling")
            if ("force", "required") in fact.qualifiers and fact.stated
        }
        known = {item.handling} | required | (known & {*_BEFORE, *_VESSEL})
    for fact in facts.of(item.means, "minutes-min"):
        if fact.value.isdigit():
            minutes = max(minutes, int(fact.value))
    return known, minutes


def _stage(known: set[str]) -> str:
    for stage, words in (
        ("not-in-the-pot", _OUT),
        ("first", _FIRST),
        ("after", _AFTER),
        ("apart", ("separate",)),
        ("late", ("add-late",)),
    ):
        if known & set(words):
            return stage
    return "main"


def _is_boiled(facts: Facts, recipe: Recipe) -> bool:
    return recipe.dosage_form in ("", "decoction", "boiled-powder", "soft-extract", "syrup")


def _form(facts: Facts, recipe: Recipe) -> str:
    return (
        facts.package.tables["dosage_forms"].row(row[0])["name_en"]
        if (row := facts.package.tables["dosage_forms"].rows_of("id").get(recipe.dosage_form))
        else recipe.dosage_form
    )


def _named(facts: Facts, item: Item, what: list[str]) -> str:
    terms = facts.vocabularies["handlings"]
    said = ", ".join(terms.label(one) for one in what)
    return subject_name(facts, item.subject) + (f" ({said})" if said else "")
