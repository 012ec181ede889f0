"""The table schemas of the installed code, as plain values: the one description of every table and column."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from materia_data.places import schema_root


@dataclass(frozen=True, slots=True)
class Field:
    """One column. type: string, integer, number, date or list (members joined by `;`).

    refers: tables, one of whose keys each value must be; allows_none: `-` may state "none"; prose: free text; iri:
    its RDF property.
    pattern: a Table Schema pattern, which the whole value must match; enum: the only values allowed, of each member
    in a list.
    """

    name: str
    type: str
    title: str
    description: str
    example: str
    required: bool
    pattern: str
    enum: tuple[str, ...]
    minimum: float | None
    maximum: float | None
    is_list: bool
    refers: tuple[str, ...]
    predicate: str
    qualifier: str
    allows_none: bool
    prose: bool
    joined_key: bool
    iri: str


@dataclass(frozen=True, slots=True)
class TableSchema:
    """One table: its columns in file order, and the columns that together name a row."""

    name: str
    path: str
    title: str
    description: str
    fields: tuple[Field, ...]
    key: tuple[str, ...]
    by_name: Mapping[str, Field]
    iri: str


@cache
def table_schemas() -> Mapping[str, TableSchema]:
    """Every table schema by table name, names in alphabetical order."""
    return MappingProxyType({raw["name"]: _table(raw) for raw in table_schema_files().values()})


@cache
def table_schema_files() -> Mapping[str, dict[str, Any]]:
    """The Table Schema documents themselves, by table name, in alphabetical order. Not to be changed in place."""
    files = sorted((schema_root() / "tables").glob("*.json"))
    return MappingProxyType({path.stem: json.loads(path.read_text(encoding="utf-8")) for path in files})


def _table(raw: dict[str, Any]) -> TableSchema:
    fields = tuple(_field(field) for field in raw["fields"])
    by_name = MappingProxyType({field.name: field for field in fields})
    return TableSchema(
        raw["name"],
        raw["path"],
        raw["title"],
        raw["description"],
        fields,
        tuple(raw["primaryKey"]),
        by_name,
        raw["rdfType"],
    )


def _field(raw: dict[str, Any]) -> Field:
    limits, own = raw.get("constraints", {}), raw.get("materia", {})
    return Field(
        name=raw["name"],
        type=raw["type"],
        title=raw["title"],
        description=raw["description"],
        example=raw["example"],
        required=limits.get("required", False),
        pattern=limits.get("pattern", ""),
        enum=tuple(limits.get("enum", own.get("enum", ()))),
        minimum=limits.get("minimum"),
        maximum=limits.get("maximum"),
        is_list=own.get("list", False),
        refers=tuple(own.get("refers", ())),
        predicate=own.get("predicate", ""),
        qualifier=own.get("qualifier", ""),
        allows_none=own.get("none", False),
        prose=own.get("prose", False),
        joined_key=own.get("joined_key", False),
        iri=raw["rdfType"],
    )
