"""Where our reader and frictionless are known to differ, and why. What is not written here is a fault of ours."""

from collections.abc import Callable
from typing import NamedTuple

from materia_data.problem import Problem
from materia_data.read.schema import table_schemas
from tests.read.referee import Call

_HEADER = {
    "missing-column",
    "unknown-column",
    "repeated-column",
    "reordered-columns",
    "missing-header",
    "wrong-delimiter",
}
_FILE = {"not-utf-8", "empty-file", "missing-file", "cr-line-ends"} | _HEADER
_LINE = {"ragged-row", "unclosed-quote", "text-after-quote", "blank-line", "line-break-in-cell", "oversized-line"}
_QUOTE = {"unclosed-quote", "text-after-quote", "stray-quote", "line-break-in-cell"}


class Difference(NamedTuple):
    """One way in which the referee says more than we do. explains: whether it accounts for such a call."""

    why: str
    explains: Callable[[Call, list[Problem]], bool]


def _in_file(call: Call, ours: list[Problem], rules: set[str]) -> bool:
    return any(problem.file == call.file and problem.rule in rules for problem in ours)


def _by_position(call: Call, ours: list[Problem]) -> bool:
    return _in_file(call, ours, _HEADER)


def _shifted(call: Call, ours: list[Problem]) -> bool:
    return any((problem.file, problem.line) == (call.file, call.line) and problem.rule in _LINE for problem in ours)


def _swallowed(call: Call, ours: list[Problem]) -> bool:
    return any(problem.file == call.file and problem.rule in _QUOTE and problem.line <= call.line for problem in ours)


def _line_end(call: Call, ours: list[Problem]) -> bool:
    return any(problem.file == call.file and "\r" in problem.value and problem.line <= call.line for problem in ours)


def _elsewhere(call: Call, ours: list[Problem]) -> bool:
    schema = next(schema for schema in table_schemas().values() if schema.path == call.file)
    sources = {table_schemas()[name].path for field in schema.fields for name in field.refers}
    return any(problem.file in sources and problem.rule in _FILE | _LINE for problem in ours) and (
        call.line == 0 or call.type == "foreign-key"
    )


# What frictionless says and we do not.
THEIRS = {
    "by-position": Difference(
        "After a header that is wrong it goes on by position and calls the cells wrong that stand under another name; "
        "we read them by name and say the header once.",
        _by_position,
    ),
    "shifted-row": Difference(
        "In a row with a cell too few or too many it judges the shifted cells as well; we say the row once.",
        _shifted,
    ),
    "swallowed-lines": Difference(
        "An open quote or a quoted line break makes one cell of many lines for it, and later rows have other numbers; "
        "we count lines and go on with the next.",
        _swallowed,
    ),
    "carriage-return": Difference(
        "A carriage return inside a line ends the line for it; we name the cell and keep the line.",
        _line_end,
    ),
    "unreadable-elsewhere": Difference(
        "Where a table cannot be read or lost a line it fails every table that refers to it; we name the cause alone.",
        _elsewhere,
    ),
}


class Accepted(NamedTuple):
    """Something that frictionless takes and we do not: a cell of `herbs/doses.csv` line 2, and our finding."""

    column: str
    value: str
    rule: str


# What we say and frictionless does not (semantics.md §7): cells.
OURS = {
    "INF": Accepted("max", "INF", "not-a-number"),
    "an exponent": Accepted("max", "1e3", "malformed-number"),
    "a plus sign": Accepted("min", "+1", "malformed-number"),
    "a leading point": Accepted("min", ".5", "malformed-number"),
    "an underscore": Accepted("max", "1_000", "malformed-number"),
    "full-width digits": Accepted("max", "１２", "full-width-digits"),
    "a number padded with spaces": Accepted("min", " 3", "stray-space"),
    "a number padded with zeros": Accepted("min", "003", "malformed-number"),
    "a carriage return": Accepted("note", '"a\rb"', "invisible-character"),
    "NUL": Accepted("note", "a\0b", "invisible-character"),
    "a quoted line break": Accepted("note", '"a\nb"', "line-break-in-cell"),
    "text after a closing quote": Accepted("note", '"a" b', "text-after-quote"),
    "a quote inside a cell": Accepted("note", 'a" b', "stray-quote"),
    "an invisible space": Accepted("note", "a\u200bb", "invisible-character"),
    "a direction mark": Accepted("note", "a\u202eb", "invisible-character"),
}
