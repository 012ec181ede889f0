"""A data package read from its folder: every table as columns of text, and every problem met on the way."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from materia_data.problem import Problem
from materia_data.read.decode import decode
from materia_data.read.descriptor import FILE, data_version
from materia_data.read.files import RULE_BYTES, TABLE_BYTES, file_problem, list_files, read_file
from materia_data.read.lines import read_lines
from materia_data.read.schema import TableSchema, table_schemas
from materia_data.read.table import Table, empty_table
from materia_data.suggest import did_you_mean

if TYPE_CHECKING:
    from materia_data.read.layers.layer import Layer
    from materia_data.read.layers.over import LayerCell

_SUBJECTS = ("herbs", "forms", "formulas")


@dataclass(eq=False)
class Package:
    """What a folder holds.

    tables: every table of the schemas by name, without rows if its file is missing; rules: text of each rule file by
    file name;
    version: the data version; problems: what was wrong with files, lines and headers (cells are check_structure's
    business).

    With layers over it, root and version are the base's, and rules of a layer stand under `LAYER:name`; layers: the
    lowest first; beneath: the package without the last of them; said: every cell that a layer says.
    """

    root: Path
    tables: dict[str, Table]
    rules: dict[str, str]
    version: str
    problems: list[Problem]
    layers: "tuple[Layer, ...]" = ()
    beneath: "Package | None" = None
    said: "tuple[LayerCell, ...]" = ()
    _kinds: dict[str, str] | None = field(default=None, repr=False)

    def named(self, base: str) -> str:
        """The release id: that of the base, and `+layer.1a2b3c4d` for each layer over it. Source: semantics.md, 6."""
        return "+".join([base, *(layer.release for layer in self.layers)])

    def subject_table(self, subject: str) -> str | None:
        """`herbs`, `forms` or `formulas`, whichever has a row with this id; None if none has."""
        if self._kinds is None:
            self._kinds = {id: name for name in reversed(_SUBJECTS) for id in self.tables[name].columns["id"]}
        return self._kinds.get(subject)


def read_package(root: Path, *, most: int = TABLE_BYTES) -> Package:
    """Read the package in this folder. Whatever the folder holds, this returns; what is wrong stands in `problems`.

    most: a larger table file is refused [bytes].
    """
    if not root.is_dir():
        message, tip = "There is no such folder.", "Point at the folder that holds datapackage.json."
        tables = {name: empty_table(schema, readable=False) for name, schema in table_schemas().items()}
        return Package(
            root, tables, {}, data_version(root), [file_problem(".", "missing-folder", message, tip, value=str(root))]
        )
    files, problems = list_files(root)
    known = set(files)
    tables = {}
    with _no_collecting():
        for schema in table_schemas().values():
            tables[schema.name] = _table(root, schema, known, problems, most)
    rules = {}
    for path in files:
        if path.startswith("rules/") and path.count("/") == 1 and path.endswith(".toml"):
            text = _rule_file(root, path, problems)
            if text is not None:
                rules[path.removeprefix("rules/")] = text
            known.discard(path)
    expected = [FILE, *(schema.path for schema in table_schemas().values())]
    problems.extend(_unknown(path, expected) for path in sorted(known.difference(expected)))
    problems.sort(key=lambda problem: (problem.file, problem.line))
    return Package(root, tables, rules, data_version(root), problems)


def _table(root: Path, schema: TableSchema, files: set[str], problems: list[Problem], most: int) -> Table:
    if schema.path not in files:
        if all(problem.file != schema.path for problem in problems):
            tip = f"Restore it, or begin it anew with the header: {','.join(schema.by_name)}"
            problems.append(
                file_problem(schema.path, "missing-file", f"The file of the table {schema.name} is missing.", tip)
            )
        return empty_table(schema, readable=False)
    data = read_file(root, schema.path, most)
    if isinstance(data, Problem):
        problems.append(data)
        return empty_table(schema, readable=False)
    text, found = decode(data, schema.path)
    table, more = read_lines(text, schema)
    problems += found
    problems += more
    return table


def _rule_file(root: Path, path: str, problems: list[Problem]) -> str | None:
    data = read_file(root, path, RULE_BYTES)
    if isinstance(data, Problem):
        problems.append(data)
        return None
    text, found = decode(data, path)
    if not text.strip():
        found = [
            file_problem(
                path, "empty-file", "The file is empty.", "Write a rule into it, or take the file out.", line=1
            )
        ]
    problems += found
    return None if any(problem.rule == "not-utf-8" for problem in found) else text


def _unknown(path: str, expected: list[str]) -> Problem:
    tip = did_you_mean(path[-80:], expected) or "Take it out of the package's folder."
    return file_problem(path, "unknown-file", "No table and no rule file has this name.", tip)


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Keep the garbage collector from walking over millions of cells while they are made."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
