"""A file of the package with some rows changed, every other line as it stands to the byte."""

import csv
import io
from bisect import bisect_right
from collections.abc import Collection, Sequence

from materia_data.change.spreadsheet.edits import Edit, row_numbers
from materia_data.change.spreadsheet.returned import Cell
from materia_data.read.keys import row_order
from materia_data.read.table import Table


def rewritten(data: bytes, table: Table, edits: Sequence[Edit], accepted: Collection[Cell]) -> bytes:
    """The file with the accepted rows changed, every other line as it stands to the byte."""
    lines = data.decode("utf-8").split("\n")
    number = row_numbers(table)
    columns = {column: list(cells) for column, cells in table.columns.items()}
    kept: dict[int, str] = {row: lines[table.lines[row] - 1] for row in range(len(table))}
    moved: list[int] = []
    for edit in edits:
        if edit.kind == "gone":
            del kept[number[edit.record]]
            continue
        values = edit.values(accepted)
        row = number[edit.record] if edit.kind == "change" else len(columns[table.schema.key[0]])
        for column, cells in columns.items():
            if edit.kind == "new":
                cells.append(values.get(column, ""))
            elif column in values:
                cells[row] = values[column]
        kept[row] = _line([columns[column][row] for column in table.schema.by_name])
        if edit.kind == "new" or any(column in values for column in table.schema.key):
            moved.append(row)
    order = row_order(table.schema, columns)
    stay = [row for row in kept if row not in set(moved)]
    for row in moved:
        stay.insert(bisect_right(stay, order[row], key=order.__getitem__), row)
    return "\n".join([lines[0], *(kept[row] for row in stay), ""]).encode("utf-8")


def _line(cells: Sequence[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()
