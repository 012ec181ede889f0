"""Rows with typed cells, as a check reads them: `row.min`, `row.flavors`, `row.problem("min", …)`."""

from collections.abc import Iterator
from typing import Any

from materia_data.problem import Problem
from materia_data.read.table import Table


class Row:
    """One row of a table. A number reads as float or None, a list as a tuple, everything else as text."""

    __slots__ = ("_index", "_table", "_typed")

    def __init__(self, table: Table, index: int, typed: dict[str, list[Any]] | None = None) -> None:
        self._table = table
        self._index = index
        self._typed = {} if typed is None else typed

    def __getattr__(self, column: str) -> Any:
        cells = self._typed.get(column)
        if cells is None:
            cells = self._typed[column] = _typed(self._table, column.rstrip("_"))
        return cells[self._index]

    @property
    def key(self) -> str:
        """The key's values joined by `|`."""
        return self._table.key(self._index)

    @property
    def line(self) -> int:
        """The line in the file, the header being 1."""
        return self._table.place(self._index)[1]

    @property
    def where(self) -> str:
        """File and line: `record/citations.csv:12`."""
        return "{}:{}".format(*self._table.place(self._index))

    def problem(self, column: str, message: str, *, tip: str = "", value: str | None = None) -> Problem:
        """A finding at one cell of this row; the host fills in the check's id and severity."""
        return self._table.problem(self._index, column, "", message, tip=tip, value=value)


def rows(table: Table) -> Iterator[Row]:
    """The rows of a table, first to last."""
    typed: dict[str, list[Any]] = {}
    return (Row(table, index, typed) for index in range(len(table)))


def _typed(table: Table, column: str) -> list[Any]:
    """A whole column as its rows read it, made once for all rows that are walked together."""
    cells = table.columns.get(column)
    if cells is None:
        raise AttributeError(f"{table.schema.name} has no column {column}")
    field = table.schema.by_name[column]
    if field.is_list:
        return [tuple(text.split(";")) if text else () for text in cells]
    if field.type in ("number", "integer"):
        return [_number(text) for text in cells]
    return cells


def _number(text: str) -> float | None:
    try:
        return float(text) if text else None
    except ValueError:
        return None
