"""Lines of text to columns of cells; one bad line costs that line."""

import csv
from collections.abc import Sequence
from itertools import repeat

from materia_data.problem import Problem
from materia_data.read.damage import LONGEST_LINE, Damage, broken_cell, unquoted
from materia_data.read.files import file_problem
from materia_data.read.header import read_header
from materia_data.read.schema import TableSchema
from materia_data.read.table import Table, empty_table

_CHUNK = 1000
_DELIMITERS = {"\t": "tabs", ";": "semicolons", "|": "bars", "，": "full-width commas", "、": "enumeration commas"}


def read_lines(text: str, schema: TableSchema) -> tuple[Table, list[Problem]]:
    """The table, and a problem for each line that is not a row of as many cells as the header has.

    text: whole file with LF line ends, the last line ended too.
    """
    lines = text.split("\n")
    lines.pop()
    if not any(lines):
        tip = f"Begin it with the header: {','.join(schema.by_name)}"
        problem = file_problem(schema.path, "empty-file", "The file is empty.", tip, line=1)
        return empty_table(schema, readable=False), [problem]
    delimiter, problems = _delimiter(lines[0], schema)
    header = unquoted(lines[0], delimiter) or lines[0].replace('"', "").split(delimiter)
    place, found = read_header(header, schema)
    problems += found
    if place:
        body, first = lines[1:], 2
    elif len(header) == len(schema.fields):
        place, body, first = {name: position for position, name in enumerate(schema.by_name)}, lines, 1
    else:
        return empty_table(schema, readable=False), problems
    numbers: Sequence[int] = range(first, first + len(body))
    lost: frozenset[str] = frozenset()
    columns = _columns(body, delimiter, len(header), quoted='"' in text)
    if columns is None:
        damage = Damage(schema.path, header, delimiter, first)
        columns, numbers = damage.columns(body)
        problems += damage.problems
        lost = frozenset(damage.lost)
    cells = {name: columns[place[name]] if name in place else [""] * len(numbers) for name in schema.by_name}
    missing = frozenset(name for name in schema.by_name if name not in place)
    return Table(schema, cells, numbers, missing, lost), problems


def _columns(body: list[str], delimiter: str, width: int, *, quoted: bool) -> list[list[str]] | None:
    """The cells by column, or None if any line is not a sound row of so many cells."""
    if not body:
        return [[] for _ in range(width)]
    if len(max(body, key=len)) > LONGEST_LINE or delimiter * (width - 1) in body:
        return None
    if not quoted:
        if set(map(str.count, body, repeat(delimiter))) != {width - 1}:
            return None
        cells = delimiter.join(body).split(delimiter)
        return [cells[place::width] for place in range(width)]
    columns: list[list[str]] = []
    for start in range(0, len(body), _CHUNK):
        rows = _rows(body[start : start + _CHUNK], delimiter)
        if rows is None or set(map(len, rows)) != {width}:
            return None
        if not columns:
            columns = list(map(list, zip(*rows, strict=True)))
            continue
        for column, more in zip(columns, zip(*rows, strict=True), strict=True):
            column.extend(more)
    return columns


def _rows(lines: list[str], delimiter: str) -> list[list[str]] | None:
    """The cells of each line, or None if the quotes of any are not sound."""
    rows = [line.split(delimiter) for line in lines]
    quoted = [i for i, line in enumerate(lines) if '"' in line]
    if not quoted:
        return rows
    try:
        parsed = list(csv.reader([lines[i] for i in quoted], delimiter=delimiter, strict=True))
    except csv.Error:
        return None
    if len(parsed) != len(quoted):
        return None
    for i, row in zip(quoted, parsed, strict=True):
        if '"' in "".join(row) and broken_cell(lines[i], delimiter):
            return None
        rows[i] = row
    return rows


def _delimiter(header: str, schema: TableSchema) -> tuple[str, list[Problem]]:
    """The character that parts the cells of the header; a problem if it isn't the comma."""
    if "," not in header:
        for mark, name in _DELIMITERS.items():
            if sum(cell.strip(' "') in schema.by_name for cell in header.split(mark)) > 1:
                message, tip = f"Cells are parted by {name}, not commas.", "Save it as comma-separated values, UTF-8."
                return mark, [file_problem(schema.path, "wrong-delimiter", message, tip, line=1, value=header[:200])]
    return ",", []
