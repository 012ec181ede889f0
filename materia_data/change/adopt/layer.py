"""The layer's files: only what differs from the base or adds to it (semantics, 6)."""

import csv
import io
import json
from collections.abc import Mapping, Sequence

from materia_data.read.keys import row_order
from materia_data.read.schema import TableSchema, table_schemas

Rows = Mapping[tuple[str, str], Mapping[str, str]]
"""Cells by table and record."""


def layer_files(id: str, title: str, base: str, rows: Rows) -> dict[str, str]:
    """Text by path inside the layer's folder, columns that say nothing left out.

    base: the version of the base, of which the range takes its step.
    """
    files = {"layer.toml": _about(id, title, base)}
    schemas = table_schemas()
    by_table: dict[str, list[Mapping[str, str]]] = {}
    for (table, _), cells in rows.items():
        by_table.setdefault(table, []).append(cells)
    for table, found in by_table.items():
        files[schemas[table].path] = _csv(schemas[table], found)
    return dict(sorted(files.items()))


def _about(id: str, title: str, base: str) -> str:
    quoted = {key: json.dumps(text, ensure_ascii=False) for key, text in (("id", id), ("title", title))}
    return f'id = {quoted["id"]}\ntitle = {quoted["title"]}\nbase = "{base_range(base)}"\n'


def base_range(version: str) -> str:
    """`>=0.1.0,<0.2`: this version and what follows before the next that may take something away."""
    parts = version.partition("+")[0].split(".")
    major, minor = (int(part) if part.isdigit() else 0 for part in (*parts, "0", "0")[:2])
    following = f"{major}.{minor + 1}" if major == 0 else str(major + 1)
    return f">={version.partition('+')[0]},<{following}"


def _csv(schema: TableSchema, rows: Sequence[Mapping[str, str]]) -> str:
    columns = {column: [row.get(column, "") for row in rows] for column in schema.by_name}
    order = row_order(schema, columns)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    said = [column for column in columns if column in schema.key or any(columns[column])]
    writer.writerow(said)
    for at in sorted(range(len(rows)), key=order.__getitem__):
        writer.writerow([columns[column][at] for column in said])
    return out.getvalue()
