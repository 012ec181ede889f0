"""A recipe never passes in silence: each grave thing has its line, and the command ends with 1."""

import json
from pathlib import Path

import pytest

from materia_data import load
from materia_data.cli import main
from materia_data.teach.formula.analysis import analyse
from materia_data.teach.formula.recipe import read_recipe, recipe_of
from tests.little import little


def package(folder: Path) -> Path:
    """The little package with a raw drug that is not taken by mouth, a withdrawn one, and one not to be boiled."""
    herbs: list[dict[str, object]] = [
        {"id": f"demo-{id}", "name_hans": name, "name_hant": name}
        for id, name in (("kelp", "甲藻"), ("leaf", "乙叶"), ("root", "丙根"), ("seed", "丁子"))
    ]
    herbs += [{"id": "x-old", "name_hans": "戊木", "status": "withdrawn"}, {"id": "x-salt", "name_hans": "己石"}]
    cautions = [{"subject": "demo-root.sheng", "topic": "internal-use", "state": "avoid", "reason": "It is raw."}]
    handling = [{"subject": "x-salt", "handling": "pills-powder-only", "force": "required"}]
    topics = [{"id": "internal-use", "name_en": "internal use"}]
    return little(folder / "package", herbs=herbs, cautions=cautions, handling=handling, topics=topics)


def run(folder: Path, lines: str, *more: str) -> int:
    file = folder / "recipe.csv"
    file.write_text("name,amount_g\n" + lines, encoding="utf-8")
    return main(["formula", str(file), "--data", str(package(folder)), *more])


@pytest.mark.parametrize(
    ("lines", "asks", "says"),
    [
        ("甲藻,6\n丙根,3\n", (), "opposed: 甲藻"),
        ("甲藻,6\nunheard of,3\n", (), "not understood: unheard of"),
        ("乙叶,10\n", (), "above its ceiling: 乙叶"),
        ("demo-root.sheng,1\n", (), "raw: 生示例根"),
        ("戊木,3\n", (), "not lawful or not used today: 戊木"),
        ("己石,3\n", (), "not to be boiled: 己石"),
        ("丙根,3\n", ("--for", "pregnancy"), "pregnancy: contraindicated in pregnancy: 丙根"),
    ],
)
def test_what_is_grave_ends_with_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], lines: str, asks: tuple[str, ...], says: str
) -> None:
    """In text at the top, in JSON under `grave`, and by the exit code."""
    assert run(tmp_path, lines, *asks) == 1
    assert f"  ! {says}" in capsys.readouterr().out
    assert run(tmp_path, lines, *asks, "--format", "json") == 1
    assert any(line.startswith(says) for line in json.loads(capsys.readouterr().out)["grave"])


def test_a_quiet_recipe_ends_with_nought(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing grave, and the line that goes with everything."""
    assert run(tmp_path, "甲藻,6\n乙叶,3\n") == 0
    out = capsys.readouterr().out
    assert " ! " not in out and "licensed practice decide" in out


@pytest.mark.parametrize("lines", ["甲藻,six\n", "甲藻\n"])
def test_a_damaged_recipe_ends_with_two(tmp_path: Path, capsys: pytest.CaptureFixture[str], lines: str) -> None:
    """What could not be read is not judged."""
    assert run(tmp_path, lines) == 2
    assert "line 2" in capsys.readouterr().err


def test_an_unknown_formula_or_reason_ends_with_two(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With the nearest."""
    data = str(package(tmp_path))
    assert main(["formula", "demo-teng", "--data", data]) == 2
    assert "Did you mean demo-tang" in capsys.readouterr().err
    assert main(["formula", "demo-tang", "--for", "pregnency", "--data", data]) == 2
    assert "Did you mean pregnancy" in capsys.readouterr().err


def test_a_recorded_reason_goes_before_one_made_from_facts(tmp_path: Path) -> None:
    """The formula tells why its leaf is there; a file's leaf is given what is on record of it."""
    materia = load(package(tmp_path))
    on_record = analyse(materia, recipe_of(materia.facts, "demo-tang")).items[0]
    assert (on_record.reason, on_record.reason_from_facts) == ("Clears heat from the lung.", False)
    file = tmp_path / "recipe.csv"
    file.write_text("name\n乙叶\n", encoding="utf-8")
    made = analyse(materia, read_recipe(materia, file)).items[0]
    assert (made.reason, made.reason_from_facts) == ("On record: clear heat.", True)


def test_the_shipped_formula_that_breaks_the_verse_says_so_and_why() -> None:
    """Common practice, no source: 海藻玉壶汤 joins 海藻 and 甘草 on purpose."""
    materia = load()
    found = analyse(materia, recipe_of(materia.facts, "hai-zao-yu-hu-tang"))
    assert [line for line in found.grave if line.startswith("opposed: 海藻") and "on purpose" in line]
