"""Merging two changes of a table by record and cell: what only one side changed is taken, the rest stays a conflict."""

import csv
import io
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from materia_data.change.write import write_whole
from materia_data.read.keys import row_order
from materia_data.read.lines import read_lines
from materia_data.read.schema import TableSchema, table_schemas
from materia_data.read.table import Table, empty_table

_WORD = ("source", "locator", "basis")
_READABLE = frozenset({"missing-column", "reordered-columns", "empty-file"})
Row = Mapping[str, str]
Key = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Conflict:
    """A record that both sides changed in ways that do not go together.

    columns: those at issue, empty where one side took the record out; base, ours, theirs: their values with the word
    they stand on, in words; why: what cannot be decided.
    """

    table: str
    record: str
    columns: tuple[str, ...]
    base: str
    ours: str
    theirs: str
    why: str


@dataclass(frozen=True, slots=True)
class Merged:
    """What was written. by: cells (a table), or lines (not a table that can be read, merged as git does); records: how
    many were taken from theirs; conflicts: as many as are marked in the file, told in full for a table."""

    path: str
    by: str
    records: int
    conflicts: int
    told: tuple[Conflict, ...]


class MergeError(ValueError):
    """Nothing was merged: says why."""


def merge(base: Path, ours: Path, theirs: Path, path: str = "") -> Merged:
    """Merge the changes from base to theirs into the file `ours`, as git asks of a merge driver.

    path: the file's place in the repository, which tells the table; without it the header does. Conflicts stand in the
    file between git's marks. Raises MergeError, OSError.
    """
    texts = [_text(file) for file in (base, ours, theirs)]
    schema = _schema(path, texts[1])
    tables = [_table(text, schema) for text in texts] if schema else []
    read = [table for table in tables if table is not None]
    if schema is None or len(read) < 3:
        return _by_lines(base, ours, theirs, path or str(ours))
    rows = [{_key(table, row): table.row(row) for row in range(len(table))} for table in read]
    columns = [name for name in schema.by_name if name not in read[1].missing or name not in read[2].missing]
    out = io.StringIO()
    _csv(out, columns, dict(zip(columns, columns, strict=True)))
    conflicts, taken = [], 0
    for key in _ordered(schema, {*rows[1], *rows[2]}):
        was, mine, other = (side.get(key) for side in rows)
        merged = _row(schema, was, mine, other)
        if isinstance(merged, Conflict):
            conflicts.append(merged)
            _marked(out, columns, merged, was, mine, other)
        elif merged is not None:
            taken += merged != mine
            _csv(out, columns, merged)
    taken += sum(key in rows[0] and key not in rows[2] and rows[1][key] == rows[0][key] for key in rows[1])
    write_whole(ours, out.getvalue())
    return Merged(schema.path, "cells", taken, len(conflicts), tuple(conflicts))


def _row(schema: TableSchema, was: Row | None, mine: Row | None, other: Row | None) -> Row | Conflict | None:
    """The merged row, None if it goes, or what is in conflict."""
    if mine == other or other == was:
        return mine
    if mine == was:
        return other
    if mine is None or other is None:
        changed = tuple(column for column in schema.by_name if was and (mine or other or {}).get(column) != was[column])
        return _conflict(schema, changed, was, mine, other, "one side took the record out, the other changed it")
    if was is None:
        differing = tuple(column for column in schema.by_name if mine[column] != other[column])
        return _conflict(schema, differing, was, mine, other, "both sides added the record, with other values")
    by_me = {column for column in schema.by_name if mine[column] != was[column]}
    by_them = {column for column in schema.by_name if other[column] != was[column]}
    both = tuple(column for column in schema.by_name if column in by_me & by_them and mine[column] != other[column])
    if both:
        return _conflict(schema, both, was, mine, other, "both sides changed it")
    for one, another in ((by_me, by_them), (by_them, by_me)):
        if one & {*_WORD} and not another & {*_WORD}:
            at_issue = tuple(column for column in schema.by_name if column in by_me | by_them)
            why = "one side changed a value, the other the source that speaks for the whole record"
            return _conflict(schema, at_issue, was, mine, other, why)
    return {column: (mine if column in by_me else other)[column] for column in schema.by_name}


