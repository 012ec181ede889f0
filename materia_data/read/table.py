"""A table as columns of text, and the way back from a row to its line."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from materia_data.problem import Problem
from materia_data.read.schema import TableSchema

Place = tuple[str, int]
"""File, as a path inside the package with `/` (inside a layer `LAYER:path`), and line, the header being 1."""


@dataclass(frozen=True, slots=True)
class Laid:
    """Where the rows and cells of a table stand that are not the base's own.

    rows: by row number; cells: by row number and column; removed: by the key of the row that is gone.
    """

    rows: Mapping[int, Place]
    cells: Mapping[tuple[int, str], Place]
    removed: Mapping[str, Place]


@dataclass(eq=False, slots=True)
class Table:
    """Rows as they stand in the file, kept by column.

    columns: raw text of every column of the schema, a missing column as empty cells; lines: each row's line number,
    the header being 1;
    missing: columns the file has not; lost: first cells of lines that could not be read; readable: false if the file
    as a whole could not; laid: what layers have put over it, None if there is none. `place` tells where a cell stands,
    whichever file that is.
    """

    schema: TableSchema
    columns: dict[str, list[str]]
    lines: Sequence[int]
    missing: frozenset[str] = frozenset()
    lost: frozenset[str] = frozenset()
    readable: bool = True
    laid: Laid | None = None
    _rows_of: dict[str, dict[str, list[int]]] = field(default_factory=dict, repr=False)
    _rows_at: dict[Place, int] | None = field(default=None, repr=False)

    @property
    def file(self) -> str:
        """Path inside the package, with `/`."""
        return self.schema.path

    def __len__(self) -> int:
        return len(self.lines)

    def key(self, i: int) -> str:
        """The key values of row i, joined by `|`."""
        return "|".join(self.columns[column][i] for column in self.schema.key)

    def place(self, i: int, column: str = "") -> Place:
        """File and line of the cell, or of the row where no column is named."""
        if self.laid is None:
            return self.file, self.lines[i]
        return self.laid.cells.get((i, column)) or self.laid.rows.get(i) or (self.file, self.lines[i])

    def layer(self, i: int, column: str = "") -> str:
        """The id of the layer that says the cell (or the row), the empty string for the base."""
        return "" if self.laid is None else layer_of(self.place(i, column)[0])

    def row_at(self, file: str, line: int) -> int:
        """The row that stands, whole or in a cell, in this line of this file. KeyError: there is none."""
        if self._rows_at is None:
            self._rows_at = {self.place(i): i for i in range(len(self))}
            if self.laid is not None:
                self._rows_at |= {place: i for (i, _), place in self.laid.cells.items()}
        return self._rows_at[file, line]

    def row(self, i: int) -> dict[str, str]:
        """Row i by column name."""
        return {column: cells[i] for column, cells in self.columns.items()}

    def rows_of(self, column: str) -> dict[str, list[int]]:
        """For each value of the column the rows it stands in, in file order. Made once, then kept."""
        if column not in self._rows_of:
            index: dict[str, list[int]] = {}
            for i, value in enumerate(self.columns[column]):
                index.setdefault(value, []).append(i)
            self._rows_of[column] = index
        return self._rows_of[column]

    def problem(
        self,
        i: int,
        column: str,
        rule: str,
        message: str,
        *,
        tip: str = "",
        severity: str = "error",
        value: str | None = None,
        source: str = "",
    ) -> Problem:
        """A problem at the cell of row i; value: the text found, by default the whole cell's."""
        if value is None:
            value = self.columns[column][i] if column in self.columns else ""
        file, line = self.place(i, column)
        return Problem(file, line, column, self.key(i), value, rule, severity, message, tip, source)


def empty_table(schema: TableSchema, *, readable: bool = True) -> Table:
    """A table without rows."""
    return Table(schema, {column: [] for column in schema.by_name}, range(2, 2), readable=readable)


def layer_of(file: str) -> str:
    """The id of the layer that a file belongs to, the empty string for a file of the base."""
    return file.partition(":")[0] if ":" in file else ""
