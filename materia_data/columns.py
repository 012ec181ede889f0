"""Columns of text to typed Arrow columns."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from materia_data.read.schema import Field
from materia_data.read.table import Table

if TYPE_CHECKING:
    import pyarrow


def arrow_table(table: Table) -> pyarrow.Table:
    """A table with a column a field: text, float64, int64, date32 or list of text. Empty cells and cells that do not
    parse are null."""
    import pyarrow as pa

    arrays, fields = [], []
    for field in table.schema.fields:
        kind = _arrow_type(field)
        arrays.append(pa.array(_values(field, table.columns[field.name]), type=kind))
        fields.append(
            pa.field(field.name, kind, nullable=True, metadata={"title": field.title, "description": field.description})
        )
    return pa.Table.from_arrays(arrays, schema=pa.schema(fields))


def _arrow_type(field: Field) -> Any:
    import pyarrow as pa

    if field.is_list:
        return pa.list_(pa.string())
    return {"number": pa.float64(), "integer": pa.int64(), "date": pa.date32()}.get(field.type, pa.string())


def _values(field: Field, cells: list[str]) -> list[Any]:
    """Each distinct text is parsed once."""
    parsed: dict[str, Any] = {text: _value(field, text) for text in set(cells)}
    return [parsed[text] for text in cells]


def _value(field: Field, text: str) -> Any:
    if field.is_list:
        return text.split(";") if text else []
    if not text:
        return None
    try:
        match field.type:
            case "number":
                return float(text)
            case "integer":
                return int(text)
            case "date":
                return date.fromisoformat(text)
    except ValueError:
        return None
    return text
