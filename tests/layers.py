"""Layers over the little package, for tests that need one."""

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from materia_data import Materia, load
from materia_data.check.run import check
from materia_data.problem import Problem
from materia_data.read.schema import table_schemas
from tests.little import little

Rows = Sequence[Mapping[str, object]]


def layer(
    folder: Path,
    *,
    id: str = "second",
    base: str = ">=0.1,<0.2",
    rules: Mapping[str, str] | None = None,
    **tables: Rows,
) -> Path:
    """Write a layer of these rows, each file with its key columns and those that some row fills; return it."""
    folder.mkdir(parents=True, exist_ok=True)
    about = f'id = "{id}"\ntitle = "The {id} school"\nbase = "{base}"\n'
    (folder / "layer.toml").write_text(about, encoding="utf-8")
    for name, rows in tables.items():
        schema = table_schemas()[name]
        filled = {column for row in rows for column in row}
        columns = [column for column in schema.by_name if column in schema.key or column in filled]
        columns += [column for column in ("layer_op", "layer_clear") if column in filled]
        assert filled <= set(columns), f"{name} has no {filled - set(columns)}"
        write(
            folder / schema.path, columns, sorted(rows, key=lambda row: [str(row.get(key, "")) for key in schema.key])
        )
    for name, text in (rules or {}).items():
        write_text(folder / "rules" / name, text)
    return folder


def write(path: Path, columns: Sequence[str], rows: Rows) -> None:
    """Write a table with these columns, rows as they are given."""
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    write_text(path, out.getvalue())


def write_text(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="\n")


def over(tmp_path: Path, rules: Mapping[str, str] | None = None, **tables: Rows) -> Materia:
    """The little package with one layer of these rows over it."""
    return load(little(tmp_path / "base"), [layer(tmp_path / "second", rules=rules, **tables)])


def problems(materia: Materia, prefix: str = "second:") -> list[Problem]:
    """What `check` finds in the files of a layer, without the warning that nothing is kept of the base."""
    found = check(materia).problems
    return [one for one in found if one.file.startswith(prefix) and one.rule != "layer-base-not-kept"]


def errors(materia: Materia) -> list[tuple[str, str, int, str]]:
    """Rule, file, line and column of every error."""
    found = check(materia).problems
    return [(one.rule, one.file, one.line, one.column) for one in found if one.severity == "error"]
