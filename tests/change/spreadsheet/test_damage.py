"""Each kind of damage is found, named with where, what, why and what to do, and not taken over."""

import datetime
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from materia_data.change.spreadsheet.inward import CameBack
from materia_data.change.spreadsheet.trouble import SpreadsheetError
from tests.change.spreadsheet.hands import Book, Desk
from tests.little import little


def returned(desk: Desk, hand: Callable[[Book], object]) -> CameBack:
    """What comes back after the hand did its damage. Nothing of it may get into the package."""
    before = desk.bytes()
    with desk.open() as book:
        hand(book)
    back = desk.bring_in(apply=True)
    assert desk.bytes() == before and not back.written
    for damage in back.damages:
        assert damage.what and damage.why and damage.todo
    return back


def kinds(back: CameBack) -> list[str]:
    return [damage.kind for damage in back.damages]


def column(book: Book, table: str, name: str) -> list[openpyxl.cell.Cell]:
    """The cells of a column, without its header."""
    sheet, at = book.book[table], book.column(table, name)
    return [sheet.cell(row, at) for row in range(2, sheet.max_row + 1) if sheet.cell(row, 1).value]


def put(cells: list[openpyxl.cell.Cell], values: list[object]) -> None:
    for cell, value in zip(cells, values, strict=True):
        cell.value = value


def test_one_column_sorted_apart(little_package: Path) -> None:
    """The English names of the channels sorted from the end, the other columns left."""

    def hand(book: Book) -> None:
        cells = column(book, "channels", "pinyin")
        put(cells, sorted((cell.value for cell in cells), reverse=True))

    back = returned(Desk(little_package), hand)
    assert kinds(back) == ["sorted-apart"] and back.damages[0].sheet == "channels"
    assert "pinyin" in back.damages[0].what and back.damages[0].held == len(back.cells) > 8
    assert {(cell.verdict, cell.rule) for cell in back.cells} == {("refused", "sorted-apart")}


def test_two_cells_exchanged_are_a_correction_and_no_damage(little_package: Path) -> None:
    """Two values put right by exchanging them are judged as any other."""
    desk = Desk(little_package)
    with desk.open() as book:
        first, second = column(book, "contrast_points", "point")
        first.value, second.value = second.value, first.value
    back = desk.bring_in()
    assert not back.damages and {cell.verdict for cell in back.cells} == {"accepted"}


def test_a_few_rows_of_one_basis_corrected_are_no_damage(little_package: Path) -> None:
    """Values that repeat from row to row are not taken for shifted or sorted ones."""
    desk = Desk(little_package)
    with desk.open() as book:
        for record in ("demo-kelp", "demo-root", "demo-seed"):
            book.set("herbs", record, "basis", "memory")
        for cell in column(book, "doses", "basis")[:3]:
            cell.value = "memory"
    back = desk.bring_in()
    assert not back.damages and {cell.verdict for cell in back.cells} == {"accepted"} and len(back.cells) == 6


def test_a_sheet_by_category_sorted_through_its_blocks(little_package: Path) -> None:
    """Rows that came under another header are not read, and none of the sheet counts as deleted."""
    desk = Desk(little_package, "category")
    before = desk.bytes()
    book = openpyxl.load_workbook(desk.file)
    sheet = book["warm-interior"]
    rows = sorted(([cell.value for cell in row] for row in sheet.iter_rows()), key=lambda row: str(row[1] or "~"))
    for number, values in enumerate(rows, 1):
        for at, value in enumerate(values, 1):
            sheet.cell(number, at).value = value
    book.save(desk.file)
    back = desk.bring_in(apply=True)
    assert {"mark-changed", "header-moved"} & set(kinds(back)) and not back.settled
    assert not [cell for cell in back.cells if not cell.column] and desk.bytes() == before


@pytest.mark.parametrize("way", ["down", "up"])
def test_cells_shifted_along_a_column(way: str, little_package: Path) -> None:
    """A cell put in or taken out of a column moved the others by one."""

    def hand(book: Book) -> None:
        cells = column(book, "channels", "pinyin")
        values = [cell.value for cell in cells]
        put(cells, [*values[:2], None, *values[2:-1]] if way == "down" else [*values[:2], *values[3:], None])

    back = returned(Desk(little_package), hand)
    assert kinds(back) == ["shifted-cells"] and "above or below" in back.damages[0].what


