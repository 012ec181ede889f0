"""Lines of text to columns of cells; one bad line costs that line."""

import csv
import re
from collections.abc import Sequence
from functools import cache
from itertools import repeat

from materia_data.problem import Problem
from materia_data.read.files import file_problem
from materia_data.read.header import read_header
from materia_data.read.schema import TableSchema
from materia_data.read.shown import shown
from materia_data.read.table import Table, empty_table

_LONGEST_LINE = 65536
_MOST_BREAKS = 5
_DELIMITERS = {"\t": "tabs", ";": "semicolons", "|": "bars", "，": "full-width commas", "、": "enumeration commas"}


def read_lines(text: str, schema: TableSchema) -> tuple[Table, list[Problem]]:
    """The table, and a problem for each line that is not a row of as many cells as the header has.

    text: whole file with LF line ends, the last line ended too.
    """
    lines = text.split("\n")
    lines.pop()
    if not any(lines):
        tip = f"Begin it with the header: {','.join(schema.by_name)}"
        return empty_table(schema, readable=False), [
            file_problem(schema.path, "empty-file", "The file is empty.", tip, line=1)
        ]
    delimiter, problems = _delimiter(lines[0], schema)
    header = _cells(lines[0], delimiter) or lines[0].replace('"', "").split(delimiter)
    place, found = read_header(header, schema)
    problems += found
    first = 1
    if not place:
        if len(header) != len(schema.fields):
            return empty_table(schema, readable=False), problems
        place, first = {name: position for position, name in enumerate(schema.by_name)}, 0
    reader = _Lines(schema, header, delimiter, lines, first)
    columns, numbers = reader.columns()
    nothing = [""] * len(numbers)
    cells = {name: columns[place[name]] if name in place else list(nothing) for name in schema.by_name}
    missing = frozenset(name for name in schema.by_name if name not in place)
    return Table(schema, cells, numbers, missing, frozenset(reader.lost)), problems + reader.problems


class _Lines:
    """The lines of one file on their way to columns."""

    def __init__(self, schema: TableSchema, header: list[str], delimiter: str, lines: list[str], first: int) -> None:
        self.schema, self.header, self.delimiter, self.lines, self.first = schema, header, delimiter, lines, first
        self.width = len(header)
        self.problems: list[Problem] = []
        self.lost: list[str] = []

    def columns(self) -> tuple[list[list[str]], Sequence[int]]:
        """Cells by column, and the line number of each row."""
        body = self.lines[self.first :] if self.first else self.lines
        numbers = range(self.first + 1, len(self.lines) + 1)
        if not body:
            return [[] for _ in range(self.width)], numbers
        quoted = [i for i, line in enumerate(body) if '"' in line]
        sound = len(max(body, key=len)) <= _LONGEST_LINE and self.delimiter * (self.width - 1) not in body
        if sound and not quoted and set(map(str.count, body, repeat(self.delimiter))) == {self.width - 1}:
            cells = self.delimiter.join(body).split(self.delimiter)
            return [cells[place :: self.width] for place in range(self.width)], numbers
        rows: list[list[str] | None] = [line.split(self.delimiter) for line in body]
        if quoted and not self._unquote_all(body, rows, quoted):
            self._unquote_each(body, rows, quoted)
            sound = False
        if sound and set(map(len, filter(None, rows))) == {self.width}:
            return list(map(list, zip(*rows, strict=True))), numbers
        kept = [i for i, row in enumerate(rows) if row is not None and self._is_row(i, body[i], row)]
        columns = list(map(list, zip(*(rows[i] for i in kept), strict=True)))
        return columns or [[] for _ in range(self.width)], [numbers[i] for i in kept]

    def _unquote_all(self, body: list[str], rows: list[list[str] | None], quoted: list[int]) -> bool:
        """Parse the lines with quotes in one go; false if any of them is not a row by itself."""
        try:
            parsed = list(csv.reader([body[i] for i in quoted], delimiter=self.delimiter, strict=True))
        except csv.Error:
            return False
        if len(parsed) != len(quoted):
            return False
        for i, row in zip(quoted, parsed, strict=True):
            if '"' in "".join(row) and _broken_cell(body[i], self.delimiter) is not None:
                return False
            rows[i] = row
        return True

    def _unquote_each(self, body: list[str], rows: list[list[str] | None], quoted: list[int]) -> None:
        """Parse the lines with quotes one by one, with a problem for each that is not a row."""
        done = -1
        for i in quoted:
            if i <= done:
                continue
            broken = _broken_cell(body[i], self.delimiter) if len(body[i]) <= _LONGEST_LINE else None
            if broken is None:
                rows[i] = _cells(body[i], self.delimiter)
                continue
            place, kind = broken
            column = self.header[place] if place < self.width else ""
            if kind == "unclosed-quote":
                joined, end = self._joined(body, i)
                if joined:
                    at = next(j for j, cell in enumerate(joined) if "\n" in cell)
                    message = "A line break stands inside a cell."
                    tip = "Put a space in its place, so that the record is one line."
                    self._say(i, "line-break-in-cell", message, tip, column=self.header[at], value=joined[at])
                    rows[i] = [cell.replace("\n", " ") for cell in joined]
                    rows[i + 1 : end + 1] = repeat(None, end - i)
                    done = end
                    continue
            message, tip = _QUOTES[kind]
            self._say(i, kind, message, tip, column=column, value=body[i][:200])
            rows[i] = _cells(body[i], self.delimiter) if kind == "stray-quote" else None
            if rows[i] is None:
                self.lost.append(self._first_cell(body[i]))

    def _joined(self, body: list[str], i: int) -> tuple[list[str] | None, int]:
        """The row that line i makes with the lines after it, if they close its quote and are no rows themselves; and
        its last line."""
        text, quotes = body[i], body[i].count('"')
        for end in range(i + 1, min(i + 1 + _MOST_BREAKS, len(body))):
            part = body[end]
            if len(text) + len(part) > _LONGEST_LINE or (
                '"' not in part and part.count(self.delimiter) == self.width - 1
            ):
                break
            text, quotes = f"{text}\n{part}", quotes + part.count('"')
            if quotes % 2 == 0:
                cells = _cells(text, self.delimiter)
                return (cells if cells and len(cells) == self.width else None), end
        return None, i

    def _is_row(self, i: int, line: str, row: list[str]) -> bool:
        """Whether the cells are a row; if not, says so."""
        if len(line) > _LONGEST_LINE:
            self._say(
                i, "oversized-line", f"The line has {len(line):,} characters.", "Look for the line ends that were lost."
            )
        elif not any(cell.strip() for cell in row):
            self._say(i, "blank-line", "The line holds no value.", "Take the line out.")
            return False
        elif len(row) < self.width:
            name = self.header[len(row)]
            message = f"The row has {len(row)} cells, the header {self.width}."
            tip = "Add the commas that are missing; an empty cell keeps its comma."
            self._say(i, "ragged-row", message, tip, column=name, value=line[:200])
        elif len(row) > self.width:
            extra = shown(row[self.width])
            message = f"The row has {len(row)} cells, the header {self.width}; the first too many is “{extra}”."
            tip = "Take out the comma too many, or put double quotes round the cell that has a comma in it."
            self._say(i, "ragged-row", message, tip, value=line[:200])
        else:
            return True
        self.lost.append(self._first_cell(line[:_LONGEST_LINE]))
        return False

    def _first_cell(self, line: str) -> str:
        return line.split(self.delimiter, 1)[0].strip('" ')

    def _say(self, i: int, rule: str, message: str, tip: str, *, column: str = "", value: str = "") -> None:
        self.problems.append(
            file_problem(self.schema.path, rule, message, tip, line=self.first + 1 + i, column=column, value=value)
        )


