"""The time line of a decoction, worked by hand. Thirty minutes for the main part and five for the late one are common
practice, no source."""

from pathlib import Path
from typing import Any

from materia_data import load
from materia_data.materia import Materia
from materia_data.teach.formula.cooking import cooking
from materia_data.teach.formula.recipe import recipe_of
from tests.little import little

Line = tuple[str, int | None, int | None]
HANDLINGS = [{"id": id, "name_en": id.replace("-", " ")} for id in ("crush", "dissolve", "no-iron", "separate")]


def mixed(folder: Path, *subjects: str, form: str = "decoction", **tables: Any) -> Materia:
    items = [
        {"formula": "mixed-tang", "position": str(place), "subject": subject, "roles": "chief"}
        for place, subject in enumerate(subjects, 1)
    ]
    for item in items:
        item.update(tables.pop("item", {}).get(item["subject"], {}))
    formulas = [{"id": "mixed-tang", "dosage_form": form}]
    return load(little(folder / "package", formulas=formulas, formula_items=items, handlings=HANDLINGS, **tables))


def steps(materia: Materia) -> list[tuple[str, int | None, int | None, int]]:
    return [
        (one.stage, one.start, one.end, len(one.items))
        for one in cooking(materia.facts, recipe_of(materia.facts, "mixed-tang"))
    ]


def test_first_main_and_late(tmp_path: Path) -> None:
    """The root boils an hour alone, the seed and kelp thirty minutes more, the leaf the last five of them."""
    materia = mixed(tmp_path, "demo-root", "demo-seed", "demo-leaf", "demo-kelp")
    assert steps(materia) == [("first", 0, 60, 1), ("main", 60, 90, 2), ("late", 85, 90, 1)]


def test_what_boils_longest_goes_in_first_and_the_others_so_much_later(tmp_path: Path) -> None:
    """Sixty minutes and twenty: the second goes in at forty, and both are done together."""
    row = {"subject": "demo-kelp", "handling": "decoct-first", "force": "usual", "minutes_min": "20"}
    materia = mixed(tmp_path, "demo-root", "demo-kelp", "demo-seed", handling=[row])
    assert steps(materia) == [("first", 0, 60, 1), ("first", 40, 60, 1), ("main", 60, 90, 1)]


def test_with_nothing_to_boil_first_the_clock_begins_with_the_main_part(tmp_path: Path) -> None:
    """Thirty minutes."""
    assert steps(mixed(tmp_path, "demo-seed", "demo-kelp")) == [("main", 0, 30, 2)]


def test_what_is_not_boiled_stays_out_of_the_pot(tmp_path: Path) -> None:
    """Pills and powders only, however it is written in the recipe."""
    row = {"subject": "demo-kelp", "handling": "pills-powder-only", "force": "required"}
    materia = mixed(tmp_path, "demo-seed", "demo-kelp", handling=[row], item={"demo-kelp": {"handling": "add-late"}})
    assert steps(materia) == [("main", 0, 30, 1), ("not-in-the-pot", None, None, 1)]


def test_beforehand_apart_afterwards_and_the_vessel(tmp_path: Path) -> None:
    """Crushed before, boiled apart, dissolved in what was strained, and kept from iron."""
    rows = [
        {"subject": "demo-kelp", "handling": "crush", "force": "usual"},
        {"subject": "demo-seed", "handling": "separate", "force": "usual"},
        {"subject": "demo-leaf", "handling": "dissolve", "force": "required"},
        {"subject": "demo-kelp", "handling": "no-iron", "force": "usual"},
    ]
    materia = mixed(tmp_path, "demo-kelp", "demo-seed", "demo-leaf", handling=rows)
    assert steps(materia) == [
        ("before", None, None, 1),
        ("vessel", None, None, 1),
        ("main", 0, 30, 1),
        ("apart", None, None, 1),
        ("after", 30, None, 1),
    ]


def test_the_recipes_word_goes_before_what_is_usual_but_not_before_what_is_required(tmp_path: Path) -> None:
    """The leaf, usually late, is boiled with the rest if the recipe says so; the root boils first all the same."""
    said = {"demo-leaf": {"handling": "ordinary"}, "demo-root": {"handling": "ordinary"}}
    assert steps(mixed(tmp_path, "demo-leaf", "demo-root", item=said)) == [("first", 0, 60, 1), ("main", 60, 90, 1)]


def test_an_optional_way_is_not_in_the_line(tmp_path: Path) -> None:
    """What may be done is not what is done."""
    row = {"subject": "demo-seed", "handling": "decoct-first", "force": "optional"}
    assert steps(mixed(tmp_path, "demo-seed", handling=[row])) == [("main", 0, 30, 1)]


def test_a_pill_has_no_clock(tmp_path: Path) -> None:
    """What is not boiled is made up, and what must not be boiled is no trouble there."""
    row = {"subject": "demo-kelp", "handling": "pills-powder-only", "force": "required"}
    materia = mixed(tmp_path, "demo-seed", "demo-kelp", form="pill", handling=[row])
    (one,) = cooking(materia.facts, recipe_of(materia.facts, "mixed-tang"))
    assert (one.start, one.what, len(one.items)) == (None, "make up as pill", 2)
