"""Spreadsheets that leave."""

from pathlib import Path

import openpyxl
import pytest

from materia_data import load
from materia_data.change.spreadsheet.layout import sheets
from materia_data.change.spreadsheet.left import ABOUT, LISTS, RECORD, unpack
from materia_data.change.spreadsheet.out import spreadsheet_out
from materia_data.change.spreadsheet.trouble import SpreadsheetError
from tests.change.spreadsheet.hands import Desk
from tests.little import little

ODD = ("=1+1", "+5", "-3", "@x", '=HYPERLINK("x")', "3-9", "1e3", "007", "12:30", "TRUE", "x_x000D_y", "“a”, b; 女贞子")


def test_every_cell_is_text_and_says_what_the_package_says(tmp_path: Path) -> None:
    """openpyxl finds each value of each table in its cell, as text, whatever it looks like."""
    rows = [{"id": f"aid-{number}", "subject": "demo-leaf", "text": text} for number, text in enumerate(ODD)]
    desk = Desk(little(tmp_path / "package", aids=rows), whole=True)
    book = openpyxl.load_workbook(desk.file)
    for table in load(desk.package).package.tables.values():
        sheet = book[table.schema.name]
        assert [cell.value for cell in sheet[1]] == [f"[{table.schema.name}]", *table.schema.by_name]
        for number in range(len(table)):
            cells = list(sheet[number + 2])
            assert [cell.value or "" for cell in cells] == [table.key(number), *table.row(number).values()]
            assert {cell.data_type for cell in cells if cell.value} == {"s"}


def test_the_hidden_record_holds_every_cell_as_it_left(little_package: Path) -> None:
    """Release and rows are unpacked from the hidden sheet alone."""
    desk = Desk(little_package, whole=True)
    sheet = openpyxl.load_workbook(desk.file)[RECORD]
    assert sheet.sheet_state == "hidden"
    left = unpack([cell.value for (cell,) in sheet.iter_rows()])
    materia = load(little_package)
    assert left.release == materia.release_id
    for table in materia.package.tables.values():
        rows = left.sheets[table.schema.name][table.schema.name].rows
        assert list(rows.values()) == [list(table.row(number).values()) for number in range(len(table))]


def test_a_damaged_record_is_not_believed(little_package: Path) -> None:
    """One character changed in the record is found out by its digest."""
    sheet = openpyxl.load_workbook(Desk(little_package).file)[RECORD]
    cells = [cell.value for (cell,) in sheet.iter_rows()]
    cells[4] = cells[4][:80] + ("A" if cells[4][80] != "A" else "B") + cells[4][81:]
    with pytest.raises(SpreadsheetError, match="damaged"):
        unpack(cells)


def test_sheets_are_laid_out_for_correcting(little_package: Path) -> None:
    """Keys are locked and the rest open; lists to choose from, notes from the schema, the header stays in sight."""
    book = openpyxl.load_workbook(Desk(little_package, whole=True).file)
    sheet = book["cautions"]
    assert sheet.protection.sheet and sheet.freeze_panes == "E2"
    by_name = {cell.value: cell for cell in sheet[1]}
    assert "How strict" in by_name["state"].comment.text
    row = {name: sheet.cell(2, cell.column) for name, cell in by_name.items()}
    assert row["subject"].protection.locked and row["topic"].protection.locked and sheet.cell(2, 1).protection.locked
    assert not row["state"].protection.locked and row["state"].number_format == "@"
    ranges = {str(rule.sqref): rule for rule in sheet.data_validations.dataValidation}
    states = next(rule for place, rule in ranges.items() if place.startswith(row["state"].column_letter))
    letter = states.formula1.split("$")[1]
    offered = [book[LISTS][f"{letter}{number}"].value for number in range(1, 5)]
    assert offered == ["contraindicated", "avoid", "caution", "none-stated"] and states.showErrorMessage
    assert book[LISTS].sheet_state == "hidden" and book.sheetnames[0] == ABOUT
    flavors = {cell.value: cell.column_letter for cell in book["herbs"][1]}["flavors"]
    many = next(r for r in book["herbs"].data_validations.dataValidation if str(r.sqref).startswith(flavors))
    assert not many.showErrorMessage


def test_the_same_data_give_the_same_bytes(little_package: Path, tmp_path: Path) -> None:
    """Nothing of the clock goes in."""
    spreadsheet_out(load(little_package), tmp_path / "a.xlsx")
    spreadsheet_out(load(little_package), tmp_path / "b.xlsx")
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def test_nothing_that_may_hold_corrections_is_replaced(little_package: Path) -> None:
    """An existing file stays; another kind of file is refused; so is a package that cannot be read whole."""
    desk = Desk(little_package)
    before = desk.file.read_bytes()
    with pytest.raises(SpreadsheetError, match="may hold corrections"):
        Desk(little_package)
    assert desk.file.read_bytes() == before
    with pytest.raises(SpreadsheetError, match=r"does not end in \.xlsx"):
        spreadsheet_out(load(little_package), little_package.parent / "x.ods")
    path = little_package / "herbs/names.csv"
    path.write_text(path.read_text(encoding="utf-8") + 'demo-leaf,"open,en,old,\n', encoding="utf-8")
    with pytest.raises(SpreadsheetError, match=r"left behind: herbs/names\.csv:4"):
        spreadsheet_out(load(little_package), little_package.parent / "x.xlsx")


def test_a_sheet_a_category_has_each_medicinal_with_its_rows(little_package: Path) -> None:
    """Every row of cautions, doses, actions and forms stands in exactly one category's sheet, below its medicinal."""
    package = load(little_package).package
    made = sheets(package, "category")
    assert [sheet.name for sheet in made] == ["clear-heat", "warm-interior", "f-clear-heat"]
    for name in ("herbs", "forms", "herb_actions", "doses", "cautions", "handling", "controls", "formulas"):
        rows = [row for sheet in made for section in sheet.sections if section.table == name for row in section.rows]
        assert sorted(rows) == list(range(len(package.tables[name])))
    warm = made[1].sections
    at = next(i for i, section in enumerate(warm) if "demo-root" in section.title)
    assert [section.table for section in warm[at : at + 3]] == ["herbs", "forms", "herb_actions"]
    assert len(warm[at + 1].rows) == 2
