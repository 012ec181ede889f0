"""What left, what came back, and what the package says now, set against each other cell by cell."""

from collections.abc import Mapping

from materia_data.change.spreadsheet.edits import Edit, row_numbers
from materia_data.change.spreadsheet.judge import Verdict
from materia_data.change.spreadsheet.left import Left
from materia_data.change.spreadsheet.returned import Cell, Returned
from materia_data.read.package import Package


def three_way(
    left: Left, back: Returned, package: Package, verdicts: dict[Cell, Verdict], now: dict[Cell, str]
) -> list[Edit]:
    """The edits that are to be judged. Some of their cells get a verdict here: both changed, or the table or column is
    not there any more; and so do cells that the package has already."""
    touched = {cell.table for cell in back.all()} & package.tables.keys()
    numbers = {name: row_numbers(package.tables[name]) for name in touched}
    rows: dict[tuple[str, str], dict[str, Cell]] = {}
    for cell in back.cells:
        if cell.table not in numbers or cell.column not in package.tables[cell.table].schema.by_name:
            verdicts.setdefault(cell, Verdict("refused", "unknown-column", "The package has no such column any more."))
            continue
        row = numbers[cell.table].get(cell.record)
        if row is None:
            reason = "The row is not in the package any more."
            verdicts.setdefault(cell, Verdict("both-changed", "", reason, "Start from a fresh spreadsheet."))
            continue
        now[cell] = package.tables[cell.table].columns[cell.column][row]
        if cell not in verdicts and now[cell] == cell.after:
            verdicts[cell] = Verdict("accepted", "", "The package says so already.")
            continue
        if cell not in verdicts and now[cell] != cell.before:
            reason = f"It was “{cell.before}” when it left; the package now says “{now[cell]}”."
            tip = "Settle which is right, and enter it in a fresh spreadsheet."
            verdicts[cell] = Verdict("both-changed", "", reason, tip)
        rows.setdefault((cell.table, cell.record), {})[cell.column] = cell
    edits = [Edit("change", table, record, cells) for (table, record), cells in rows.items()]
    edits += _new_rows(left, back, package, numbers, verdicts)
    for cell in back.gone:
        row = numbers.get(cell.table, {}).get(cell.record)
        part = left.sheets[cell.sheet][cell.table]
        if cell in verdicts:
            continue
        if row is None:
            verdicts[cell] = Verdict("accepted", "", "The package has no such row any more.")
            continue
        table = package.tables[cell.table]
        held = [table.columns[column][row] if column in table.columns else "" for column in part.columns]
        now[cell] = ", ".join(filter(None, held))
        if held != part.rows[cell.record]:
            verdicts[cell] = Verdict("both-changed", "", "The row was taken out here and changed in the package.",
                                     "Settle it in a fresh spreadsheet.")  # fmt: skip
        else:
            edits.append(Edit("gone", cell.table, cell.record, {"": cell}))
    return edits


def _new_rows(
    left: Left,
    back: Returned,
    package: Package,
    numbers: Mapping[str, Mapping[str, int]],
    verdicts: dict[Cell, Verdict],
) -> list[Edit]:
    edits: list[Edit] = []
    seen: set[tuple[str, str]] = set()
    for cells in back.new:
        name = cells[0].table
        if any(cell in verdicts for cell in cells):
            for cell in cells:
                verdicts.setdefault(cell, Verdict("refused", "row-waits", "Another cell of the new row cannot be read.",
                                                  "Type that one again."))  # fmt: skip
            continue
        by_name = {cell.column: cell for cell in cells}
        table = package.tables.get(name)
        if table is None or not by_name.keys() <= table.schema.by_name.keys():
            verdicts |= dict.fromkeys(cells, Verdict("refused", "unknown-column", "The package has no such column."))
            continue
        key = "|".join(str(by_name[column].after) if column in by_name else "" for column in table.schema.key)
        row = numbers[name].get(key)
        if row is None and (name, key) not in seen:
            seen.add((name, key))
            edits.append(Edit("new", name, key, by_name))
            continue
        held = table.row(row) if row is not None else {}
        came = {column: by_name[column].after if column in by_name else "" for column in held}
        if row is not None and held == came:
            verdict = Verdict("accepted", "", "The package has this row already.")
        elif row is not None and key not in left.sheets[cells[0].sheet][name].rows:
            verdict = Verdict("both-changed", "", f"The package has a row {key} since, with other values.",
                              "Settle it in a fresh spreadsheet.")  # fmt: skip
        else:
            verdict = Verdict("refused", "duplicate-key", f"The record {key} stands already.",
                              "Correct the row that stands, or give this one another key.")  # fmt: skip
        verdicts |= dict.fromkeys(cells, verdict)
    return edits