@pytest.mark.parametrize("way", ["right", "left"])
def test_cells_shifted_along_a_row(way: str, little_package: Path) -> None:
    """A cell put in or taken out of a row moved the others to one side."""

    def hand(book: Book) -> None:
        sheet, row = book.book["herbs"], book.row("herbs", "demo-root")
        first = book.column("herbs", "nature")
        cells = [sheet.cell(row, at) for at in range(first, sheet.max_column + 1)]
        values = [cell.value for cell in cells]
        put(cells, [None, *values[:-1]] if way == "right" else [*values[1:], None])

    back = returned(Desk(little_package), hand)
    assert set(kinds(back)) == {"shifted-cells"}
    assert {cell.rule for cell in back.cells} == {"shifted-cells"} and len(back.cells) > 3


def test_merged_cells(little_package: Path) -> None:
    """Merging two cells lost one value; it is not taken for deleted."""

    def hand(book: Book) -> None:
        row, at = book.row("herbs", "demo-leaf"), book.column("herbs", "nature")
        book.book["herbs"].merge_cells(start_row=row, end_row=row, start_column=at, end_column=at + 1)

    back = returned(Desk(little_package), hand)
    assert kinds(back) == ["merged-cells"] and [cell.column for cell in back.cells] == ["flavors"]


def test_merged_cells_in_which_nothing_was_lost_are_named(little_package: Path) -> None:
    """Merged empty cells change nothing and are named."""
    back = returned(Desk(little_package), lambda book: book.book["herbs"].merge_cells("B40:C41"))
    assert kinds(back) == ["merged-cells"] and back.damages[0].cells == "B40:C41" and not back.cells


def test_dates_made_of_doses(tmp_path: Path) -> None:
    """3-9 that became the third of September is said to have been the text 3-9."""
    desk = Desk(little(tmp_path / "package", doses=[{"subject": "demo-leaf", "route": "decoction", "per": "day",
                                                     "population": "adult", "note": "3-9"}]))  # fmt: skip
    key = "demo-leaf|decoction|day|adult|"
    back = returned(desk, lambda book: book.set("doses", key, "note", datetime.date(2026, 9, 3)))
    assert kinds(back) == ["dates"] and back.cells[0].verdict == "other-type"
    assert "2026-09-03" in back.cells[0].reason and "the text “3-9”" in back.cells[0].reason


def test_numbers_made_of_ids(tmp_path: Path) -> None:
    """1e3 that became 1000, and a dose that came back as a number though it looks the same, are not guessed at."""
    desk = Desk(little(tmp_path / "package", herbs=[{"id": "demo-leaf", "locator": "1e3"}]))

    def hand(book: Book) -> None:
        book.set("herbs", "demo-leaf", "locator", 1000)
        book.set("doses", "demo-leaf|decoction|day|adult|", "max", 9)
        book.set("herbs", "demo-seed", "note", True)

    back = returned(desk, hand)
    assert sorted(kinds(back)) == ["numbers", "numbers", "truth-values"]
    assert {cell.verdict for cell in back.cells} == {"other-type"}
    assert any("the number 1000" in cell.reason and "the text “1e3”" in cell.reason for cell in back.cells)


@pytest.mark.parametrize(("before", "after"), [("007", "7"), ("-3", "3"), ("=x", "x"), ("'t", "t")])
def test_dropped_leading_characters(before: str, after: str, tmp_path: Path) -> None:
    """Zeros and signs that a spreadsheet program drops in front."""
    desk = Desk(little(tmp_path / "package", herbs=[{"id": "demo-leaf", "locator": before}]))
    back = returned(desk, lambda book: book.set("herbs", "demo-leaf", "locator", after))
    assert kinds(back) == ["dropped-characters"] and back.cells[0].verdict == "refused"


def test_a_dropped_letter_of_an_id(little_package: Path) -> None:
    """An id that lost its first letter."""
    back = returned(Desk(little_package), lambda book: book.set("herbs", "demo-leaf", "nature", "ool"))
    assert kinds(back) == ["dropped-characters"]


