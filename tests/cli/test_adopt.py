"""The verb adopt: exit codes, the folder it writes, and the folders it leaves alone."""

import importlib.util
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from materia_data.cli import main
from tests.docs.pages import ROOT

EXAMPLES = ROOT / "examples" / "adopt"


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    """A sheet about the little package's leaf, with one thing to ask."""
    path = tmp_path / "sheet.csv"
    path.write_text("Name;Temp;Preg\ndemo-leaf;warm;no\n", encoding="utf-8")
    return path


def _adopt(sheet: Path, package: Path, out: Path, *more: str) -> int:
    return main(["adopt", str(sheet), "--data", str(package), "--out", str(out), *more])


def test_questions_end_with_one_and_answers_with_nought(
    sheet: Path, little_package: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It exits 1 while something is asked, 0 once it is answered; the answer stays in the mapping it writes."""
    out = tmp_path / "adopted"
    assert _adopt(sheet, little_package, out) == 1
    assert "Questions (1)" in capsys.readouterr().out
    mapping = out / "mapping.toml"
    text = mapping.read_text(encoding="utf-8").replace('answer = ""', 'answer = "leave"')
    mapping.write_text(text, encoding="utf-8")
    assert _adopt(sheet, little_package, out, "--mapping", str(mapping)) == 0
    assert 'answer = "leave"' in mapping.read_text(encoding="utf-8")
    assert {path.name for path in out.iterdir()} == {
        "mapping.toml", "differences.csv", "left-over.csv", "placed.csv", "layer",
    }  # fmt: skip


@pytest.mark.parametrize("held", ["file", "other", "earlier"])
def test_a_folder_that_is_not_its_own_is_left_alone(
    sheet: Path, little_package: Path, tmp_path: Path, held: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file, somebody's folder, and an earlier answer without its mapping are refused, and stay as they were."""
    out = tmp_path / "out"
    if held == "file":
        out.write_text("mine", encoding="utf-8")
    elif held == "other":
        out.mkdir()
        (out / "mine.txt").write_text("mine", encoding="utf-8")
    else:
        _adopt(sheet, little_package, out)
    before = sorted((path, path.is_file() and path.read_bytes()) for path in [out, *out.rglob("*")])
    capsys.readouterr()
    assert _adopt(sheet, little_package, out) == 2
    assert capsys.readouterr().err.startswith("materia: ")
    assert sorted((path, path.is_file() and path.read_bytes()) for path in [out, *out.rglob("*")]) == before


def test_what_cannot_be_read_ends_with_two_and_writes_nothing(
    little_package: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One message on stderr, no folder."""
    paper = tmp_path / "paper.pdf"
    paper.write_bytes(b"%PDF-1.7")
    assert _adopt(paper, little_package, tmp_path / "out") == 2
    assert "is a PDF" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_the_examples_are_what_their_script_writes(tmp_path: Path) -> None:
    """The committed sheets are those of make_sheets.py: the CSV byte for byte, the spreadsheet cell for cell."""
    spec = importlib.util.spec_from_file_location("make_sheets", EXAMPLES / "make_sheets.py")
    assert spec and spec.loader
    script: Any = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    script.main(tmp_path)
    assert (tmp_path / "riverbank-shelf.csv").read_bytes() == (EXAMPLES / "riverbank-shelf.csv").read_bytes()
    made, kept = (load_workbook(folder / "riverbank-evening.xlsx") for folder in (tmp_path, EXAMPLES))
    assert [list(sheet.values) for sheet in made] == [list(sheet.values) for sheet in kept]


@pytest.mark.parametrize("name", ["riverbank-shelf.csv", "riverbank-evening.xlsx"])
def test_the_examples_are_adopted_with_questions(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each is read, differs in safety, and leaves something to ask."""
    assert main(["adopt", str(EXAMPLES / name), "--out", str(tmp_path / "out")]) == 1
    told = capsys.readouterr().out
    assert "LOOSER: " in told and "stricter: " in told
    assert (tmp_path / "out" / "layer" / "layer.toml").is_file()
