"""Keys of rows: said once, in order, free of the mark that joins them."""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from materia_data.problem import Problem
from materia_data.read.schema import TableSchema
from materia_data.read.shown import shown
from materia_data.read.table import Table

_WHOLE = re.compile(r"-?[0-9]{1,18}")

Place = tuple[str | tuple[int, int, str], ...]


def row_order(schema: TableSchema, columns: dict[str, list[str]]) -> Sequence[str] | Sequence[Place]:
    """What the rows are sorted by: the key's values, texts by code point, whole numbers as numbers (other texts after
    them)."""
    parts = [_places(columns[name]) if schema.by_name[name].type == "integer" else columns[name] for name in schema.key]
    return (
        columns[schema.key[0]]
        if len(parts) == 1 and parts[0] is columns[schema.key[0]]
        else list(zip(*parts, strict=True))
    )


def check_keys(table: Table) -> Iterator[Problem]:
    """A problem for each key that stands twice or holds a bar, and one for the first row out of order."""
    if not len(table) or table.missing.intersection(table.schema.key):
        return
    for column in table.schema.key:
        if table.schema.by_name[column].joined_key:
            continue
        for value in {value for value in set(table.columns[column]) if "|" in value}:
            for i in table.rows_of(column)[value]:
                yield table.problem(
                    i,
                    column,
                    "bar-in-key",
                    "“|” stands in a value that is part of the key.",
                    tip="Write the value without “|”.",
                )
    order = row_order(table.schema, table.columns)
    if all(before < after for before, after in pairwise(order)):  # type: ignore[operator]
        return
    yield from _repeated(table)
    for i, (before, after) in enumerate(pairwise(order), 1):
        if after < before:  # type: ignore[operator]
            message = f"The row stands after {shown(table.key(i - 1))}, out of the order of its key."
            yield table.problem(
                i, table.schema.key[0], "rows-in-order", message, tip="Run `materia tidy`, which sorts the rows."
            )
            return


def _repeated(table: Table) -> Iterator[Problem]:
    first: dict[tuple[str, ...], int] = {}
    for i, key in enumerate(zip(*(table.columns[column] for column in table.schema.key), strict=True)):
        other = first.setdefault(key, i)
        if other == i:
            continue
        message = f"The record {shown(table.key(i))} stands already in line {table.lines[other]}."
        same = table.row(i) == table.row(other)
        tip = (
            "Take out one of the two rows; they are equal."
            if same
            else "Settle which of the two rows is right and take the other out, or correct its key."
        )
        yield table.problem(i, table.schema.key[0], "duplicate-key", message, tip=tip)


def _places(values: list[str]) -> list[tuple[int, int, str]]:
    place = {value: (0, int(value), value) if _WHOLE.fullmatch(value) else (1, 0, value) for value in set(values)}
    return [place[value] for value in values]
