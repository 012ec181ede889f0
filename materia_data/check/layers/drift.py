"""Drift: what the base says now of cells that a layer restates, beside what it said when they were written."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from materia_data.check.safety import Change, compare, safety_facts
from materia_data.materia import Materia
from materia_data.problem import Problem
from materia_data.read.layers.kept import Cell, cells_to_keep, kept_cells
from materia_data.read.layers.layer import BASE, Layer
from materia_data.read.layers.over import LayerCell
from materia_data.read.package import Package
from materia_data.read.table import Table


def drift(beneath: Materia, over: Materia, changes: Sequence[Change]) -> Iterator[Problem]:
    """For each cell of the topmost layer under which the base has moved: an error if the base tightened and the layer
    leaves it looser, else a note. changes: between what lies beneath the layer and all of it."""
    layer = over.package.layers[-1]
    kept = kept_cells(layer)
    cells = {(cell.table, cell.record, cell.column): cell for cell in cells_to_keep(over.package)}
    moved = {at: cell for at, cell in cells.items() if kept.get(at, cell.was) != cell.was}
    if moved:
        tightened = _tightened(beneath, {at: kept[at] for at in moved})
        looser = {(change.table, change.record) for change in changes if change.looser}
        subjects = {change.subject for change in changes if change.looser}
        for at, cell in moved.items():
            leaves = at[:2] in looser or cell.record.split("|")[0] in subjects
            yield _problem(layer, cell, kept[at], error=at[:2] in tightened and leaves)
    yield from _not_kept(layer, cells, kept)


def _tightened(beneath: Materia, then: Mapping[Cell, str]) -> set[tuple[str, str]]:
    """Table and record where safety is stricter than it was when these cells said what they said."""
    was = Materia(_as_it_was(beneath.package, then))
    changes = compare(safety_facts(was), safety_facts(beneath))
    return {(change.table, change.record) for change in changes if change.effect in ("strengthened", "gained")}


def _as_it_was(package: Package, then: Mapping[Cell, str]) -> Package:
    tables = dict(package.tables)
    for name in {table for table, _, _ in then}:
        cells: dict[str, dict[str, str]] = {}
        for (table, record, column), value in then.items():
            if table == name:
                cells.setdefault(record, {})[column] = value
        tables[name] = _table_as_it_was(package.tables[name], cells)
    return replace(package, tables=tables, _kinds=None)


def _table_as_it_was(table: Table, cells: Mapping[str, Mapping[str, str]]) -> Table:
    """A record of which a required cell was empty did not stand."""
    rows = [row for row in range(len(table)) if not _was_not_there(table, cells.get(table.key(row), {}))]
    columns = {
        column: [cells.get(table.key(row), {}).get(column, texts[row]) for row in rows]
        for column, texts in table.columns.items()
    }
    return Table(table.schema, columns, [table.lines[row] for row in rows])


def _was_not_there(table: Table, cells: Mapping[str, str]) -> bool:
    return any(not value and table.schema.by_name[column].required for column, value in cells.items())


def _problem(layer: Layer, cell: LayerCell, then: str, *, error: bool) -> Problem:
    says = {"cleared": "your row clears it", "removed": "your row takes it out"}
    now = says.get(cell.how, f"your row still says {cell.now}" if cell.now != cell.was else "your row says the same")
    message = f"The base now says {cell.was or 'nothing'} (when this was written: {then or 'nothing'}); {now}."
    tip = (
        f"Look at it again. Then take its line out of {layer.file(BASE)} and run `materia tidy --layer {layer.root}`, "
        "which writes what the base says now."
    )
    severity = "error" if error else "note"
    return Problem(cell.file, cell.line, cell.column, cell.record, cell.now, "layer-drift", severity, message, tip)


def _not_kept(layer: Layer, cells: Mapping[Cell, LayerCell], kept: Mapping[Cell, str]) -> Iterator[Problem]:
    missing = [at for at in cells if at not in kept]
    gone = [at for at in kept if at not in cells]
    tip = f"Run `materia tidy --layer {layer.root}`, which brings {layer.file(BASE)} up to date."
    if missing:
        first, many = " ".join(missing[0]), len(missing)
        of = "a cell that this layer says" if many == 1 else f"{many} cells that this layer says"
        message = f"What the base said of {of} is not kept (first: {first}); nobody would be told if it moved."
        yield Problem(layer.file(BASE), 0, "", "", "", "layer-base-not-kept", "warning", message, tip)
    if gone:
        of = "a cell" if len(gone) == 1 else f"{len(gone)} cells"
        message = f"It speaks of {of} that this layer no longer says (first: {' '.join(gone[0])})."
        yield Problem(layer.file(BASE), 0, "", "", "", "layer-base-not-kept", "note", message, tip)
