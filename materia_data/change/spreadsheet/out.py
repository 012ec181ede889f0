"""Writing the spreadsheet: sheets with locked keys, lists to choose from, notes from the schema, and the record."""

import gc
import os
import warnings
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

from materia_data.change.spreadsheet.layout import Section, Sheet, sheets
from materia_data.change.spreadsheet.left import ABOUT, LISTS, RECORD, TITLE, pack
from materia_data.change.spreadsheet.swap import write_file
from materia_data.change.spreadsheet.trouble import SpreadsheetError, need
from materia_data.materia import Materia
from materia_data.notice import LICENCE, TEACHING
from materia_data.read.keys import check_keys
from materia_data.read.package import Package
from materia_data.read.schema import Field

OPTIONS = {"strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False, "in_memory": True}
_SPARE = 500
_WIDEST, _NARROWEST = 48, 9
_RANGES = 60
_LINE = 85
_MAY = dict.fromkeys(("sort", "autofilter", "insert_rows", "delete_rows", "format_columns", "format_rows"), True)


@dataclass(frozen=True, slots=True)
class WentOut:
    """What was written. by: `table` or `category`; sheets: their names; rows: of all; cells: none is judged yet."""

    file: str
    release: str
    by: str
    sheets: tuple[str, ...]
    rows: int
    cells: tuple[()] = ()


def spreadsheet_out(materia: Materia, path: Path, by: str = "table") -> WentOut:
    """Write the package's tables as a spreadsheet, whole or not at all, the same bytes for the same data.

    by: `table`, a sheet a table; `category`, a sheet a category with a block a medicinal. An existing file is not
    replaced, for it may hold corrections. Raises SpreadsheetError, OSError.
    """
    if path.suffix != ".xlsx":
        raise SpreadsheetError(f"{path.name} does not end in .xlsx, and nothing else is written. Name it so.")
    if path.exists():
        raise SpreadsheetError(f"{path} is there already and may hold corrections. Name another file, or take it away.")
    _whole(materia.package)
    made = sheets(materia.package, by)
    write_file(path, _workbook(materia, by, made))
    rows = sum(len(section.rows) for sheet in made for section in sheet.sections)
    return WentOut(str(path), materia.release_id, by, tuple(sheet.name for sheet in made), rows)


def _whole(package: Package) -> None:
    """Refuse a package of which something would be left behind."""
    problem = next(iter(package.problems), None)
    if problem is None:
        keys = (each for table in package.tables.values() for each in check_keys(table))
        problem = next((each for each in keys if each.rule == "duplicate-key"), None)
    if problem:
        raise SpreadsheetError(
            f"the package cannot be read whole, so some of it would be left behind: {problem.file}:{problem.line}: "
            f"{problem.message} {problem.tip}"
        )


def _workbook(materia: Materia, by: str, made: list[Sheet]) -> bytes:
    try:
        import xlsxwriter
    except ImportError:
        raise need("XlsxWriter") from None
    held = BytesIO()
    book = xlsxwriter.Workbook(held, OPTIONS)
    book.set_properties({"title": f"materia-data {materia.release_id}", "comments": TEACHING, "created": _made_on()})
    writer = _Writer(materia.package, book)
    with not_collecting(), warnings.catch_warnings():
        warnings.simplefilter("error")
        writer.about(materia.release_id, by, made)
        for sheet in made:
            writer.sheet(sheet, by)
        writer.hidden(pack(materia, by, made))
        book.close()
    return held.getvalue()


@contextmanager
def not_collecting() -> Iterator[None]:
    """Keep the garbage collector from walking over hundreds of thousands of cells while they are made."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _made_on() -> datetime:
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    when = datetime.fromtimestamp(int(epoch), UTC) if epoch.isdigit() else datetime(2020, 1, 1, tzinfo=UTC)
    return when.replace(tzinfo=None)


class _Writer:
    """A workbook being written, with its formats and the lists that cells choose from."""

    def __init__(self, package: Package, book: Any) -> None:
        self._package, self._book = package, book
        text = {"num_format": "@", "valign": "top"}
        grey = {"font_color": "#666666", "bg_color": "#F2F2F2"}
        self._open = book.add_format({**text, "locked": False})
        self._key = book.add_format({**text, **grey})
        self._mark = book.add_format({**text, **grey, "font_size": 8})
        self._header = book.add_format({**text, "bold": True, "bg_color": "#DDE8DD", "bottom": 1})
        self._band = book.add_format({**text, "bold": True, "font_size": 13, "bg_color": "#F6EBD4"})
        self._plain = book.add_format({"text_wrap": True, "valign": "top"})
        self._lists: dict[tuple[str, ...], str] = {}

    def about(self, release: str, by: str, made: list[Sheet]) -> None:
        """The first sheet: what this is, how to correct it, what stands where."""
        sheet = self._book.add_worksheet(ABOUT)
        sheet.set_column(0, 0, 34, self._plain)
        sheet.set_column(1, 1, 90, self._plain)
        lines = [
            ("Release", release),
            ("What this is", f"{'A sheet a category' if by == 'category' else 'A sheet a table'} of a data package of "
             "the Chinese materia medica, for correcting."),
            ("To correct", "Overwrite the cell. Say in the same row where the new value was read (source, locator, "
             "basis), or that it is from memory or common practice (basis)."),
            ("To add", "Fill an empty row; leave its grey first cell empty."),
            ("To take out", "Delete the whole row."),
            ("Leave alone", "Grey cells: they say which record the row is. Sorting and filtering whole rows is fine; "
             "a column sorted apart from the others is not."),
            ("Several values", "Joined by a semicolon: pungent;sweet"),
            ("Then", "Save as .xlsx and send it back. Every changed cell gets a verdict."),
            ("Mind", TEACHING),
            ("Licence", LICENCE),
        ]  # fmt: skip
        for row, (head, text) in enumerate([*lines, ("", ""), *((one.name, one.title) for one in made)]):
            sheet.set_row(row, 32 if len(text) > _LINE else 16)
            sheet.write_string(row, 0, head, self._plain)
            sheet.write_string(row, 1, text, self._plain)
        sheet.protect("", {})

    def sheet(self, made: Sheet, by: str) -> None:
        """One sheet of the data."""
        sheet = self._book.add_worksheet(made.name)
        sheet.set_column(0, 0, 14, self._mark)
        spare = _SPARE if by == "table" else 1
        places: dict[tuple[str, int], list[tuple[int, int]]] = {}
        row, noted = 0, set[str]()
        for section in made.sections:
            if section.title:
                sheet.set_row(row, 20, self._band)
                sheet.write_string(row, 0, TITLE, self._band)
                sheet.write_string(row, 1, section.title, self._band)
                row += 1
            last = self._section(sheet, section, row, notes=section.table not in noted)
            noted.add(section.table)
            for at in range(len(self._fields(section.table))):
                places.setdefault((section.table, at), []).append((row + 1, last + spare))
            row = last + 1 + (spare if by == "category" else 0)
        self._choices(sheet, places)
        if by == "table":
            table = self._package.tables[made.sections[0].table]
            self._widths(sheet, made.sections[0].table)
            sheet.freeze_panes(1, 1 + _leading(table.schema.fields, table.schema.key))
            sheet.autofilter(0, 0, max(row - 1, 1), len(table.schema.fields))
        else:
            sheet.set_column(1, 30, 18, self._open)
            sheet.freeze_panes(0, 3)
        sheet.protect("", _MAY)

    def _section(self, sheet: Any, section: Section, row: int, *, notes: bool) -> int:
        """Header and rows from this row on; returns the last row written."""
        table = self._package.tables[section.table]
        sheet.write_string(row, 0, f"[{section.table}]", self._header)
        for at, field in enumerate(table.schema.fields, 1):
            sheet.write_string(row, at, field.name, self._header)
            if notes:
                sheet.write_comment(row, at, _note(field), {"author": "materia-data", "x_scale": 2, "y_scale": 1.4})
        columns = [(table.columns[field.name], field.name in table.schema.key) for field in table.schema.fields]
        write, open, key, mark = sheet.write_string, self._open, self._key, self._mark
        for number in section.rows:
            row += 1
            write(row, 0, table.key(number), mark)
            for at, (cells, locked) in enumerate(columns, 1):
                if cells[number]:
                    write(row, at, cells[number], key if locked else open)
                elif locked:
                    sheet.write_blank(row, at, None, key)
        return row

    def _widths(self, sheet: Any, name: str) -> None:
        table = self._package.tables[name]
        for at, field in enumerate(table.schema.fields, 1):
            longest = max(map(_width, {*table.columns[field.name], field.name}))
            sheet.set_column(at, at, min(max(longest + 1, _NARROWEST), _WIDEST), self._open)

    def _choices(self, sheet: Any, places: Mapping[tuple[str, int], list[tuple[int, int]]]) -> None:
        """Lists to choose from; where a cell may hold several values the list helps and forbids nothing."""
        for (name, at), ranges in places.items():
            field = self._fields(name)[at]
            source = self._list(_choices(field, self._package))
            if not source:
                continue
            rule: dict[str, Any] = {"validate": "list", "source": source, "error_title": field.name[:32]}
            rule |= {"error_message": f"Choose a value of the list, or leave {field.name} as it was."[:255]}
            rule["show_error"] = not field.is_list
            for begin in range(0, len(ranges), _RANGES):
                some = ranges[begin : begin + _RANGES]
                rule["other_cells"] = [[first, at + 1, last, at + 1] for first, last in some[1:]]
                first, last = some[0]
                if sheet.data_validation(first, at + 1, last, at + 1, rule):
                    raise SpreadsheetError(f"the list to choose from for {name}.{field.name} could not be written.")

    def _list(self, values: tuple[str, ...]) -> str:
        """The range that holds the values, written into the sheet of lists at the end."""
        if values and values not in self._lists:
            letter = _letters(len(self._lists))
            self._lists[values] = f"={LISTS}!${letter}$1:${letter}${len(values)}"
        return self._lists.get(values, "")

    def hidden(self, record: list[str]) -> None:
        """The lists and the record, in hidden sheets."""
        lists = self._book.add_worksheet(LISTS)
        for at, values in enumerate(self._lists):
            for row, value in enumerate(values):
                lists.write_string(row, at, value, self._key)
        left = self._book.add_worksheet(RECORD)
        for row, cell in enumerate(record):
            left.write_string(row, 0, cell, self._key)
        for sheet in (lists, left):
            sheet.protect("", {})
            sheet.hide()

    def _fields(self, table: str) -> tuple[Field, ...]:
        return self._package.tables[table].schema.fields


def _choices(field: Field, package: Package) -> tuple[str, ...]:
    none = ("-",) if field.allows_none else ()
    if field.enum:
        return (*field.enum, *none)
    ids: Iterator[str] = (id for name in field.refers for id in package.tables[name].columns["id"])
    found = tuple(dict.fromkeys(ids))
    return (*found, *none) if found else ()


def _note(field: Field) -> str:
    parts = [f"{field.title}. {field.description}"]
    parts += ["Several, joined by a semicolon."] if field.is_list else []
    parts += [f"One of: {', '.join(field.enum)}."] if field.enum else []
    parts += [f"An id of {' or '.join(field.refers)}."] if field.refers else []
    parts += ["A number, without its unit."] if field.type in ("number", "integer") else []
    parts += ["May not stay empty."] if field.required else []
    return " ".join([*parts, f"For example: {field.example}"])


def _leading(fields: tuple[Field, ...], key: tuple[str, ...]) -> int:
    """How many columns from the first on are key columns; at most three stay in sight."""
    count = 0
    while count < min(len(fields), 3) and fields[count].name in key:
        count += 1
    return count


def _width(text: str) -> int:
    return len(text) if text.isascii() else sum(2 if char > "⺀" else 1 for char in text[:_WIDEST])


def _letters(at: int) -> str:
    high, low = divmod(at, 26)
    return (chr(64 + high) if high else "") + chr(65 + low)
