"""What in a recipe can hurt, each kind planted in an invented one."""

from pathlib import Path
from typing import Any

import pytest

from materia_data import load
from materia_data.materia import Materia
from materia_data.teach.formula.dangers import antagonisms, cautions, controls, doses, person, raws
from materia_data.teach.formula.recipe import Recipe, read_recipe, recipe_of
from tests.little import little


def school(folder: Path, **tables: Any) -> Materia:
    return load(little(folder / "package", **tables))


def recipe(materia: Materia, folder: Path, text: str) -> Recipe:
    file = folder / "recipe.csv"
    file.write_text("name,amount_g\n" + text, encoding="utf-8")
    return read_recipe(materia, file)


def mixed(*items: tuple[str, str], **more: str) -> dict[str, list[dict[str, str]]]:
    """The formula mixed-tang with these items and grams."""
    return {
        "formulas": [{"id": "mixed-tang", "dosage_form": "decoction", "amounts_are": "daily", **more}],
        "formula_items": [
            {"formula": "mixed-tang", "position": str(place), "subject": subject, "roles": "chief", "amount_g": grams}
            for place, (subject, grams) in enumerate(items, 1)
        ],
    }


def test_an_opposed_pair_is_found_whatever_form_is_written(tmp_path: Path) -> None:
    """Kelp opposes the root, so its raw and its prepared form, in either order."""
    materia = school(tmp_path)
    for text in ("demo-kelp,9\ndemo-root,3\n", "demo-root.sheng,3\ndemo-kelp,9\n", "demo-root.zhi,3\ndemo-kelp,9\n"):
        (one,) = antagonisms(materia.facts, recipe(materia, tmp_path, text))
        assert (one.state, one.lists, one.excepted) == ("avoid", ("other",), "")
    assert antagonisms(materia.facts, recipe(materia, tmp_path, "demo-kelp,9\ndemo-leaf,3\n")) == ()


def test_the_strictest_of_two_lists_is_shown(tmp_path: Path) -> None:
    """One list says avoid, another contraindicated."""
    row = {"a": "demo-kelp", "b": "demo-root", "list": "eighteen", "state": "contraindicated"}
    materia = school(tmp_path, antagonisms=[row])
    (one,) = antagonisms(materia.facts, recipe(materia, tmp_path, "demo-kelp,9\ndemo-root,3\n"))
    assert (one.state, one.lists) == ("contraindicated", ("eighteen", "other"))


def test_a_pair_combined_on_purpose_carries_its_reason(tmp_path: Path) -> None:
    """The formula's exception is shown, and the pair still is."""
    excepted = [{"rule": "antagonism-in-formula", "subject": "mixed-tang", "value": "demo-kelp+demo-root",
                 "reason": "An invented purpose."}]  # fmt: skip
    materia = school(tmp_path, exceptions=excepted, **mixed(("demo-kelp", "9"), ("demo-root", "3")))
    (one,) = antagonisms(materia.facts, recipe_of(materia.facts, "mixed-tang"))
    assert one.excepted == "An invented purpose."


def test_alternatives_never_clash(tmp_path: Path) -> None:
    """Who stands in place of another is never in the pot with it."""
    tables = mixed(("demo-kelp", "9"), ("demo-root", "3"))
    tables["formula_items"][1]["alternative_to"] = "1"
    materia = school(tmp_path, **tables)
    assert antagonisms(materia.facts, recipe_of(materia.facts, "mixed-tang")) == ()


def test_each_caution_stands_at_its_strictest_with_who_brings_it(tmp_path: Path) -> None:
    """The root is contraindicated in pregnancy, the leaf a caution: the root speaks, by its prepared form."""
    materia = school(tmp_path)
    found = cautions(materia.facts, recipe(materia, tmp_path, "demo-leaf,3\ndemo-root,3\ndemo-kelp,6\n"))
    assert [(one.topic, one.target, one.state, one.brought_by) for one in found] == [
        ("pregnancy", "", "contraindicated", ("示例根 shì lì gēn",)),
        ("condition", "thyroid-disease", "caution", ("示例藻 shì lì zǎo",)),
    ]


def test_the_formulas_own_caution_is_among_them(tmp_path: Path) -> None:
    """What is on record of the whole counts beside what its items bring."""
    own = [{"subject": "demo-tang", "topic": "lactation", "state": "avoid"}]
    materia = school(tmp_path, cautions=own)
    found = cautions(materia.facts, recipe_of(materia.facts, "demo-tang"))
    assert ("lactation", ("the formula as a whole",)) in [(one.topic, one.brought_by) for one in found]


def test_one_person_hears_the_milder_cautions_too_and_what_nobody_checked(tmp_path: Path) -> None:
    """For pregnancy: the root, then the leaf at its own degree, and the kelp as not checked."""
    materia = school(tmp_path)
    found = person(materia.facts, recipe(materia, tmp_path, "demo-leaf,3\ndemo-root,3\ndemo-kelp,6\n"), "pregnancy")
    assert [(one.state, one.brought_by) for one in found.said] == [
        ("contraindicated", ("示例根 shì lì gēn",)),
        ("caution", ("示例叶 shì lì yè",)),
    ]
    assert found.not_checked == ("示例藻 shì lì zǎo",)


