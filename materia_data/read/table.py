"""A table as columns of text, and the way back from a row to its line."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from materia_data.problem import Problem
from materia_data.read.schema import TableSchema


@dataclass(eq=False, slots=True)
class Table:
    """Rows as they stand in the file, kept by column.

    columns: raw text of every column of the schema, a missing column as empty cells; lines: each row's line number,
    the header being 1;
    missing: columns the file has not; lost: first cells of lines that could not be read; readable: false if the file
    as a whole could not.
    """

    schema: TableSchema
    columns: dict[str, list[str]]
    lines: Sequence[int]
    missing: frozenset[str] = frozenset()
    lost: frozenset[str] = frozenset()
    readable: bool = True
    _rows_of: dict[str, dict[str, list[int]]] = field(default_factory=dict, repr=False)

    @property
    def file(self) -> str:
        """Path inside the package, with `/`."""
        return self.schema.path

    def __len__(self) -> int:
        return len(self.lines)

    def key(self, i: int) -> str:
        """The key values of row i, joined by `|`."""
        return "|".join(self.columns[column][i] for column in self.schema.key)

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
        return Problem(self.file, self.lines[i], column, self.key(i), value, rule, severity, message, tip, source)


def empty_table(schema: TableSchema, *, readable: bool = True) -> Table:
    """A table without rows."""
    return Table(schema, {column: [] for column in schema.by_name}, range(2, 2), readable=readable)
