"""The hidden record: the release that left, and every cell as it left, packed into a few cells of a hidden sheet."""

import json
import zlib
from base64 import b64decode, b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from materia_data.change.spreadsheet.layout import Sheet
from materia_data.change.spreadsheet.trouble import SpreadsheetError
from materia_data.materia import Materia

RECORD, LISTS, ABOUT = "as-it-left", "lists", "read me first"
TITLE = "·"
_TITLE, _FORMAT = "materia spreadsheet", "1"
_CHUNK, _LARGEST = 30_000, 512 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Part:
    """The rows of one table in one sheet, as they left. columns: in file order; key: those that name a row; rows:
    the row's cells by its mark (the key's values joined by `|`), in the order of the sheet."""

    table: str
    columns: tuple[str, ...]
    key: tuple[str, ...]
    rows: dict[str, list[str]]


@dataclass(frozen=True, slots=True)
class Left:
    """What left. release: its id; by: `table` or `category`; sheets: by name, their parts by table."""

    release: str
    by: str
    sheets: dict[str, dict[str, Part]]


def pack(materia: Materia, by: str, sheets: Sequence[Sheet]) -> list[str]:
    """The cells of the hidden sheet's first column, none longer than 30,000 characters."""
    left = {
        "release": materia.release_id,
        "by": by,
        "sheets": [[sheet.name, _parts(materia, sheet)] for sheet in sheets],
    }
    raw = json.dumps(left, ensure_ascii=False, separators=(",", ":")).encode("utf-8")
    text = b64encode(zlib.compress(raw, 6)).decode("ascii")
    chunks = [text[at : at + _CHUNK] for at in range(0, len(text), _CHUNK)]
    head = [_TITLE, f"format {_FORMAT}", f"release {materia.release_id}", f"sha256 {sha256(raw).hexdigest()}"]
    return [*head, *(f"{number}:{chunk}" for number, chunk in enumerate(chunks, 1))]


def unpack(cells: Sequence[str]) -> Left:
    """The record that those cells hold. SpreadsheetError: it is not whole, or of another kind."""
    if len(cells) < 5 or cells[0] != _TITLE:
        raise SpreadsheetError(
            f"its hidden sheet “{RECORD}” is not the record that `materia spreadsheet out` writes. {_AGAIN}"
        )
    if cells[1] != f"format {_FORMAT}":
        raise SpreadsheetError(
            f"its hidden record is of {cells[1]}, this program reads format {_FORMAT}. Bring it in with the program "
            "that wrote it."
        )
    try:
        raw = _inflated(b64decode("".join(cell.partition(":")[2] for cell in cells[4:]), validate=True))
        if f"sha256 {sha256(raw).hexdigest()}" != cells[3]:
            raise ValueError
        found = json.loads(raw)
        return Left(found["release"], found["by"], {name: _read_parts(parts) for name, parts in found["sheets"]})
    except (ValueError, KeyError, TypeError, zlib.error, RecursionError):
        raise SpreadsheetError(f"its hidden record of the cells as they left is damaged. {_AGAIN}") from None


_AGAIN = "Send the spreadsheet out again and make the corrections in that one."


def _inflated(packed: bytes) -> bytes:
    machine = zlib.decompressobj()
    raw = machine.decompress(packed, _LARGEST)
    if machine.unconsumed_tail:
        raise ValueError
    return raw


def _parts(materia: Materia, sheet: Sheet) -> list[list[object]]:
    rows: dict[str, list[int]] = {}
    for section in sheet.sections:
        rows.setdefault(section.table, []).extend(section.rows)
    parts: list[list[object]] = []
    for name, numbers in rows.items():
        table = materia.package.tables[name]
        columns = [table.columns[column] for column in table.schema.by_name]
        cells = [[column[row] for column in columns] for row in numbers]
        parts.append([name, list(table.schema.by_name), list(table.schema.key), cells])
    return parts


def _read_parts(parts: Any) -> dict[str, Part]:
    found = {}
    for table, columns, key, rows in parts:
        places = [columns.index(column) for column in key]
        if any(len(row) != len(columns) for row in rows):
            raise ValueError
        marked = {"|".join([row[place] for place in places]): row for row in rows}
        found[table] = Part(table, tuple(columns), tuple(key), marked)
    return found