def test_a_caution_on_a_class_covers_the_drug(tmp_path: Path) -> None:
    """Anticoagulants take in warfarin, and every drug does too."""
    rows = [
        {"subject": "demo-seed", "topic": "drug", "target": "anticoagulants", "state": "avoid"},
        {"subject": "demo-kelp", "topic": "drug", "target": "", "state": "caution"},
    ]
    materia = school(tmp_path, cautions=rows)
    found = person(materia.facts, recipe(materia, tmp_path, "demo-seed,3\ndemo-kelp,6\ndemo-leaf,3\n"), " Warfarin ")
    assert [one.state for one in found.said] == ["avoid", "caution"]
    assert found.not_checked == ("示例叶 shì lì yè",)


def test_an_unknown_reason_for_care_is_refused(tmp_path: Path) -> None:
    """With the nearest; a reason that is not understood is never taken for no reason."""
    materia = school(tmp_path)
    with pytest.raises(KeyError, match="Did you mean warfarin"):
        person(materia.facts, recipe_of(materia.facts, "demo-tang"), "warfarine")


@pytest.mark.parametrize(
    ("grams", "verdict"), [("9", "within"), ("3", "within"), ("9.1", "above"), ("2.9", "below"), ("", "no-amount")]
)
def test_an_amount_is_held_against_the_range(tmp_path: Path, grams: str, verdict: str) -> None:
    """The leaf's range is 3 to 9 g a day by decoction; its ends are within."""
    materia = school(tmp_path)
    (one,) = doses(materia.facts, recipe(materia, tmp_path, f"demo-leaf,{grams}\n"))
    assert (one.low, one.high, one.verdict) == ("3", "9", verdict)


def test_a_range_of_another_purpose_widens_the_ceiling(tmp_path: Path) -> None:
    """The largest over all purposes counts, for grown persons and by the day."""
    rows = [
        {"subject": "demo-leaf", "purpose": "emergency", "max": "30"},
        {"subject": "demo-leaf", "population": "child", "max": "60"},
    ]
    materia = school(tmp_path, doses=rows)
    (one,) = doses(materia.facts, recipe(materia, tmp_path, "demo-leaf,31\n"))
    assert (one.high, one.verdict) == ("30", "above")


def test_more_than_any_ceiling_by_mouth_is_above(tmp_path: Path) -> None:
    """Where only a powder's range is on record, more than its most does not pass in silence, and less is not judged."""
    rows = [
        {"subject": "x-salt", "route": "powder", "min": "0.1", "max": "0.5"},
        {"subject": "x-salt", "route": "external", "min": "1", "max": "30"},
    ]
    materia = school(tmp_path, herbs=[{"id": "x-salt"}], doses=rows)
    for grams, verdict in (("1", "above"), ("0.3", "no-range")):
        (one,) = doses(materia.facts, recipe(materia, tmp_path, f"x-salt,{grams}\n"))
        assert (one.high, one.elsewhere, one.verdict) == ("", "0.5", verdict)


def test_ratios_are_not_compared(tmp_path: Path) -> None:
    """A ratio or a batch is no day's amount."""
    materia = school(tmp_path, **mixed(("demo-leaf", "300"), amounts_are="batch"))
    (one,) = doses(materia.facts, recipe_of(materia.facts, "mixed-tang"))
    assert one.verdict == "not-comparable"


def test_a_raw_drug_not_taken_by_mouth_is_a_danger(tmp_path: Path) -> None:
    """Unless the recipe stays outside the body; a bare name is told what it means and is none."""
    rows = [{"subject": "demo-root.sheng", "topic": "internal-use", "state": "avoid", "reason": "It is raw."}]
    topics = [{"id": "internal-use", "name_en": "internal use"}]
    forms = [{"id": "external", "name_en": "for outside use", "name_hans": "外用"}]
    tables = mixed(("demo-root.sheng", "1"), dosage_form="external")
    materia = school(tmp_path, cautions=rows, topics=topics, dosage_forms=forms, **tables)
    (raw,) = raws(materia.facts, recipe(materia, tmp_path, "demo-root.sheng,1\n"))
    assert raw.danger and raw.message == "avoid: internal use; It is raw."
    assert raws(materia.facts, recipe_of(materia.facts, "mixed-tang")) == ()
    (bare,) = raws(materia.facts, recipe(materia, tmp_path, "demo-root,1\n"))
    assert not bare.danger and "制示例根" in bare.message


def test_a_control_names_its_law_and_the_lawful_substitute(tmp_path: Path) -> None:
    """And what is withdrawn is told even without a law."""
    rows = [{"subject": "demo-kelp", "level": "banned", "substitute": "demo-leaf", "substitute_ratio": "2"}]
    materia = school(tmp_path, controls=rows, herbs=[{"id": "demo-seed", "status": "withdrawn"}])
    found = controls(materia.facts, recipe(materia, tmp_path, "demo-kelp,6\ndemo-seed,3\n"))
    assert [(one.subject, one.instrument, one.substitute, one.ratio) for one in found] == [
        ("demo-kelp", "demo-law", "demo-leaf", "2"),
        ("demo-seed", "", "", ""),
    ]
    assert found[1].label == "withdrawn: not used today"
