"""frictionless as referee: what it finds in a package, by file, line and column."""

from pathlib import Path
from typing import Any, NamedTuple

from frictionless import Package

from materia_data.read.descriptor import descriptor
from materia_data.read.schema import table_schemas


class Call(NamedTuple):
    """One error of the referee. line: 0 for a whole file, 1 for the header; column: the schema's name, or empty."""

    file: str
    line: int
    column: str
    type: str
    note: str


def referee(folder: Path, tables: set[str] | None = None) -> list[Call]:
    """What frictionless finds in these tables, or in all.

    It gets a descriptor made from our schemas, encoding set, lists as strings (semantics.md §7).
    """
    wanted = tables or set(table_schemas())
    whole = descriptor(folder)
    needed = wanted | {
        key["reference"]["resource"] or resource["name"]
        for resource in whole["resources"]
        if resource["name"] in wanted
        for key in resource["schema"].get("foreignKeys", ())
    }
    whole["resources"] = [_plain(resource) for resource in whole["resources"] if resource["name"] in needed]
    package = Package.from_descriptor(whole, basepath=str(folder))
    return [call for name in sorted(wanted) for call in _calls(package, name)]


def affected(table: str) -> set[str]:
    """The table and all that refer to it."""
    return {table} | {
        schema.name
        for schema in table_schemas().values()
        for field in schema.fields
        if table in field.refers and not field.is_list
    }


def _plain(resource: dict[str, Any]) -> dict[str, Any]:
    fields = []
    for field in resource["schema"]["fields"]:
        field = {key: value for key, value in field.items() if key not in ("delimiter", "itemType")}
        fields.append(field | {"type": "string"} if field["type"] == "list" else field)
    return resource | {"schema": resource["schema"] | {"fields": fields}}


def _calls(package: Package, name: str) -> list[Call]:
    report = package.get_resource(name).validate()
    calls = []
    for error in report.flatten(["type", "rowNumber", "fieldName", "label", "note"]):
        kind, line, column, label, note = error
        header = kind.endswith("label") or kind in ("extra-label", "missing-label", "blank-label", "duplicate-label")
        calls.append(
            Call(table_schemas()[name].path, line or (1 if header or label else 0), column or "", kind, note or "")
        )
    return calls
