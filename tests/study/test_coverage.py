"""What no item and no sheet touches yet, counted by hand over a little unit."""

from pathlib import Path

import pytest

from materia_data.cli import main
from materia_data.materia import Materia, load
from materia_data.study.coverage import Unit, coverage
from materia_data.study.items.choose import items
from materia_data.study.items.table import quiz_csv
from materia_data.study.quiz.asked import Asked
from materia_data.study.quiz.read import read_quiz
from tests.little import little
from tests.study.read_back import owed


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Materia:
    return load(little(tmp_path_factory.mktemp("coverage") / "package"))


def _facts(unit: Unit) -> list[str]:
    return [f"{one.subject}: {one.fact}" for one in unit.untouched]


def test_with_nothing_handed_out_every_fact_is_untouched_safety_first(small: Materia) -> None:
    """The demo unit teaches a leaf and a formula: three safety facts of the leaf, nine others, of which three are the
    formula's; that the leaf is not toxic is none."""
    found = coverage(small)
    (unit,) = found.units
    assert (found.course, found.items, found.sheets) == ("demo-course", 0, ())
    assert (unit.facts, unit.touched, unit.safety, unit.safety_touched) == (12, 0, 3, 0)
    assert _facts(unit) == [
        "demo-leaf: caution in pregnancy",
        "demo-leaf: ceiling 9 g (decoction, adults)",
        "demo-leaf: add late",
        "demo-leaf: cool",
        "demo-leaf: pungent",
        "demo-leaf: slightly bitter",
        "demo-leaf: enters the lung",
        "demo-leaf: clear heat (site: lung)",
        "demo-leaf: does not soften hardness",
        "demo-tang: clear heat",
        "demo-tang: contains 示例叶 shì lì yè",
        "demo-tang: contains 示例子 shì lì zǐ",
    ]
    assert [one.safety for one in unit.untouched] == [True] * 3 + [False] * 9
    assert unit.untouched[0].place == "herbs/cautions.csv demo-leaf|pregnancy| state"


def test_items_touch_what_they_rest_on_and_no_more(small: Materia, tmp_path: Path) -> None:
    """Of the four cautions asked about one is the leaf's; a plain question on its nature touches that."""
    path = tmp_path / "quiz.csv"
    path.write_text(quiz_csv(items(small, kinds=["caution"], count=4)), encoding="utf-8")
    (unit,) = coverage(small, quiz=read_quiz(path)).units
    assert (unit.touched, unit.safety_touched) == (1, 1)
    assert "demo-leaf: caution in pregnancy" not in _facts(unit)
    plain = Asked("line 2", "", "What is the nature of demo leaf?", ("cool", "warm"), (0,))
    vague = Asked("line 3", "", "What is the nature of demo leaf in winter?", ("cool", "warm"), (0,))
    (unit,) = coverage(small, quiz=[plain]).units
    assert unit.touched == 1 and "demo-leaf: cool" not in _facts(unit)
    assert coverage(small, quiz=[vague]).units[0].touched == 0


def test_a_sheet_touches_what_it_prints(small: Materia) -> None:
    """The sheet of the unit has all but what the formula does; that of another category has nothing of it."""
    (unit,) = coverage(small, "demo-unit", sheets=["demo-unit"]).units
    assert _facts(unit) == ["demo-tang: clear heat"] and unit.safety_touched == 3
    assert coverage(small, sheets=["warm-interior"]).units[0].safety_touched == 0


def test_every_caution_of_a_shipped_unit_is_counted() -> None:
    """As many cautions that say more than none as the CSV files give its five medicinals and their forms, and its
    own sheet prints every one of them."""
    materia = load()
    members = ("ci-shi", "hu-po", "long-chi", "long-gu", "zhu-sha")
    (unit,) = coverage(materia, "year-settle-spirit").units
    (printed,) = coverage(materia, "year-settle-spirit", sheets=["year-settle-spirit"]).units
    counted = [one.place for one in unit.untouched if one.place.startswith("herbs/cautions.csv")]
    assert len(counted) >= len([one for one in owed(members) if one[0] != "none-stated"]) > 20
    assert not [one for one in printed.untouched if one.place.startswith("herbs/cautions.csv")]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["demo-corse"], "demo-corse is no course and no unit. Did you mean demo-course"),
        (["--quiz", "no-such.csv"], "no-such.csv cannot be read"),
        (["--quiz", "quiz.doc"], "quiz.doc ends in none of"),
        (["--sheet", "demo-unti"], "demo-unti is no category, group or unit"),
    ],
)
def test_bad_input_ends_with_2_and_one_message(
    words: list[str], says: str, small: Materia, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is wrong and what is near."""
    assert main(["study", "coverage", *words, "--data", str(small.package.root)]) == 2
    assert says in capsys.readouterr().err


def test_a_unit_that_is_covered_lists_nothing(small: Materia, capsys: pytest.CaptureFixture[str]) -> None:
    """With its sheet no safety fact of the unit is listed; with --all the formula's action is."""
    words = ["study", "coverage", "--sheet", "demo-unit", "--data", str(small.package.root)]
    assert main(words) == 0
    assert "3 of 3 safety facts touched, 11 of 12 in all" in (said := capsys.readouterr().out)
    assert "touched:" not in said
    assert main([*words, "--all"]) == 0
    assert "nor: 示例汤 shì lì tāng: clear heat" in capsys.readouterr().out
