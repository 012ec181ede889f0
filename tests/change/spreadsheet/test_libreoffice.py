"""Real LibreOffice opens the spreadsheet, saves it, and returns it without loss.

Each test has a profile folder of its own: of two runs at once on one profile, one writes nothing and says so to nobody.
"""

import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest

from materia_data.change.spreadsheet.scan import read_book
from materia_data.change.spreadsheet.trouble import SpreadsheetError
from tests.change.spreadsheet.hands import Desk, the
from tests.change.spreadsheet.test_out import ODD
from tests.little import little

NEEDED = "These tests need LibreOffice Calc. On Debian: apt-get install --no-install-recommends libreoffice-calc-nogui"


def saved_as(kind: str, file: Path) -> Path:
    """The file as LibreOffice saves it in another format, or the same one again."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        pytest.fail(NEEDED, pytrace=False)
    out = file.parent / f"saved-{kind}"
    profile = f"-env:UserInstallation={(file.parent / 'profile').as_uri()}"
    command = [program, "--headless", profile, "--convert-to", kind, "--outdir", str(out), str(file)]
    subprocess.run(command, capture_output=True, timeout=180, check=True)
    made = out / file.with_suffix(f".{kind}").name
    assert made.exists(), "LibreOffice wrote nothing"
    return made


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A package with cells that look like numbers, dates and formulas."""
    rows = [{"id": f"aid-{number}", "subject": "demo-leaf", "text": text} for number, text in enumerate(ODD)]
    return Desk(little(tmp_path / "package", aids=rows), whole=True)


def test_libreoffice_returns_every_cell(desk: Desk) -> None:
    """Opened and saved by LibreOffice, every cell is the same text, record, locks and lists still there, and the one
    correction that was made gets its verdict."""
    with desk.open() as hand:
        hand.set("herbs", "demo-leaf", "nature", "cooll")
    made = saved_as("xlsx", desk.file)
    assert made.read_bytes() != desk.file.read_bytes()
    shutil.copy(made, desk.file)
    back = desk.bring_in()
    assert the(back, "nature").verdict == "refused"
    assert len(back.cells) == 1 and not back.damages and back.untouched > 900
    sheet = openpyxl.load_workbook(desk.file)["cautions"]
    assert sheet.protection.sheet and sheet["B2"].protection.locked and not sheet["E2"].protection.locked
    assert sheet["E2"].number_format == "@" and sheet["E1"].comment
    assert sheet.data_validations.dataValidation


def test_what_libreoffice_saves_in_other_formats_is_called_what_it_is(tmp_path: Path) -> None:
    """Its .xls and .ods in place of the spreadsheet are refused by name, even under the right ending."""
    openpyxl.Workbook().save(tmp_path / "any.xlsx")
    for kind, words in (("xls", "old .xls"), ("ods", "OpenDocument")):
        named_so = shutil.copy(saved_as(kind, tmp_path / "any.xlsx"), tmp_path / "back.xlsx")
        with pytest.raises(SpreadsheetError, match=words):
            read_book(named_so)
