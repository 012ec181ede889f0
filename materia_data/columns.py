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
        arrays.append(_column(field, table.columns[field.name]))
        fields.append(
            pa.field(field.name, kind, nullable=True, metadata={"title": field.title, "description": field.description})
        )
    return pa.Table.from_arrays(arrays, schema=pa.schema(fields))


def _arrow_type(field: Field) -> Any:
    import pyarrow as pa

    if field.is_list:
        return pa.list_(pa.string())
    return {"number": pa.float64(), "integer": pa.int64(), "date": pa.date32()}.get(field.type, pa.string())


def _column(field: Field, cells: list[str]) -> Any:
    """Each distinct text is parsed once."""
    import pyarrow as pa
    import pyarrow.compute as pc

    texts, kind = pa.array(cells, pa.string()), _arrow_type(field)
    if kind == pa.string():
        return pc.if_else(pc.equal(texts, ""), pa.scalar(None, kind), texts)
    encoded = texts.dictionary_encode()
    parsed = pa.array([_value(field, text) for text in encoded.dictionary.to_pylist()], type=kind)
    return parsed.take(encoded.indices)


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
