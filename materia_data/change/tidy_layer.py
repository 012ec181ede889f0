"""A layer's files in canonical form, and base.csv brought up to date with what lies beneath."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from materia_data.change.tidy import MENDS, Tidied, canonical
from materia_data.change.write import write_whole
from materia_data.problem import Problem
from materia_data.read.layers.kept import cells_to_keep, kept_cells
from materia_data.read.layers.layer import BASE, CLEAR, OP, Layer, kept_schema
from materia_data.read.package import Package
from materia_data.read.table import Table

_HARMLESS = MENDS | {"layer-base"}


def tidy_layer(package: Package, *, write: bool = True) -> list[Tidied]:
    """Write the topmost layer's tables in their canonical form, each file whole or not at all; with write=False only
    tell.

    base.csv gets a line for each cell that has none, with what lies beneath it now, and loses those of cells that the
    layer no longer says; a line that stands keeps its value, so that drift stays told until somebody takes it out. It
    is left alone while a table of the layer could not be read. Columns that a file has not are not added.
    """
    layer = package.layers[-1]
    troubled = _troubled(layer)
    results = []
    for table in layer.tables.values():
        path = table.file.removeprefix(layer.file(""))
        if table.file in troubled:
            problem = troubled[table.file]
            results.append(Tidied(table.file, False, f"line {problem.line}: {problem.message} {problem.tip}"))
        else:
            results.append(_written(layer, path, canonical(_as_it_is(table)), write))
    if troubled:
        why = f"{next(iter(troubled))} could not be read whole; mend it first."
        return [*results, Tidied(layer.file(BASE), False, why)]
    kept = _kept(package)
    if len(kept) or layer.kept is not None:
        results.append(_written(layer, BASE, canonical(kept), write))
    return results


def _troubled(layer: Layer) -> Mapping[str, Problem]:
    files = {table.file for table in layer.tables.values()} | {layer.file(BASE)}
    return {
        problem.file: problem
        for problem in reversed(layer.problems)
        if problem.file in files and problem.rule not in _HARMLESS and problem.rule != "duplicate-key"
    }


def _as_it_is(table: Table) -> Table:
    """The table with those columns alone that its file has; the two of layers only where they say something."""
    fields = tuple(
        field
        for field in table.schema.fields
        if field.name not in table.missing and (field.name not in (OP, CLEAR) or any(table.columns[field.name]))
    )
    by_name = MappingProxyType({field.name: field for field in fields})
    return Table(replace(table.schema, fields=fields, by_name=by_name), _only(table, by_name), table.lines)


def _only(table: Table, names: Mapping[str, object]) -> dict[str, list[str]]:
    return {column: texts for column, texts in table.columns.items() if column in names}


def _kept(package: Package) -> Table:
    layer = package.layers[-1]
    stood = kept_cells(layer)
    cells = {(cell.table, cell.record, cell.column): cell.was for cell in cells_to_keep(package)}
    rows = [(*at, stood.get(at, was)) for at, was in cells.items()]
    schema = kept_schema(layer.file(""))
    columns = {name: [row[place] for row in rows] for place, name in enumerate(schema.by_name)}
    return Table(schema, columns, range(2, len(rows) + 2))


def _written(layer: Layer, path: str, text: str, write: bool) -> Tidied:
    file = layer.root / path
    changed = not file.is_file() or text.encode("utf-8") != file.read_bytes()
    if changed and write:
        write_whole(file, text)
    return Tidied(layer.file(path), changed)