def _conflict(
    schema: TableSchema, columns: tuple[str, ...], was: Row | None, mine: Row | None, other: Row | None, why: str
) -> Conflict:
    row = mine or other or {}
    record = "|".join(row[column] for column in schema.key)
    shown = [column for column in columns if column not in _WORD] or list(columns)
    told = [_told(side, shown) for side in (was, mine, other)]
    return Conflict(schema.path, record, columns, told[0], told[1], told[2], why)


def _told(row: Row | None, columns: Sequence[str]) -> str:
    """`max 9 (chp-2020-1, p. 12, collated)`."""
    if row is None:
        return "no such record"
    values = ", ".join(f"{column} {row[column] or 'empty'}" for column in columns)
    word = ", ".join(filter(None, (row.get(column, "") for column in _WORD)))
    return f"{values} ({word})" if word else values


def _label(told: str) -> str:
    """The words beside a mark, which must not read as cells."""
    return told.replace(",", ";").replace('"', "'")


def _marked(
    out: io.StringIO, columns: Sequence[str], conflict: Conflict, was: Row | None, mine: Row | None, other: Row | None
) -> None:
    sides = (("<" * 7, "ours", conflict.ours, mine), ("|" * 7, "before", conflict.base, was))
    for mark, side, told, row in sides:
        out.write(f"{mark} {side}: {_label(told)}\n")
        if row is not None:
            _csv(out, columns, row)
    out.write("=" * 7 + "\n")
    if other is not None:
        _csv(out, columns, other)
    out.write(f"{'>' * 7} theirs: {_label(conflict.theirs)}\n")


def _csv(out: io.StringIO, columns: Sequence[str], row: Row) -> None:
    csv.writer(out, lineterminator="\n").writerow([row[column] for column in columns])


def _text(path: Path) -> str:
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        return ""
    text = text.replace("\r\n", "\n")
    return text if not text or text.endswith("\n") else text + "\n"


def _schema(path: str, text: str) -> TableSchema | None:
    """The table that a path names, or, without a path, a header."""
    for schema in table_schemas().values():
        if path == schema.path or path.endswith(f"/{schema.path}"):
            return schema
    header = text.partition("\n")[0].split(",")
    alike = [schema for schema in table_schemas().values() if [*schema.by_name] == header]
    return alike[0] if len(alike) == 1 and not path else None


def _table(text: str, schema: TableSchema) -> Table | None:
    """The table, None if a line of it cannot be read or a key stands twice."""
    if not text:
        return empty_table(schema)
    table, problems = read_lines(text, schema)
    keys = {_key(table, row) for row in range(len(table))}
    sound = all(problem.rule in _READABLE for problem in problems) and not table.missing & {*schema.key}
    return table if sound and len(keys) == len(table) else None


def _key(table: Table, row: int) -> Key:
    return tuple(table.columns[column][row] for column in table.schema.key)


def _ordered(schema: TableSchema, keys: set[Key]) -> Iterator[Key]:
    found = sorted(keys)
    columns = {column: [key[at] for key in found] for at, column in enumerate(schema.key)}
    order = row_order(schema, columns)
    yield from (found[at] for at in sorted(range(len(found)), key=order.__getitem__))


def _by_lines(base: Path, ours: Path, theirs: Path, path: str) -> Merged:
    """As git merges text. Source: git-merge-file(1): its exit code is the number of conflicts, at most 127."""
    command = ["git", "merge-file", "-p", "--diff3", "-L", "ours", "-L", "before", "-L", "theirs"]
    try:
        done = subprocess.run([*command, str(ours), str(base), str(theirs)], capture_output=True, check=False)
    except OSError:
        raise MergeError(f"{path} is no table that can be read, and git is not there to merge it by lines.") from None
    if done.returncode > 127:
        raise MergeError(f"{path} is no table that can be read, and git cannot merge it: mend the file by hand.")
    write_whole(ours, done.stdout.decode("utf-8", "surrogateescape"))
    return Merged(path, "lines", 0, done.returncode, ())
