"""A colleague at a spreadsheet: opens the file with openpyxl, changes cells by table, record and column, saves it."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from materia_data import load
from materia_data.change.spreadsheet import out
from materia_data.change.spreadsheet.inward import CameBack, Judged, spreadsheet_in
from materia_data.change.spreadsheet.layout import sheets

_FEW = """aids cautions channels citations contrast_points contrasts doses forms handling herbs indications loosenings
names natures pairs"""


class Desk:
    """A package's folder and the spreadsheet that left it; only with some of its tables, which is quicker to open, or
    whole."""

    def __init__(self, package: Path, by: str = "table", *, whole: bool = False) -> None:
        self.package, self.file = package, package.parent / "corrections.xlsx"
        with pytest.MonkeyPatch.context() as patch:
            if by == "table" and not whole:
                some = [sheet for sheet in sheets(load(package).package, by) if sheet.name in _FEW.split()]
                patch.setattr(out, "sheets", lambda package, by: some)
            out.spreadsheet_out(load(package), self.file, by)

    @contextmanager
    def open(self) -> Iterator["Book"]:
        """The spreadsheet, saved again when the work is done."""
        book = Book(openpyxl.load_workbook(self.file))
        yield book
        book.book.save(self.file)

    def bring_in(self, *, apply: bool = False) -> CameBack:
        return spreadsheet_in(load(self.package), self.file, apply=apply)

    def bytes(self) -> dict[str, bytes]:
        """The package's files."""
        return {str(path): path.read_bytes() for path in sorted(self.package.rglob("*")) if path.is_file()}


class Book:
    def __init__(self, book: Any) -> None:
        self.book = book

    def cell(self, table: str, record: str, column: str) -> Any:
        sheet = self.book[table]
        return sheet.cell(self.row(table, record), self.column(table, column))

    def set(self, table: str, record: str, column: str, value: Any) -> None:
        """Type into a cell; a text stays text, whatever it begins with."""
        cell = self.cell(table, record, column)
        cell.value = value
        if isinstance(value, str):
            cell.data_type = "s"

    def row(self, table: str, record: str) -> int:
        sheet = self.book[table]
        return next(row for row in range(2, sheet.max_row + 1) if sheet.cell(row, 1).value == record)

    def column(self, table: str, column: str) -> int:
        sheet = self.book[table]
        return next(at for at in range(2, sheet.max_column + 1) if sheet.cell(1, at).value == column)

    def add(self, table: str, **cells: str) -> None:
        """Fill an empty row below the others."""
        row = self.book[table].max_row + 1
        for column, value in cells.items():
            self.book[table].cell(row, self.column(table, column)).value = value

    def remove(self, table: str, record: str) -> None:
        self.book[table].delete_rows(self.row(table, record))


def verdicts(back: CameBack) -> dict[tuple[str, str, str], str]:
    """The verdict of each changed cell by table, record and column."""
    return {(cell.table, cell.record, cell.column): cell.verdict for cell in back.cells}


def the(back: CameBack, column: str) -> Judged:
    """The one judged cell of the column."""
    (found,) = (cell for cell in back.cells if cell.column == column)
    return found
