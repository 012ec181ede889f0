"""What a whole recipe does and what pulls the other way, worked by hand."""

from pathlib import Path

import pytest

from materia_data import load
from materia_data.materia import Materia
from materia_data.teach.formula.kin import kin
from materia_data.teach.formula.recipe import read_recipe, recipe_of
from materia_data.teach.formula.whole import Whole, whole
from tests.little import little


def of(folder: Path, text: str, **tables: list[dict[str, object]]) -> Whole:
    """The whole of a recipe in the little package, where cold has rank -2, neutral 0, warm 1 and hot 2."""
    materia = load(little(folder / "package", **tables))
    file = folder / "recipe.csv"
    file.write_text("name,amount_g\n" + text, encoding="utf-8")
    return whole(materia.facts, read_recipe(materia, file))


def test_the_balance_of_natures_is_weighed_by_amount(tmp_path: Path) -> None:
    """9 g cold and 3 g warm: (9 * -2 + 3 * 1) / 12 = -1.25, cool; three quarters cold, one quarter warm."""
    found = of(tmp_path, "demo-kelp,9\ndemo-seed,3\n")
    assert (found.warmth, found.nature, found.cold, found.neutral, found.warm) == (-1.25, "cool", 0.75, 0.0, 0.25)
    assert found.by_amount and found.uncounted == ()
    assert [(pull.subject, pull.against, pull.meant) for pull in found.pulls] == [
        ("demo-seed", "warm where the whole is cool", False)
    ]


def test_without_amounts_each_item_counts_alike(tmp_path: Path) -> None:
    """Cold and hot balance: even, and nothing pulls against it."""
    found = of(tmp_path, "demo-kelp,\ndemo-root,3\n")
    assert (found.warmth, found.nature, found.by_amount, found.pulls) == (0.0, "even", False, ())


def test_an_item_without_a_nature_weighs_nothing_and_is_named(tmp_path: Path) -> None:
    """The unknown does not make the whole neutral."""
    found = of(tmp_path, "demo-kelp,3\nx-unknown,9\n", herbs=[{"id": "x-unknown", "name_hans": "未知"}])
    assert (found.warmth, found.cold, found.uncounted) == (-2.0, 1.0, ("未知 shì lì",))


def test_directions_are_shares_of_what_states_one(tmp_path: Path) -> None:
    """6 of 9 g rise; nobody says where the rest goes."""
    found = of(tmp_path, "demo-kelp,6\ndemo-seed,3\n", herbs=[{"id": "demo-kelp", "directions": "ascending;floating"}])
    assert (found.rising, found.sinking) == (pytest.approx(0.67), 0.0)


def formula(folder: Path, *items: dict[str, str], **cells: str) -> Materia:
    rows = [{"formula": "mixed-tang", "position": str(place), **item} for place, item in enumerate(items, 1)]
    formulas = [{"id": "mixed-tang", "dosage_form": "decoction", **cells}]
    return load(little(folder / "package", formulas=formulas, formula_items=rows))


def test_what_it_is_for_comes_first_then_the_weight_of_roles(tmp_path: Path) -> None:
    """Clearing heat is what it is for; then the chief's action; what one envoy alone does is left out."""
    materia = formula(
        tmp_path,
        {"subject": "demo-kelp", "roles": "chief"},
        {"subject": "demo-leaf", "roles": "deputy"},
        {"subject": "demo-seed", "roles": "envoy"},
        actions="clear-heat",
    )
    found = whole(materia.facts, recipe_of(materia.facts, "mixed-tang"))
    assert [(one.action, one.items, one.score) for one in found.actions] == [
        ("clear-heat", ("示例叶 shì lì yè",), 3.0),
        ("soften-hardness", ("示例藻 shì lì zǎo",), 4.0),
    ]


def test_the_same_medicinal_twice_is_one(tmp_path: Path) -> None:
    """Two kinds of kelp under one record are not two who agree."""
    materia = formula(
        tmp_path,
        {"subject": "demo-seed", "roles": "envoy"},
        {"subject": "demo-seed", "roles": "envoy", "amount_g": "3"},
    )
    assert whole(materia.facts, recipe_of(materia.facts, "mixed-tang")).actions == ()


def test_what_is_there_to_restrain_is_on_purpose(tmp_path: Path) -> None:
    """It carries nothing of the whole's work, and its pull is meant, with what it restrains and why."""
    materia = formula(
        tmp_path,
        {"subject": "demo-kelp", "roles": "chief"},
        {"subject": "demo-seed", "roles": "assistant", "function": "restrain", "acts_on": "demo-kelp",
         "reason": "An invented reason."},
    )  # fmt: skip
    (pull,) = whole(materia.facts, recipe_of(materia.facts, "mixed-tang")).pulls
    assert pull.meant and pull.against == "restrains 示例藻 shì lì zǎo" and pull.why == "An invented reason."


def test_an_alternative_weighs_nothing(tmp_path: Path) -> None:
    """What stands in place of another is not added to it."""
    materia = formula(
        tmp_path,
        {"subject": "demo-kelp", "roles": "chief", "amount_g": "3"},
        {"subject": "demo-seed", "roles": "chief", "amount_g": "3", "alternative_to": "1"},
    )
    assert whole(materia.facts, recipe_of(materia.facts, "mixed-tang")).warmth == -2.0


def kin_of(folder: Path, formulas: dict[str, tuple[str, ...]], **derived: str) -> dict[str, str]:
    rows = [{"id": id, "derived_from": derived.get(id.replace("-", "_"), "")} for id in formulas]
    items = [
        {"formula": id, "position": str(place), "subject": subject, "roles": "chief"}
        for id, subjects in formulas.items()
        for place, subject in enumerate(subjects, 1)
    ]
    materia = load(little(folder / "package", formulas=rows, formula_items=items))
    return {one.id: one.how for one in kin(materia.facts, recipe_of(materia.facts, "mine"))}


def test_who_holds_whom_and_who_was_made_from_whom(tmp_path: Path) -> None:
    """Containment goes by medicinal, a form counting as its herb; what is on record as derived is said so instead."""
    found = kin_of(
        tmp_path,
        {
            "mine": ("demo-kelp", "demo-leaf", "demo-seed"),
            "part": ("demo-kelp", "demo-leaf"),
            "more": ("demo-kelp", "demo-leaf", "demo-seed", "demo-root.zhi"),
            "child": ("demo-kelp",),
            "other": ("demo-root",),
        },
        child="mine",
    )
    assert found == {"child": "made-into", "part": "contained", "more": "contains", "demo-tang": "contained"}


def test_near_is_at_least_a_quarter_alike(tmp_path: Path) -> None:
    """Two of three in common is near; nothing in common is no kin."""
    found = kin_of(
        tmp_path,
        {"mine": ("demo-kelp", "demo-leaf"), "near": ("demo-kelp", "demo-seed"), "far": ("demo-root", "demo-seed")},
    )
    assert found["near"] == "near" and "far" not in found
