"""Whose word a new value is: a row that names a source must not go on naming it for a value that is not its own."""

from collections.abc import Collection, Iterable

from materia_data.change.spreadsheet.edits import Edit, row_numbers
from materia_data.change.spreadsheet.returned import Cell
from materia_data.read.package import Package
from materia_data.read.table import Table

CLAIM = ("source", "locator", "basis", "checked_on")
_DECIDED = frozenset({"exceptions", "loosenings", "retired", "signoffs", "sources"})
_NO_FACTS = frozenset({"position"})


def unclaimed(package: Package, edits: Iterable[Edit], pending: Collection[Cell]) -> dict[Cell, str]:
    """The pending cells that need a source or basis of their own, with the reason.

    A cell does if its row says that it was read in or recalled from a source, and nothing of that was changed with it;
    or if a citation that states no value of its own speaks for it, and was not changed either. Prose is nobody's word.
    """
    edits = [edit for edit in edits if any(cell in pending for cell in edit.cells.values())]
    cited = _cited_anew(package, edits, pending)
    speaking = _speaking(package)
    found: dict[Cell, str] = {}
    for edit in edits:
        if edit.kind != "change":
            continue
        table = package.tables[edit.table]
        facts = [cell for column, cell in edit.cells.items() if cell in pending and is_fact(table, column)]
        if not facts:
            continue
        reason = _row_claims(table, edit, pending)
        for cell in facts:
            place = (edit.table, edit.record, cell.column)
            if reason:
                found[cell] = reason
            elif place in speaking and place not in cited:
                found[cell] = (
                    f"record/citations says that {speaking[place]} speaks for this cell. Change or delete that row of "
                    "the sheet citations too."
                )
    return found


def is_fact(table: Table, column: str) -> bool:
    """Whether a source or basis of the row speaks for cells of this column."""
    field = table.schema.by_name.get(column)
    return field is not None and not field.prose and column not in CLAIM and column not in _NO_FACTS


def _row_claims(table: Table, edit: Edit, pending: Collection[Cell]) -> str:
    """What the row would go on saying of its source; empty where it says nothing or says it anew."""
    claims = [column for column in CLAIM if column in table.columns]
    if "source" not in claims or table.schema.name in _DECIDED:
        return ""
    if any(column in edit.cells and edit.cells[column] in pending for column in claims):
        return ""
    row = row_numbers(table)[edit.record]
    source = table.columns["source"][row]
    if not source:
        return ""
    basis = table.columns["basis"][row] if "basis" in claims else ""
    locator = table.columns["locator"][row] if "locator" in claims else ""
    where = f"{source}{', ' + locator if locator else ''}"
    if basis == "collated":
        return (
            f"The row says that it was read in {where}. Say in the same row where the new value was read (source, "
            "locator), or write memory or common-practice as basis and clear source and locator."
        )
    said = "is recalled from" if basis == "memory" else "comes from"
    with_basis = " and basis" if basis else ""
    return (
        f"The row says that it {said} {where}. Say in the same row where the new value comes from (source{with_basis}),"
        " or clear the source."
    )


def _cited_anew(package: Package, edits: Iterable[Edit], pending: Collection[Cell]) -> set[tuple[str, str, str]]:
    """Cells for which a citation was added, changed or taken out."""
    table = package.tables["citations"]
    number = row_numbers(table)
    found = set()
    for edit in edits:
        if edit.table == "citations":
            row = number.get(edit.record)
            held = table.row(row) if row is not None else {}
            held |= edit.values(pending)
            found.add((held.get("about_table", ""), held.get("record", ""), held.get("column", "")))
    return found


def _speaking(package: Package) -> dict[tuple[str, str, str], str]:
    """The source of each cell that a citation speaks for whatever its value is."""
    columns = package.tables["citations"].columns
    names = ("about_table", "record", "column", "value", "stated", "source")
    rows = zip(*(columns[name] for name in names), strict=True)
    return {row[:3]: row[5] for row in rows if not row[3] and not row[4]}
