"""Addresses of nodes, relative to the file."""

from collections.abc import Iterable
from typing import TYPE_CHECKING
from urllib.parse import quote

if TYPE_CHECKING:
    from materia_data import Materia


def address(table: str, key: Iterable[str]) -> str:
    """`cautions/ban-xia,pregnancy,`: table, then the key's values, percent-encoded (RFC 3986) and joined by commas."""
    return f"{table}/{','.join(quote(value, safe='') for value in key)}"


def reference(materia: "Materia", tables: tuple[str, ...], id: str) -> str:
    """The address of the record with this id, in the one of the tables that has it; the first where none has."""
    kind = materia.package.subject_table(id)
    if kind in tables:
        return address(kind, [id])
    found = next((table for table in tables if id in materia.package.tables[table].rows_of("id")), tables[0])
    return address(found, [id])
