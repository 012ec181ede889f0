"""Lines that are not sound rows: what is wrong with each, and what can still be read."""

import csv
import re
from functools import cache
from itertools import repeat

from materia_data.problem import Problem
from materia_data.read.files import file_problem
from materia_data.read.shown import shown

LONGEST_LINE = 65536
_MOST_BREAKS = 5
_MERGE_MARKS = frozenset({"<" * 7, "|" * 7, "=" * 7, ">" * 7})


class Damage:
    """The lines of one file, judged one by one.

    problems: one for each bad line, first its line number; lost: the first cells of lines that cost themselves.
    """

    def __init__(self, path: str, header: list[str], delimiter: str, first: int) -> None:
        self.path, self.header, self.delimiter, self.first = path, header, delimiter, first
        self.width = len(header)
        self.problems: list[Problem] = []
        self.lost: list[str] = []

    def columns(self, body: list[str]) -> tuple[list[list[str]], list[int]]:
        """The cells by column of the lines that can be read, and the number of each such line."""
        rows = self._rows(body)
        kept = [i for i, row in enumerate(rows) if row is not None and self._is_row(i, body[i], row)]
        columns = list(map(list, zip(*(rows[i] or () for i in kept), strict=True)))
        return columns or [[] for _ in range(self.width)], [self.first + i for i in kept]

    def _rows(self, body: list[str]) -> list[list[str] | None]:
        """The cells of each line, None where its quotes hide them; a problem for each line with unsound quotes."""
        rows: list[list[str] | None] = [line.split(self.delimiter) for line in body]
        done = -1
        for i, line in enumerate(body):
            if i <= done or '"' not in line or len(line) > LONGEST_LINE:
                continue
            broken = broken_cell(line, self.delimiter)
            if broken is None:
                rows[i] = unquoted(line, self.delimiter)
                continue
            place, kind = broken
            joined, end = self._joined(body, i) if kind == "unclosed-quote" else (None, i)
            if joined:
                at = next(j for j, cell in enumerate(joined) if "\n" in cell)
                tip = "Put a space in its place, so that the record is one line."
                self._say(
                    i, "line-break-in-cell", "A line break stands inside a cell.", tip, self.header[at], joined[at]
                )
                rows[i] = [cell.replace("\n", " ").strip() for cell in joined]
                rows[i + 1 : end + 1] = repeat(None, end - i)
                done = end
                continue
            message, tip = _QUOTES[kind]
            self._say(i, kind, message, tip, self.header[place] if place < self.width else "", line[:200])
            rows[i] = _lenient(line, self.delimiter) if kind == "stray-quote" else None
            if rows[i] is None:
                self.lost.append(self._first_cell(line))
        return rows

    def _joined(self, body: list[str], i: int) -> tuple[list[str] | None, int]:
        """The row that line i makes with the lines after it, if they close its quote and are no rows themselves; and
        its last line."""
        text, quotes = body[i], body[i].count('"')
        for end in range(i + 1, min(i + 1 + _MOST_BREAKS, len(body))):
            part = body[end]
            if len(text) + len(part) > LONGEST_LINE or part.count(self.delimiter) >= self.width - 1:
                break
            text, quotes = f"{text}\n{part}", quotes + part.count('"')
            if quotes % 2 == 0:
                cells = unquoted(text, self.delimiter)
                return (cells if cells and len(cells) == self.width else None), end
        return None, i

    def _is_row(self, i: int, line: str, row: list[str]) -> bool:
        """Whether the cells are a row; if not, says so."""
        if len(line) > LONGEST_LINE:
            self._say(
                i, "oversized-line", f"The line has {len(line):,} characters.", "Look for the line ends that were lost."
            )
        elif not any(cell.strip() for cell in row):
            self._say(i, "blank-line", "The line holds no value.", "Take the line out.")
            return False
        elif line[:7] in _MERGE_MARKS and len(row) < self.width:
            tip = "Keep the version that is right; take out the other one and the marks."
            self._say(i, "ragged-row", "A merge left its mark: a row has two versions here.", tip, value=line[:200])
        elif len(row) < self.width:
            name = self.header[len(row)]
            message = f"The row has {len(row)} of the header's {self.width} cells."
            tip = "Add the commas that are missing; an empty cell keeps its comma."
            self._say(i, "ragged-row", message, tip, name, line[:200])
        elif len(row) > self.width:
            extra = shown(row[self.width])
            message = f"The row has {len(row)} cells, the header {self.width}; the first too many is “{extra}”."
            tip = "Take out the comma too many, or put double quotes round the cell that has a comma in it."
            self._say(i, "ragged-row", message, tip, value=line[:200])
        else:
            return True
        self.lost.append(self._first_cell(line[:LONGEST_LINE]))
        return False

    def _first_cell(self, line: str) -> str:
        return line.split(self.delimiter, 1)[0].strip('" ')

    def _say(self, i: int, rule: str, message: str, tip: str, column: str = "", value: str = "") -> None:
        problem = file_problem(self.path, rule, message, tip, line=self.first + i, column=column, value=value)
        self.problems.append(problem)


def unquoted(line: str, delimiter: str) -> list[str] | None:
    """The cells of one line, or None if its quotes are not sound."""
    cell = _cell_pattern(delimiter)
    cells: list[str] = []
    at = 0
    while found := cell.match(line, at):
        text = line[at : found.start(1)]
        cells.append(text[1:-1].replace('""', '"') if text[:1] == '"' else text)
        if not found[1]:
            return cells
        at = found.end()
    return None


def _lenient(line: str, delimiter: str) -> list[str] | None:
    """The cells of a line whose quotes are not sound, as most programs read them; None if they would not."""
    try:
        (row,) = csv.reader([line], delimiter=delimiter, strict=True)
    except (csv.Error, ValueError):
        return None
    return row


def broken_cell(line: str, delimiter: str) -> tuple[int, str] | None:
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
