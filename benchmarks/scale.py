"""Scale the shipped package: every subject copied N times under a new id, vocabularies, rules and sources kept once.

python benchmarks/scale.py 100 FOLDER
"""

import csv
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

from materia_data import load
from materia_data.change.tidy import canonical
from materia_data.read.descriptor import descriptor_text
from materia_data.read.schema import Field, TableSchema, table_schemas
from materia_data.read.table import Table

_COPIED = {"herbs", "forms", "formulas", "contrasts", "pairs", "aids"}
_KEPT_ONCE = ("terms/", "record/sources.csv", "teaching/categories.csv", "teaching/groups.csv", "teaching/units.csv")


def scale(times: int, folder: Path) -> Path:
    """Write a package of `times` the size into the folder, valid wherever the shipped one is."""
    package = load().package
    shutil.copytree(package.root / "rules", folder / "rules")
    for schema in table_schemas().values():
        path = folder / schema.path
        path.parent.mkdir(parents=True, exist_ok=True)
        table = package.tables[schema.name]
        once = schema.path.startswith(_KEPT_ONCE)
        path.write_text(canonical(table if once else _grown(table, schema, times)), encoding="utf-8", newline="\n")
    (folder / "datapackage.json").write_text(descriptor_text(package.root), encoding="utf-8", newline="\n")
    return folder


def _grown(table: Table, schema: TableSchema, times: int) -> Table:
    columns: dict[str, list[str]] = {}
    for field in schema.fields:
        cells = table.columns[field.name]
        columns[field.name] = [cell for copy in range(times) for cell in _copied(cells, field, schema, copy)]
    return Table(schema, columns, range(2, len(table) * times + 2))


def _copied(cells: list[str], field: Field, schema: TableSchema, copy: int) -> Iterator[str]:
    if schema.name == "names" and field.name == "name" and copy:
        return (f"{cell} {copy}" for cell in cells)
    own = field.name == "id" and schema.name in _COPIED
    refers = _COPIED.intersection(field.refers)
    joined = field.joined_key or (schema.name == "exceptions" and field.name == "value")
    if copy == 0 or not (own or refers or joined):
        return iter(cells)
    subjects = _subjects()
    if joined:
        return ("|".join(_renamed(part, copy, subjects, "+") for part in cell.split("|")) for cell in cells)
    return (
        ";".join(_renamed(part, copy, None if own else subjects, "") for part in cell.split(";")) if cell else ""
        for cell in cells
    )


def _renamed(id: str, copy: int, subjects: set[str] | None, joiner: str) -> str:
    """`ban-xia.fa` in copy 7 is `ban-xia-k7.fa`: a form stays a form of its herb."""
    if joiner and joiner in id:
        return joiner.join(sorted(_renamed(part, copy, subjects, "") for part in id.split(joiner)))
    if subjects is not None and id not in subjects:
        return id
    herb, dot, form = id.partition(".")
    return f"{herb}-k{copy}{dot}{form}"


def _subjects() -> set[str]:
    if not _KNOWN:
        tables = load().package.tables
        for name in _COPIED:
            _KNOWN.update(tables[name].columns["id"])
    return _KNOWN


_KNOWN: set[str] = set()


def csv_pass(folder: Path) -> int:
    """Read every table with csv.reader and keep the rows: the yardstick of `load`. Returns how many rows."""
    count = 0
    for schema in table_schemas().values():
        with (folder / schema.path).open(encoding="utf-8", newline="") as lines:
            count += len(list(csv.reader(lines)))
    return count


if __name__ == "__main__":
    print(scale(int(sys.argv[1]), Path(sys.argv[2])))
