"""Typed records: one medicinal, form or formula with the rows that belong to it."""

from datetime import date
from typing import Any

from pydantic import BaseModel, ConfigDict, create_model

from materia_data.read.package import Package
from materia_data.read.schema import Field, TableSchema, table_schemas
from materia_data.read.table import Table

_SUBJECTS = ("herbs", "forms", "formulas")


class Row(BaseModel):
    """One row of a table, its cells typed as the schema says: text, number, date or tuple of text; an empty cell is
    "", None or ()."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Record(BaseModel):
    """A subject: its own row, and by table name every row of another table that speaks of it, in file order.

    id, kind (herbs, forms, formulas), name_hans, name_hant, pinyin, name_en: of the subject; row: its own row; rows:
    the others.
    These are the rows as stated; what a form takes from its herb stands in `Materia.facts`.
    """

    model_config = ConfigDict(frozen=True)

    id: str
    kind: str
    name_hans: str
    name_hant: str
    pinyin: str
    name_en: str
    row: Row
    rows: dict[str, tuple[Row, ...]]


def record(package: Package, subject: str) -> Record:
    """The typed record of a subject. Raises KeyError where there is none; a cell that does not parse reads as empty."""
    kind = package.subject_table(subject)
    if kind is None:
        raise KeyError(subject)
    table = package.tables[kind]
    own = _row(table, table.rows_of("id")[subject][0])
    rows = {
        name: found
        for name, other in package.tables.items()
        if name not in _SUBJECTS and (found := _about(other, subject))
    }
    return Record(
        id=subject,
        kind=kind,
        row=own,
        rows=rows,
        **{key: getattr(own, key) for key in ("name_hans", "name_hant", "pinyin", "name_en")},
    )


def _about(table: Table, subject: str) -> tuple[Row, ...]:
    indexes = {
        index
        for column in _columns_that_name_subjects(table.schema)
        for index in table.rows_of(column).get(subject, ())
    }
    return tuple(_row(table, index) for index in sorted(indexes))


def _columns_that_name_subjects(schema: TableSchema) -> list[str]:
    named = [field.name for field in schema.fields if set(field.refers) & set(_SUBJECTS) and not field.is_list]
    return [column for column in named if column in schema.key or column in ("formula", "herb", "subject")]


_MODELS: dict[str, type[Row]] = {}


def _row(table: Table, index: int) -> Row:
    name = table.schema.name
    if name not in _MODELS:
        _MODELS[name] = _model(table_schemas()[name])
    return _MODELS[name](
        **{_attribute(name): _value(table.schema.by_name[name], text) for name, text in table.row(index).items()}
    )


def _model(schema: TableSchema) -> type[Row]:
    fields: dict[str, Any] = {_attribute(field.name): (_type(field), ...) for field in schema.fields}
    return create_model("".join(part.title() for part in schema.name.split("_")), __base__=Row, **fields)


def _attribute(column: str) -> str:
    return "from_" if column == "from" else column


def _type(field: Field) -> Any:
    if field.is_list:
        return tuple[str, ...]
    return {"number": float | None, "integer": int | None, "date": date | None}.get(field.type, str)


def _value(field: Field, text: str) -> Any:
    if field.is_list:
        return tuple(text.split(";")) if text else ()
    convert: Any = {"number": float, "integer": int, "date": date.fromisoformat}.get(field.type)
    if convert is None:
        return text
    try:
        return convert(text) if text else None
    except ValueError:
        return None
