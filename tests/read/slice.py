"""A part of the shipped package that is a valid package itself: real rows, few enough to damage hundreds of times."""

import csv
from pathlib import Path

from materia_data.places import data_root
from materia_data.read.descriptor import descriptor_text
from materia_data.read.package import Package, read_package
from materia_data.read.schema import TableSchema, table_schemas
from tests.little import Row, little, write_table

_EVERY = 12


def shipped_slice(folder: Path) -> Path:
    """Every twelfth medicinal of the shipped package with the rows that speak of those alone.

    The small package if none is shipped.
    """
    package = read_package(data_root())
    if len(package.tables["herbs"]) < 4 * _EVERY:
        return little(folder)
    rows = {name: [table.row(i) for i in range(len(table))] for name, table in package.tables.items()}
    rows["herbs"] = rows["herbs"][::_EVERY]
    rows["formulas"] = rows["formulas"][::4]
    while _drop_dangling(package, rows):
        pass
    for name, schema in table_schemas().items():
        write_table(folder / schema.path, schema, rows[name])
    (folder / "datapackage.json").write_text(descriptor_text(folder), encoding="utf-8", newline="\n")
    return folder


def _drop_dangling(package: Package, rows: dict[str, list[Row]]) -> bool:
    """Drop the rows that refer to a row that is not there; whether there were any."""
    ids = {name: {row["id"] for row in held if "id" in row} for name, held in rows.items()}
    keys = {name: {_key(schema, row) for row in rows[name]} for name, schema in table_schemas().items()}
    dropped = False
    for name, schema in table_schemas().items():
        kept = [row for row in rows[name] if _stands(schema, row, ids) and _is_about(name, row, keys)]
        dropped |= len(kept) < len(rows[name])
        rows[name] = kept
    return dropped


def _stands(schema: TableSchema, row: Row, ids: dict[str, set[str]]) -> bool:
    for field in schema.fields:
        known: set[str] = set().union(*(ids[name] for name in field.refers))
        members = row[field.name].split(";") if field.is_list else [row[field.name]]
        if field.refers and not {member.removeprefix("-") for member in members if member} <= known | {""}:
            return False
    return True


def _is_about(name: str, row: Row, keys: dict[str, set[str]]) -> bool:
    return name != "citations" or row["record"] in keys.get(row["about_table"], set())


def _key(schema: TableSchema, row: Row) -> str:
    return "|".join(row[column] for column in schema.key)


def read_rows(path: Path) -> list[list[str]]:
    """Header and rows of a sound file."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))
