"""A spreadsheet or CSV as rows of text, whatever its encoding and separator."""

import csv
import io
import unicodedata
import zipfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from materia_data.change.adopt.trouble import AdoptError

_LARGEST = 10 * 1024 * 1024
_UNPACKED = 100 * 1024 * 1024
_ROWS, _COLUMNS = 20_000, 200
_SEPARATORS = ",;\t"
_SPREADSHEETS = (".xlsx", ".xlsm")
_TEXTS = (".csv", ".tsv", ".txt", ".tab")
_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_SIMPLIFIED = "功效归经药性味温寒热别名剂量禁忌用法医术两后简体当为这国学广东苏门术黄连参叶归龙"
_TRADITIONAL = "歸經藥溫熱別劑醫術兩後簡體當為這國學廣東蘇門朮黃連參葉龍"


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell. damage: why its text is no longer what someone wrote (a date, a formula), else empty."""

    text: str
    damage: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """name: of the sheet, the file's own for a CSV; rows: by their number in the file, the first is 1; notes: what
    else stands in it, as row, column number and text; read_as: encoding and separator in words."""

    name: str
    rows: dict[int, tuple[Cell, ...]]
    notes: tuple[tuple[int, int, str], ...]
    read_as: str


def read_sheets(path: Path) -> list[Sheet]:
    """Every sheet with something in it. Raises AdoptError with one sentence for what cannot be read."""
    raw = _bytes(path)
    kind = path.suffix.lower()
    if raw[:2] == b"PK":
        found = _workbook(path, raw)
    else:
        _refuse(path, raw, kind)
        found = [_table(path, raw)]
    found = [sheet for sheet in found if sheet.rows]
    if not found:
        raise AdoptError(f"{path} is empty. Nothing was written.")
    return found


def _bytes(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise AdoptError(f"{path} is a folder. Name the spreadsheet or CSV in it.")
        if not path.is_file():
            near = sorted(one.name for one in path.parent.glob("*") if one.suffix.lower() in (*_SPREADSHEETS, *_TEXTS))
            raise AdoptError(f"There is no file {path}." + (f" Beside it: {', '.join(near[:3])}." if near else ""))
        if path.stat().st_size > _LARGEST:
            raise AdoptError(f"{path} is larger than 10 MB. Take out pictures and old sheets, or save it as CSV.")
        raw = path.read_bytes()
    except OSError as error:
        raise AdoptError(f"{path} cannot be read: {error.strerror}.") from None
    if not raw.strip():
        raise AdoptError(f"{path} is empty. Nothing was written.")
    return raw


def _refuse(path: Path, raw: bytes, kind: str) -> None:
    """One sentence for the kinds of file that people try."""
    if raw.startswith(b"%PDF"):
        raise AdoptError(f"{path} is a PDF. Ask for the spreadsheet that it was made from, or copy its table into one.")
    if raw.startswith(b"\xd0\xcf\x11\xe0"):
        raise AdoptError(f"{path} is of the old kind (.xls, or it has a password). Save it as .xlsx or CSV.")
    if raw.lstrip()[:1] == b"<":
        raise AdoptError(f"{path} is a web page or XML, whatever its name says. Save it as .xlsx or CSV.")
    if kind in (".pdf", ".xls", ".ods", ".doc", ".docx", ".numbers", *_SPREADSHEETS):
        raise AdoptError(f"{path} is not what its name says, or of a kind that is not read. Save it as .xlsx or CSV.")


def _table(path: Path, raw: bytes) -> Sheet:
    text, encoding = _decoded(path, raw)
    separator = _separator(text)
    try:
        lines = list(_lines(text, separator))
    except csv.Error as error:
        raise AdoptError(f"{path} is not a CSV: {error}. Open it in a spreadsheet program and save it again.") from None
    if len(lines) > _ROWS:
        raise AdoptError(f"{path} has more than {_ROWS:,} lines. A school's sheet has a few hundred: cut it up.")
    rows = {
        number: tuple(Cell(tidy(cell)) for cell in cells[:_COLUMNS])
        for number, cells in lines
        if any(cell.strip() for cell in cells)
    }
    named = {",": "commas", ";": "semicolons", "\t": "tabs"}[separator]
    return Sheet(path.name, rows, (), f"{encoding}, cells parted by {named}")


def _lines(text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    """Each record with the line it begins on. An open quote hides what follows; then lines are read without quotes."""
    reader, start = csv.reader(io.StringIO(text, newline=""), delimiter=separator), 1
    for cells in reader:
        yield start, cells
        start = reader.line_num + 1


def _decoded(path: Path, raw: bytes) -> tuple[str, str]:
    for mark, encoding in _MARKS:
        if raw.startswith(mark):
            try:
                return raw.decode(encoding), {"utf-8-sig": "UTF-8 with a mark"}.get(encoding, "UTF-16")
            except UnicodeDecodeError:
                raise AdoptError(f"{path} begins as {encoding} and breaks off. Save it again as CSV UTF-8.") from None
    if b"\0" in raw[:2000]:
        even, odd = raw[0:2000:2].count(0), raw[1:2000:2].count(0)
        encoding = "utf-16-le" if odd > even else "utf-16-be"
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            text = "\0"
        if "\0" in text:
            raise AdoptError(f"{path} is neither text nor a spreadsheet. Save it as .xlsx or CSV.")
        return text, "UTF-16"
    try:
        return raw.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError as error:
        place = error.start
    found: list[tuple[float, str, str]] = []
    for encoding, said in (("gb18030", "GBK"), ("big5hkscs", "Big5")):
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        found.append((_sense(text), said, text))
    if found and max(found)[0] > 0:
        _, said, text = max(found)
        return text, said
    try:
        text = raw.decode("cp1252")
    except UnicodeDecodeError:
        raise AdoptError(
            f"{path} is in an encoding that is not recognized (at byte {place}). Save it as CSV UTF-8."
        ) from None
    return text, "Windows Latin"


def _sense(text: str) -> float:
    """How much a text reads as Chinese of this trade: the wrong table gives rare characters, and Latin letters with
    accents read as Chinese come singly between plain letters."""
    good = sum(text.count(char) for char in set(_SIMPLIFIED + _TRADITIONAL))
    odd = sum(unicodedata.category(char) in ("Co", "Cn", "Cc") and char not in "\r\n\t" for char in text)
    rare = sum("\u3400" <= char <= "\u4dbf" or "\ue000" <= char <= "\uf8ff" for char in text)
    return good - 5 * odd - 2 * rare


def _separator(text: str) -> str:
    """The one that cuts most lines into one and the same number of cells."""
    best = (0.0, ",")
    for separator in _SEPARATORS:
        try:
            counts = Counter(
                len(cells)
                for _, cells in zip(range(200), csv.reader(io.StringIO(text), delimiter=separator), strict=False)
                if any(cells)
            )
        except csv.Error:
            continue
        width, lines = max(counts.items(), key=lambda item: (item[1] * min(item[0], 6), item[0]), default=(1, 0))
        if width > 1:
            best = max(best, (lines * min(width, 6) / max(1, sum(counts.values())), separator))
    return best[1]


def _workbook(path: Path, raw: bytes) -> list[Sheet]:
    _archive(path, raw)
    try:
        from openpyxl import load_workbook
    except ImportError:
        raise AdoptError("Spreadsheets need openpyxl: pip install 'materia-data[all]'. A CSV does without.") from None
    try:
        book = load_workbook(io.BytesIO(raw))
    except Exception as error:
        raise AdoptError(f"{path} cannot be opened as a spreadsheet ({type(error).__name__}). Save it again.") from None
    return [_worksheet(path, sheet) for sheet in book.worksheets]


def _archive(path: Path, raw: bytes) -> None:
    """Refuse what is no plain .xlsx before any library opens it."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            names = archive.namelist()
            size = sum(entry.file_size for entry in archive.infolist())
            kind = archive.read("mimetype")[:60] if "mimetype" in names else b""
    except (zipfile.BadZipFile, OSError, RuntimeError, KeyError):
        raise AdoptError(f"{path} is a damaged spreadsheet or archive. Save it again as .xlsx or CSV.") from None
    if b"opendocument" in kind:
        raise AdoptError(f"{path} is an OpenDocument file (.ods). Save it as .xlsx or CSV.")
    if any(name.lower().endswith("vbaproject.bin") for name in names):
        raise AdoptError(f"{path} holds macros. Save it as .xlsx without macros.")
    if not any(name.startswith("xl/worksheets/") for name in names):
        raise AdoptError(f"{path} is an archive, not a spreadsheet. Take the .xlsx or CSV out of it.")
    if size > _UNPACKED:
        raise AdoptError(f"{path} unpacks to more than 100 MB. Take out pictures and old sheets, or save it as CSV.")


