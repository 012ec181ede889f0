"""Which formulas on record a recipe contains, which contain it, which are nearest."""

from dataclasses import dataclass
from math import log

from materia_data.facts.facts import Facts
from materia_data.teach.formula.recipe import Recipe
from materia_data.teach.likeness import likeness
from materia_data.teach.words import row_of, subject_name

_MOST = 5


@dataclass(frozen=True, slots=True)
class Kin:
    """One related formula. how: contains (it holds this recipe), contained (this recipe holds it), made-from,
    made-into, near; likeness of composition, 0 to 1; more, less: what it has besides, and what it lacks."""

    id: str
    name_hans: str
    pinyin: str
    how: str
    likeness: float
    more: tuple[str, ...]
    less: tuple[str, ...]


def kin(facts: Facts, recipe: Recipe) -> tuple[Kin, ...]:
    """Related formulas: what is on record as made from or into, containment by medicinal (a form counts as its herb),
    then up to five of the nearest composition, at least a quarter alike, rare medicinals counting for more."""
    whole = _compositions(facts)
    mine = {facts.herb_of(item.subject) for item in recipe.items if item.alternative_to is None}
    count: dict[str, int] = {}
    for herbs in whole.values():
        for herb in herbs:
            count[herb] = count.get(herb, 0) + 1
    rarity = {herb: log(1 + len(whole) / count.get(herb, 1)) for herb in {*count, *mine}}
    mine_marks = {("contains", herb): rarity[herb] for herb in mine}
    found: list[Kin] = []
    for other, herbs in whole.items():
        if other == recipe.id or not herbs:
            continue
        alike = likeness(mine_marks, {("contains", herb): rarity[herb] for herb in herbs})
        how = _how(facts, recipe.id, other, mine, herbs)
        if how == "near" and alike < 0.25:
            continue
        row = row_of(facts, "formulas", other)
        found.append(
            Kin(
                other, row["name_hans"], row["pinyin"], how, round(alike, 2),
                tuple(subject_name(facts, herb) for herb in sorted(herbs - mine)),
                tuple(subject_name(facts, herb) for herb in sorted(mine - herbs)),
            )
        )  # fmt: skip
    found.sort(key=lambda one: (_ORDER.index(one.how), -one.likeness, one.id))
    near = [one for one in found if one.how == "near"][:_MOST]
    return tuple([one for one in found if one.how != "near"] + near)


_ORDER = ("made-from", "made-into", "contained", "contains", "near")


def _compositions(facts: Facts) -> dict[str, set[str]]:
    """Each formula's medicinals, alternatives left out."""
    table = facts.package.tables["formula_items"]
    found: dict[str, set[str]] = {id: set() for id in facts.package.tables["formulas"].columns["id"]}
    for formula, subject, instead in zip(
        table.columns["formula"], table.columns["subject"], table.columns["alternative_to"], strict=True
    ):
        if formula in found and subject in facts.number and not instead:
            found[formula].add(facts.herb_of(subject))
    return found


def _how(facts: Facts, mine_id: str, other: str, mine: set[str], theirs: set[str]) -> str:
    if mine_id and other in row_of(facts, "formulas", mine_id).get("derived_from", "").split(";"):
        return "made-from"
    if mine_id and mine_id in row_of(facts, "formulas", other).get("derived_from", "").split(";"):
        return "made-into"
    if theirs <= mine and len(theirs) > 1:
        return "contained"
    if mine <= theirs and len(mine) > 1:
        return "contains"
    return "near"