_QUOTES = {
    "unclosed-quote": (
        "A double quote opens a cell and is never closed.",
        "Close the cell with a double quote, or take the first one out.",
    ),
    "text-after-quote": (
        "Text follows the double quote that closes a cell.",
        "Write each double quote inside the cell twice, or take it out.",
    ),
    "stray-quote": (
        "A double quote stands inside a cell that has none round it.",
        "Put the cell in double quotes and write the one inside twice.",
    ),
}


def _delimiter(header: str, schema: TableSchema) -> tuple[str, list[Problem]]:
    """The character that parts the cells of the header; a problem if it isn't the comma."""
    if "," not in header:
        for mark, name in _DELIMITERS.items():
            if sum(cell.strip(' "') in schema.by_name for cell in header.split(mark)) > 1:
                message, tip = f"Cells are parted by {name}, not commas.", "Save it as comma-separated values, UTF-8."
                return mark, [file_problem(schema.path, "wrong-delimiter", message, tip, line=1, value=header[:200])]
    return ",", []


def _cells(line: str, delimiter: str) -> list[str] | None:
    """The cells of one line, or None if its quotes are not sound."""
    try:
        rows = list(csv.reader([line], delimiter=delimiter, strict=True))
    except csv.Error:
        return None
    return rows[0] if len(rows) == 1 else None


def _broken_cell(line: str, delimiter: str) -> tuple[int, str] | None:
    """Which cell of the line breaks the rules of quoting, and how; None if none does.

    Source: RFC 4180, section 2, rules 5 to 7.
    """
    cell = _cell_pattern(delimiter)
    place, at = 0, 0
    while found := cell.match(line, at):
        if not found[1]:
            return None
        place, at = place + 1, found.end()
    if line[at : at + 1] != '"':
        return place, "stray-quote"
    return place, "text-after-quote" if _closed_pattern().match(line, at) else "unclosed-quote"


@cache
def _cell_pattern(delimiter: str) -> re.Pattern[str]:
    mark = re.escape(delimiter)
    return re.compile(rf'(?:"(?:[^"]++|"")*+"|[^"{mark}]*+)({mark}|\Z)')


@cache
def _closed_pattern() -> re.Pattern[str]:
    return re.compile(r'"(?:[^"]++|"")*+"')