def _worksheet(path: Path, sheet: Any) -> Sheet:
    rows: dict[int, tuple[Cell, ...]] = {}
    notes: list[tuple[int, int, str]] = []
    if (sheet.max_row or 0) > _ROWS or (sheet.max_column or 0) > _COLUMNS:
        raise AdoptError(f"{path}, sheet {sheet.title}: more than {_ROWS:,} rows or {_COLUMNS} columns. Cut it up.")
    merged = {}
    for block in sheet.merged_cells.ranges:
        for row in range(block.min_row, block.max_row + 1):
            if block.max_col == block.min_col:
                merged[row, block.min_col] = (block.min_row, block.min_col)
    for line in sheet.iter_rows():
        cells = []
        for cell in line:
            at = merged.get((cell.row, cell.column))
            cells.append(_cell(sheet.cell(*at) if at else cell))
            if getattr(cell, "comment", None):
                notes.append((cell.row, cell.column, tidy(cell.comment.text)))
        if any(cell.text or cell.damage for cell in cells):
            rows[line[0].row] = tuple(cells)
    return Sheet(sheet.title, rows, tuple(notes), "a spreadsheet")


def _cell(cell: Any) -> Cell:
    value = cell.value
    if value is None:
        return Cell("")
    if cell.data_type == "f":
        return Cell(str(value), "a formula, not a value")
    if cell.data_type == "e":
        return Cell(str(value), "an error of the spreadsheet program")
    if isinstance(value, datetime | date | time):
        shown = value.date() if isinstance(value, datetime) and value.time() == time() else value
        return Cell(str(shown), "the spreadsheet program made a date or time of what was typed")
    if isinstance(value, bool):
        return Cell("yes" if value else "no")
    if isinstance(value, float):
        return Cell(f"{value:g}")
    return Cell(tidy(str(value)))


def tidy(text: str) -> str:
    """Without invisible characters and spaces at the ends; full-width letters and signs as plain ones."""
    text = unicodedata.normalize("NFKC", text.replace("\u3000", " "))
    return "".join(char for char in text if unicodedata.category(char) not in ("Cf", "Cs")).strip()
