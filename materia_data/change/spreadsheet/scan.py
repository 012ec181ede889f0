"""Reading an .xlsx file cell by cell: each cell's text, or what else it is; hidden rows and merged cells.

Reading whole sheets with openpyxl takes four times as long, so the cells are read from the file's XML as they stand
(ECMA-376, part 1, 18.3); dates and number formats are openpyxl's to tell.
"""

import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import Any, NamedTuple
from xml.parsers import expat

from materia_data.change.spreadsheet.trouble import SpreadsheetError, need

_LARGEST, _MOST_PARTS = 512 * 1024 * 1024, 5000
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
_SAVE = "Open it in the spreadsheet program and save it as .xlsx."
_KINDS = {"b": "boolean", "e": "error", "d": "date"}


class Other(NamedTuple):
    """A cell that is no text. kind: number, date, boolean, error, formula; shown: what it holds, in words."""

    kind: str
    shown: str


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet. rows: by number, from 1, cells by column number, from 1, empty ones left out; hidden: rows out of
    sight; merged: ranges as (first row, first column, last row, last column)."""

    rows: dict[int, dict[int, "str | Other"]] = field(default_factory=dict)
    hidden: set[int] = field(default_factory=set)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)


def read_book(path: Path) -> dict[str, Grid]:
    """The sheets of an .xlsx file, by name. Raises OSError; SpreadsheetError says what the file is instead."""
    _is_xlsx(path)
    try:
        with zipfile.ZipFile(path) as archive:
            infos = archive.infolist()
            if len(infos) > _MOST_PARTS or sum(info.file_size for info in infos) > _LARGEST:
                raise SpreadsheetError(f"{path.name} is far larger than any spreadsheet that left. Nothing was read.")
            return _sheets(path, archive)
    except (zipfile.BadZipFile, expat.ExpatError, KeyError, ValueError, NotImplementedError, RuntimeError, EOFError,
            OverflowError) as error:  # fmt: skip
        if isinstance(error, SpreadsheetError):
            raise
        raise SpreadsheetError(f"{path.name} is damaged and cannot be read as .xlsx. {_SAVE}") from None


def _is_xlsx(path: Path) -> None:
    with path.open("rb") as file:
        head = file.read(8)
        rest = file.read(1 << 20) if head[:4] == b"\xd0\xcf\x11\xe0" else b""
    name = path.name
    if head[:4] == b"\xd0\xcf\x11\xe0":
        if "EncryptedPackage".encode("utf-16-le") in rest:
            raise SpreadsheetError(f"{name} is locked with a password. Save it without one.")
        raise SpreadsheetError(f"{name} is an old .xls file, which keeps neither all text nor the record. {_SAVE}")
    if head[:2] != b"PK":
        raise SpreadsheetError(
            f"{name} is no spreadsheet but text, as a .csv file is; the types of its cells and the record of what left "
            "are lost. Make the corrections in the .xlsx file that left, or bring a CSV in with `materia adopt`."
        )
    try:
        with zipfile.ZipFile(path) as archive:
            names = set(archive.namelist())
            kind = archive.read("mimetype")[:80] if "mimetype" in names else b""
            types = archive.read("[Content_Types].xml")[: 1 << 20] if "[Content_Types].xml" in names else b""
    except (zipfile.BadZipFile, OSError, RuntimeError, NotImplementedError, EOFError, ValueError):
        raise SpreadsheetError(f"{name} is cut short or damaged and cannot be read as .xlsx. {_SAVE}") from None
    if b"opendocument" in kind:
        raise SpreadsheetError(f"{name} is an OpenDocument (.ods) file. {_SAVE}")
    if any(part.endswith("vbaProject.bin") for part in names) or b"macroEnabled" in types:
        raise SpreadsheetError(
            f"{name} holds macros, programs that could have changed any cell, and is not opened. Save it as .xlsx, "
            "which keeps no macros, and look through it before you send it."
        )
    if "xl/workbook.xml" not in names and b"spreadsheetml" not in types:
        raise SpreadsheetError(f"{name} is no spreadsheet. {_SAVE}")


def _sheets(path: Path, archive: zipfile.ZipFile) -> dict[str, Grid]:
    related = _related(archive, "")
    book = next((target for kind, target in related.values() if kind.endswith("/officeDocument")), "xl/workbook.xml")
    parts = _related(archive, book)
    listed: list[tuple[str, str]] = []
    epoch: list[str] = []

    def start(name: str, attributes: dict[str, str]) -> None:
        if name == "sheet":
            id = next((value for key, value in attributes.items() if key.rpartition(":")[2] == "id"), "")
            listed.append((attributes["name"], id))
        elif name == "workbookPr":
            epoch.append(attributes.get("date1904", "0"))

    _parse(archive.read(book), start)
    by_kind = {kind.rpartition("/")[2]: target for kind, target in parts.values()}
    strings = _strings(archive.read(by_kind["sharedStrings"])) if "sharedStrings" in by_kind else []
    dates = _Dates(archive.read(by_kind["styles"]) if "styles" in by_kind else b"", epoch[:1] in (["1"], ["true"]))
    found = {}
    for name, id in listed:
        if id in parts and parts[id][0].endswith("/worksheet"):
            found[name] = _grid(archive.read(parts[id][1]), strings, dates)
    return found


def _related(archive: zipfile.ZipFile, part: str) -> dict[str, tuple[str, str]]:
    """What a part is related to: kind and path, by id."""
    at = PurePosixPath(part)
    name = str(at.parent / "_rels" / f"{at.name}.rels") if part else "_rels/.rels"
    found: dict[str, tuple[str, str]] = {}

    def start(name: str, attributes: dict[str, str]) -> None:
        if name == "Relationship" and attributes.get("TargetMode") != "External":
            target = attributes["Target"]
            whole = target.lstrip("/") if target.startswith("/") else str(at.parent / target)
            steps: list[str] = []
            for step in PurePosixPath(whole).parts:
                if step == "..":
                    del steps[-1:]
                elif step != ".":
                    steps.append(step)
            found[attributes["Id"]] = (attributes["Type"], "/".join(steps))

    _parse(archive.read(name), start)
    return found


def _strings(data: bytes) -> list[str]:
    """The shared strings, the pieces of each joined, without readings printed above characters."""
    found: list[str] = []
    pieces: list[str] = []
    state = [0, 0]

    def start(name: str, attributes: dict[str, str]) -> None:
        if name == "si":
            pieces.clear()
        elif name == "rPh":
            state[1] = 1
        elif name == "t":
            state[0] = 1

    def end(name: str) -> None:
        if name == "si":
            found.append(_unescaped("".join(pieces)))
        elif name == "rPh":
            state[1] = 0
        elif name == "t":
            state[0] = 0

    def chars(text: str) -> None:
        if state[0] and not state[1]:
            pieces.append(text)

    _parse(data, start, end, chars)
    return found


def _grid(data: bytes, strings: list[str], dates: "_Dates") -> Grid:
    grid = Grid()
    letters: dict[str, int] = {}
    row: dict[int, str | Other] = {}
    number = column = 0
    kind = style = ""
    reading = above = False
    value: list[str] = []
    formula: list[str] | None = None
    held: list[str] = value

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal row, number, column, kind, style, reading, above, formula, held
        if name == "c":
            ref = attributes.get("r", "")
            letter = ref.rstrip("0123456789")
            column = (letters.get(letter) or letters.setdefault(letter, _column(letter))) if letter else column + 1
            kind, style = attributes.get("t", ""), attributes.get("s", "")
            value.clear()
            formula, held = None, value
        elif name == "v" or name == "t":
            reading, held = not above, value
        elif name == "f":
            formula = held = []
            reading = True
        elif name == "row":
            number = int(attributes.get("r") or number + 1)
            column = 0
            row = grid.rows[number] = {}
            if attributes.get("hidden", "0") in ("1", "true"):
                grid.hidden.add(number)
        elif name == "rPh":
            above = True
        elif name == "mergeCell":
            grid.merged.append(_range(attributes["ref"]))

    def end(name: str) -> None:
        nonlocal reading, above
        if name == "c":
            text = "".join(value)
            if formula is not None:
                row[column] = Other("formula", f"={''.join(formula)}")
            elif kind == "s":
                if text and (shared := strings[int(text)]):
                    row[column] = shared
            elif kind == "inlineStr" or kind == "str":
                if text:
                    row[column] = _unescaped(text)
            elif text:
                row[column] = dates.other(kind, style, text)
        elif name == "v" or name == "t" or name == "f":
            reading = False
        elif name == "rPh":
            above = False

    def chars(text: str) -> None:
        if reading:
            held.append(text)

    _parse(data, start, end, chars)
    return grid


class _Dates:
    """Which cell formats are dates, and what such a number shows."""

    def __init__(self, styles: bytes, from_1904: bool) -> None:
        try:
            from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format
            from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel
        except ImportError:
            raise need("openpyxl") from None
        self._epoch = CALENDAR_MAC_1904 if from_1904 else CALENDAR_WINDOWS_1900
        self._from_excel = from_excel
        codes: dict[str, str] = {str(number): code for number, code in BUILTIN_FORMATS.items()}
        formats: list[str] = []
        inside = [False]

        def start(name: str, attributes: dict[str, str]) -> None:
            if name == "numFmt":
                codes[attributes["numFmtId"]] = attributes["formatCode"]
            elif name == "cellXfs":
                inside[0] = True
            elif name == "xf" and inside[0]:
                formats.append(attributes.get("numFmtId", "0"))

        def end(name: str) -> None:
            if name == "cellXfs":
                inside[0] = False

        if styles:
            _parse(styles, start, end)
        self._dates = {str(at) for at, code in enumerate(formats) if is_date_format(codes.get(code, ""))}

    def other(self, kind: str, style: str, text: str) -> Other:
        """What a cell that is no text holds."""
        if kind in _KINDS:
            shown = {"1": "TRUE", "0": "FALSE"}.get(text, text) if kind == "b" else text
            return Other(_KINDS[kind], shown)
        if style in self._dates:
            try:
                return Other("date", str(self._from_excel(float(text), self._epoch)))
            except (ValueError, OverflowError, TypeError):
                return Other("date", text)
        return Other("number", _plain(text))


def _plain(text: str) -> str:
    try:
        return f"{float(text):.15g}"
    except (ValueError, OverflowError):
        return text


def _parse(
    data: bytes,
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None] | None = None,
    chars: Callable[[str], None] | None = None,
) -> None:
    """Run the handlers over the XML, names without prefix; a document type is refused, so no entity can swell."""
    parser = expat.ParserCreate(namespace_separator=None)
    parser.buffer_text = True

    def no_doctype(*_: Any) -> None:
        raise SpreadsheetError("it is written in a way that no spreadsheet program writes. Nothing was read.")

    prefixed = re.search(rb"<\w+:(?:worksheet|sst|workbook|Relationships|styleSheet)[\s>]", data[:4000])
    parser.StartDoctypeDeclHandler = no_doctype
    if prefixed:
        parser.StartElementHandler = lambda name, attributes: start(name.rpartition(":")[2], attributes)
        parser.EndElementHandler = (lambda name: end(name.rpartition(":")[2])) if end else None
    else:
        parser.StartElementHandler = start
        parser.EndElementHandler = end
    parser.CharacterDataHandler = chars
    parser.Parse(data, True)


def _unescaped(text: str) -> str:
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) if "_x" in text else text


def _column(letters: str) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


def _range(ref: str) -> tuple[int, int, int, int]:
    first, _, last = ref.replace("$", "").partition(":")
    (a, b), (c, d) = (_cell(part) for part in (first, last or first))
    return a, b, c, d


def _cell(ref: str) -> tuple[int, int]:
    letter = ref.rstrip("0123456789")
    return int(ref[len(letter) :]), _column(letter)
