"""Rows of the package as corrections would have them: changed, added, taken out."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from materia_data.change.spreadsheet.returned import Cell
from materia_data.read.keys import row_order
from materia_data.read.package import Package
from materia_data.read.table import Table


@dataclass(eq=False, frozen=True, slots=True)
class Edit:
    """What becomes of one row. kind: `change`, `new` or `gone`; record: its key in the package, of a new row the key
    that it will have; cells: by column, that of a row that is gone under the empty name."""

    kind: str
    table: str
    record: str
    cells: Mapping[str, Cell]

    def values(self, pending: Collection[Cell]) -> dict[str, str]:
        """The new texts by column, of the cells that are pending."""
        found = {column: cell for column, cell in self.cells.items() if cell in pending}
        return {column: cell.after for column, cell in found.items() if isinstance(cell.after, str)}


@dataclass(frozen=True, slots=True)
class Edited:
    """The package with the edits made. rows: each edit by the file and the key that its row has now or had."""

    package: Package
    rows: Mapping[tuple[str, str], Edit]


def edited(package: Package, edits: Iterable[Edit], pending: Collection[Cell]) -> Edited:
    """Make the pending cells' values those of the package, in memory; rows in key order."""
    by_table: dict[str, list[Edit]] = {}
    for edit in edits:
        if any(cell in pending for cell in edit.cells.values()):
            by_table.setdefault(edit.table, []).append(edit)
    tables, rows = dict(package.tables), {}
    for name, some in by_table.items():
        tables[name] = _table(package.tables[name], some, pending)
        for edit in some:
            key = new_key(package.tables[name], edit, edit.values(pending))
            rows[tables[name].file, key] = edit
            rows.setdefault((tables[name].file, edit.record), edit)
    return Edited(replace(package, tables=tables, _kinds=None), rows)


def new_key(table: Table, edit: Edit, values: Mapping[str, str]) -> str:
    """The key that the row has once the values are in it."""
    if edit.kind == "gone" or not any(column in values for column in table.schema.key):
        return edit.record
    if edit.kind == "new":
        return "|".join(values.get(column, "") for column in table.schema.key)
    row = row_numbers(table)[edit.record]
    return "|".join(values.get(column, table.columns[column][row]) for column in table.schema.key)


@lru_cache(maxsize=128)
def row_numbers(table: Table) -> dict[str, int]:
    """Row numbers by key, the first of two rows with one key. The table must not change afterwards."""
    return {key: row for row, key in reversed(list(enumerate(map(table.key, range(len(table))))))}


def _table(table: Table, edits: Sequence[Edit], pending: Collection[Cell]) -> Table:
    columns = {column: list(cells) for column, cells in table.columns.items()}
    number = row_numbers(table)
    gone: set[int] = set()
    for edit in edits:
        if edit.kind == "gone":
            gone.add(number[edit.record])
        elif edit.kind == "new":
            values = edit.values(pending)
            for column, cells in columns.items():
                cells.append(values.get(column, ""))
        else:
            for column, text in edit.values(pending).items():
                columns[column][number[edit.record]] = text
    order = row_order(table.schema, columns)
    kept = sorted((row for row in range(len(order)) if row not in gone), key=order.__getitem__)
    columns = {column: [cells[row] for row in kept] for column, cells in columns.items()}
    return Table(table.schema, columns, range(2, len(kept) + 2))
