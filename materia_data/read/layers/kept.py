"""base.csv: what lay beneath each cell of a layer when it was written, so that drift can be told."""

from materia_data.read.layers.layer import Layer
from materia_data.read.layers.over import LayerCell
from materia_data.read.package import Package

Cell = tuple[str, str, str]
"""Table, record, column."""
_NOT = ("citations", "exceptions", "loosenings", "retired", "signoffs")


def cells_to_keep(package: Package) -> list[LayerCell]:
    """The cells of the topmost layer that the base could say something of: none of a record with an id of the layer's
    own, none of the record tables."""
    layer, beneath = package.layers[-1], package.beneath
    said = package.said[len(beneath.said) if beneath else 0 :]
    mark = f"x-{layer.id}-"
    return [
        cell
        for cell in said
        if cell.table not in _NOT
        and not any(part.startswith(mark) or f".{mark}" in part for part in cell.record.split("|"))
    ]


def kept_cells(layer: Layer) -> dict[Cell, str]:
    """What base.csv says, by cell; empty without one."""
    if layer.kept is None:
        return {}
    columns = (layer.kept.columns[name] for name in ("table", "record", "column", "value"))
    return {(table, record, column): value for table, record, column, value in zip(*columns, strict=True)}