def test_lost_tone_marks(little_package: Path) -> None:
    """Readings that came back without their tones."""

    def hand(book: Book) -> None:
        put(column(book, "natures", "pinyin")[:3], ["han", "liang", "re"])

    back = returned(Desk(little_package), hand)
    assert kinds(back) == ["lost-tone-marks"] and back.damages[0].held == 3
    assert back.damages[0].what == "3 cells of the column pinyin lost their tone marks."


def test_converted_script(little_package: Path) -> None:
    """Simplified names turned into traditional ones by the program; a traditional name put right is a correction."""

    def hand(book: Book) -> None:
        book.set("herbs", "demo-leaf", "name_hans", "示例葉")

    back = returned(Desk(little_package), hand)
    assert kinds(back) == ["converted-script"] and back.cells[0].rule == "converted-script"


def test_a_traditional_name_put_right_is_a_correction(tmp_path: Path) -> None:
    """The other way about, in the column of traditional names, it is what the column is for."""
    desk = Desk(little(tmp_path / "package", herbs=[{"id": "demo-leaf", "name_hant": "示例叶"}]))
    with desk.open() as book:
        book.set("herbs", "demo-leaf", "name_hant", "示例葉")
    assert not desk.bring_in().damages


def test_a_deleted_sheet(little_package: Path) -> None:
    """No row of a sheet that is gone counts as deleted."""
    back = returned(Desk(little_package), lambda book: book.book.remove(book.book["cautions"]))
    assert kinds(back) == ["sheet-deleted"] and not back.cells and not back.settled
    assert back.damages[0].sheet == "cautions" and "3 rows" in back.damages[0].what


def test_a_renamed_and_an_added_sheet(little_package: Path) -> None:
    """A sheet under another name is gone under its own, and the other one is not read."""
    back = returned(Desk(little_package), lambda book: setattr(book.book["cautions"], "title", "warnings"))
    assert kinds(back) == ["sheet-deleted", "sheet-added"]


def test_a_deleted_column(little_package: Path) -> None:
    """The cells of a column that is gone stay as they were."""

    def hand(book: Book) -> None:
        book.book["cautions"].delete_cols(book.column("cautions", "state"))

    back = returned(Desk(little_package), hand)
    assert kinds(back) == ["column-deleted"] and "state" in back.damages[0].what and not back.cells


def test_an_added_column(little_package: Path) -> None:
    """A column of remarks is named and not read, and the columns beside it are still known."""

    def hand(book: Book) -> None:
        book.book["cautions"].insert_cols(5)
        book.book["cautions"].cell(1, 5).value = "my remarks"
        book.book["cautions"].cell(2, 5).value = "?"

    back = returned(Desk(little_package), hand)
    assert kinds(back) == ["column-added"] and "my remarks" in back.damages[0].what and not back.cells


def test_cells_outside_the_table(little_package: Path) -> None:
    """A remark to the right of the last column belongs to no column."""

    def hand(book: Book) -> None:
        book.book["cautions"].cell(2, book.book["cautions"].max_column + 2).value = "see me"

    assert kinds(returned(Desk(little_package), hand)) == ["cells-outside"]


def test_hidden_rows(little_package: Path) -> None:
    """A change in a hidden row was seen by nobody; hidden rows without one are only named."""
    desk = Desk(little_package)

    def hand(book: Book) -> None:
        book.book["herbs"].row_dimensions[book.row("herbs", "demo-leaf")].hidden = True

    back = returned(desk, hand)
    assert kinds(back) == ["hidden-rows"] and back.settled
    back = returned(desk, lambda book: book.set("herbs", "demo-leaf", "nature", "cold"))
    assert kinds(back) == ["hidden-rows"] and not back.settled and back.cells[0].rule == "hidden-rows"


def test_formulas(little_package: Path) -> None:
    """A formula is nobody's word, whatever it shows."""

    def hand(book: Book) -> None:
        book.cell("doses", "demo-leaf|decoction|day|adult|", "max").value = "=3*3"

    back = returned(Desk(little_package), hand)
    assert kinds(back) == ["formulas"] and back.cells[0].verdict == "other-type"
    assert "the formula =3*3" in back.cells[0].reason


def test_the_mark_of_a_row_changed(little_package: Path) -> None:
    """A row whose grey cell says another record is not read, and no row of the table counts as deleted."""

    def hand(book: Book) -> None:
        book.book["cautions"].cell(2, 1).value = "demo-kelpp"

    back = returned(Desk(little_package), hand)
    assert kinds(back) == ["mark-changed"] and not back.cells


def test_a_row_twice(little_package: Path) -> None:
    """A row pasted once more with its mark and key."""

    def hand(book: Book) -> None:
        sheet, row = book.book["cautions"], book.row("cautions", "demo-leaf|pregnancy|")
        values = [cell.value for cell in sheet[row]]
        new = sheet.max_row + 1
        for at, value in enumerate(values, 1):
            sheet.cell(new, at).value = value

    assert kinds(returned(Desk(little_package), hand)) == ["row-twice"]


def test_the_header_moved_into_the_rows(little_package: Path) -> None:
    """Rows above the header cannot be told, and the missing ones do not count as deleted."""

    def hand(book: Book) -> None:
        sheet = book.book["cautions"]
        first, second = ([cell.value for cell in sheet[row]] for row in (1, 2))
        for at, (a, b) in enumerate(zip(first, second, strict=True), 1):
            sheet.cell(1, at).value, sheet.cell(2, at).value = b, a

    assert kinds(returned(Desk(little_package), hand)) == ["header-moved"]


def test_many_rows_gone(little_package: Path) -> None:
    """A sheet of which most rows are gone was cut short rather than corrected."""
    back = returned(Desk(little_package), lambda book: book.book["channels"].delete_rows(2, 12))
    assert kinds(back) == ["many-rows-gone"] and len(back.cells) == 12
    assert {cell.verdict for cell in back.cells} == {"refused"}


def test_a_macro_file(little_package: Path) -> None:
    """A file with macros is not opened."""
    desk = Desk(little_package)
    with zipfile.ZipFile(desk.file, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"macro")
    with pytest.raises(SpreadsheetError, match="holds macros"):
        desk.bring_in()


def test_other_kinds_of_file_in_its_place(little_package: Path) -> None:
    """An old .xls, an .ods, a .csv, a locked, a cut and a foreign file are each called what they are."""
    desk = Desk(little_package)
    whole = desk.file.read_bytes()
    ole = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)
    said = {
        ole: "an old .xls file",
        ole + "EncryptedPackage".encode("utf-16-le"): "locked with a password",
        "subject,topic\n半夏,pregnancy\n".encode(): "text, as a .csv file is",
        whole[: len(whole) // 2]: "cut short or damaged",
        b"": "text, as a .csv file is",
    }
    for data, words in said.items():
        desk.file.write_bytes(data)
        with pytest.raises(SpreadsheetError, match=words):
            desk.bring_in()
    with zipfile.ZipFile(desk.file, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
    with pytest.raises(SpreadsheetError, match=r"OpenDocument \(\.ods\)"):
        desk.bring_in()
    openpyxl.Workbook().save(desk.file)
    with pytest.raises(SpreadsheetError, match="no hidden sheet"):
        desk.bring_in()


def test_a_file_that_would_swell_is_not_read(little_package: Path) -> None:
    """A document type with entities, and a part of many megabytes, are refused."""
    desk = Desk(little_package)
    with zipfile.ZipFile(desk.file) as archive:
        parts = {info.filename: archive.read(info) for info in archive.infolist()}
    evil = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><x>&b;</x>'
    with zipfile.ZipFile(desk.file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(name, evil if name == "xl/sharedStrings.xml" else data)
    with pytest.raises(SpreadsheetError, match="Nothing was read"):
        desk.bring_in()


def test_a_spreadsheet_from_another_release(little_package: Path) -> None:
    """It is named, with both releases; what stands in nobody's way is still judged."""
    desk = Desk(little_package)
    path = little_package / "teaching/aids.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("cools", "chills"), encoding="utf-8")
    before = desk.bytes()
    back = desk.bring_in(apply=True)
    assert kinds(back) == ["other-release"] and back.left != back.release and back.left in back.damages[0].what
    assert desk.bytes() == before and back.settled
