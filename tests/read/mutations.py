"""Seeded damage of a package: each mutation changes one file the way people, programs and disks do."""

import csv
import io
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import NamedTuple

from materia_data.read.schema import Field, TableSchema, table_schemas
from tests.read.slice import read_rows

Rows = list[list[str]]


class Mutation(NamedTuple):
    """What was done. line: where, 0 for the whole file."""

    kind: str
    table: str
    line: int
    column: str


def mutate(folder: Path, seed: int) -> Mutation:
    """Damage one file of the package; the same seed does the same to the same package."""
    random = Random(seed)
    kinds = sorted(CELLS) + sorted(ROWS) + sorted(TEXTS)
    while True:
        kind = kinds[seed % len(kinds)] if random.random() < 0.9 else random.choice(kinds)
        schema = random.choice(list(table_schemas().values()))
        path = folder / schema.path
        rows = read_rows(path)
        if len(rows) < 4:
            continue
        if kind in CELLS:
            done = _cell(kind, random, schema, path, rows)
        elif kind in ROWS:
            line, column = ROWS[kind](random, rows)
            _write(path, rows)
            done = Mutation(kind, schema.name, line, column)
        else:
            before = path.read_bytes()
            after = TEXTS[kind](random, before)
            path.write_bytes(after)
            done = Mutation(kind, schema.name, 0, "") if after != before else None
        if done:
            return done


def _cell(kind: str, random: Random, schema: TableSchema, path: Path, rows: Rows) -> Mutation | None:
    fits, change = CELLS[kind]
    fields = [field for field in schema.fields if fits(field)]
    if not fields:
        return None
    field = random.choice(fields)
    place = rows[0].index(field.name)
    line = random.randrange(1, len(rows))
    value = change(random, rows[line][place])
    if value == rows[line][place]:
        return None
    rows[line][place] = value
    _write(path, rows)
    return Mutation(kind, schema.name, line + 1, field.name)


def _write(path: Path, rows: Rows) -> None:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    path.write_bytes(out.getvalue().encode("utf-8", "surrogatepass"))


def _any(field: Field) -> bool:
    return True


def _number(field: Field) -> bool:
    return field.type in ("integer", "number")


def _date(field: Field) -> bool:
    return field.type == "date"


def _single(field: Field) -> bool:
    return bool(field.refers) and not field.is_list


def _list(field: Field) -> bool:
    return field.is_list


def _id(field: Field) -> bool:
    return field.name == "id" or bool(field.refers)


def _inserted(mark: str) -> Callable[[Random, str], str]:
    def change(random: Random, value: str) -> str:
        at = random.randint(0, len(value))
        return value[:at] + mark + value[at:]

    return change


def _one_of(*values: str) -> Callable[[Random, str], str]:
    return lambda random, value: random.choice(values)


CELLS: dict[str, tuple[Callable[[Field], bool], Callable[[Random, str], str]]] = {
    "emptied": (lambda field: field.required, lambda random, value: ""),
    "unit-in-number": (_number, lambda random, value: f"{value or 3}{random.choice(['g', ' g', '克', 'mg'])}"),
    "not-a-number": (_number, _one_of("NaN", "INF", "-INF", "n/a", "none")),
    "other-digits": (_number, _one_of("３", "１２", "٣")),
    "odd-number": (_number, _one_of("1e3", "+1", ".5", "1_000", "1,5", "007", "3-9", "0x10", "1.2.3")),
    "negative": (lambda field: _number(field) and field.minimum is not None, _one_of("-1", "-12")),
    "fraction": (lambda field: field.type == "integer", _one_of("1.5", "2.0", "½")),
    "date-in-number": (_number, _one_of("9-Mar", "2026-03-09", "3月9日", "44264.5x")),
    "wrong-date": (_date, _one_of("2020-1-1", "2020-02-30", "1/2/2020", "20200101", "2020", "Jan-20", "43831")),
    "unknown-reference": (_single, lambda random, value: f"{value}x" if value else "no-such-thing"),
    "other-reference": (_single, _one_of("no-such-thing", "Ban-Xia", "ban_xia", "半夏", "-")),
    "unknown-member": (_list, lambda random, value: f"{value};no-such-thing".strip(";")),
    "empty-member": (_list, lambda random, value: random.choice([f"{value};", f";{value}", "a;;b"])),
    "repeated-member": (
        _list,
        lambda random, value: ";".join([*value.split(";"), value.split(";")[0]]) if value else value,
    ),
    "other-enumeration": (lambda field: bool(field.enum), lambda random, value: f"{value}s"),
    "capital-id": (_id, lambda random, value: value.upper()),
    "padded": (_any, lambda random, value: random.choice([f" {value}", f"{value} "]) if value else " "),
    "zero-width": (_any, _inserted("\u200b")),
    "no-break-space": (_any, _inserted("\u00a0")),
    "control-character": (_any, _inserted("\x07")),
    "nul": (_any, _inserted("\0")),
    "direction-mark": (_any, _inserted("\u202e")),
    "line-break": (_any, _inserted("\n")),
    "carriage-return": (_any, _inserted("\r")),
    "bar-in-key": (lambda field: field.name in ("id", "subject", "name"), _inserted("|")),
    "emptied-key": (lambda field: field.name in ("id", "subject"), lambda random, value: ""),
}


def _line(random: Random, rows: Rows) -> int:
    return random.randrange(1, len(rows))


def _twice(random: Random, rows: Rows) -> tuple[int, str]:
    line = _line(random, rows)
    rows.insert(line, list(rows[line]))
    return line + 2, ""


def _twice_far(random: Random, rows: Rows) -> tuple[int, str]:
    rows.append([*rows[1][:-1], f"{rows[1][-1]}"])
    return len(rows), ""


def _removed(random: Random, rows: Rows) -> tuple[int, str]:
    del rows[_line(random, rows)]
    return 0, ""


def _swapped(random: Random, rows: Rows) -> tuple[int, str]:
    line = random.randrange(1, len(rows) - 1)
    rows[line], rows[line + 1] = rows[line + 1], rows[line]
    return line + 2, ""


def _cell_lost(random: Random, rows: Rows) -> tuple[int, str]:
    line = _line(random, rows)
    del rows[line][random.randrange(len(rows[line])) :][:1]
    rows[line].pop(random.randrange(len(rows[line])))
    return line + 1, ""


def _cell_more(random: Random, rows: Rows) -> tuple[int, str]:
    line = _line(random, rows)
    rows[line].insert(random.randint(0, len(rows[line])), random.choice(["", "x"]))
    return line + 1, ""


def _cells_lost(random: Random, rows: Rows) -> tuple[int, str]:
    line = _line(random, rows)
    rows[line] = rows[line][: random.randint(1, len(rows[line]) - 1)]
    return line + 1, ""


def _blank(random: Random, rows: Rows) -> tuple[int, str]:
    line = _line(random, rows)
    rows.insert(line, random.choice([[], [""] * len(rows[0])]))
    return line + 1, ""


def _column_lost(random: Random, rows: Rows) -> tuple[int, str]:
    place = random.randrange(len(rows[0]))
    name = rows[0][place]
    for row in rows:
        del row[place]
    return 1, name


def _column_unnamed(random: Random, rows: Rows) -> tuple[int, str]:
    return 1, rows[0].pop(random.randrange(len(rows[0])))


def _column_more(random: Random, rows: Rows) -> tuple[int, str]:
    for row in rows:
        row.append("remark" if row is rows[0] else "")
    return 1, "remark"


def _column_twice(random: Random, rows: Rows) -> tuple[int, str]:
    place = random.randrange(len(rows[0]))
    for row in rows:
        row.append(row[place])
    return 1, rows[0][place]


def _column_renamed(random: Random, rows: Rows) -> tuple[int, str]:
    place = random.randrange(len(rows[0]))
    rows[0][place] = random.choice([rows[0][place].upper(), f"{rows[0][place]}s", f" {rows[0][place]}", ""])
    return 1, ""


def _columns_swapped(random: Random, rows: Rows) -> tuple[int, str]:
    place = random.randrange(len(rows[0]) - 1)
    for row in rows:
        row[place], row[place + 1] = row[place + 1], row[place]
    return 1, ""


def _names_swapped(random: Random, rows: Rows) -> tuple[int, str]:
    place = random.randrange(len(rows[0]) - 1)
    rows[0][place], rows[0][place + 1] = rows[0][place + 1], rows[0][place]
    return 1, ""


def _header_lost(random: Random, rows: Rows) -> tuple[int, str]:
    del rows[0]
    return 1, ""


ROWS: dict[str, Callable[[Random, Rows], tuple[int, str]]] = {
    "row-twice": _twice,
    "row-twice-far": _twice_far,
    "row-removed": _removed,
    "rows-swapped": _swapped,
    "cell-lost": _cell_lost,
    "cells-lost": _cells_lost,
    "cell-more": _cell_more,
    "blank-row": _blank,
    "column-lost": _column_lost,
    "column-unnamed": _column_unnamed,
    "column-more": _column_more,
    "column-twice": _column_twice,
    "column-renamed": _column_renamed,
    "columns-swapped": _columns_swapped,
    "names-swapped": _names_swapped,
    "header-lost": _header_lost,
}


def _at_line(change: Callable[[Random, bytes], bytes]) -> Callable[[Random, bytes], bytes]:
    def text(random: Random, data: bytes) -> bytes:
        lines = data.split(b"\n")
        line = random.randrange(1, len(lines) - 1)
        lines[line] = change(random, lines[line])
        return b"\n".join(lines)

    return text


def _opened(random: Random, line: bytes) -> bytes:
    cells = line.split(b",")
    place = random.randrange(len(cells))
    cells[place] = b'"' + cells[place]
    return b",".join(cells)


def _closed_early(random: Random, line: bytes) -> bytes:
    cells = line.split(b",")
    place = random.randrange(len(cells))
    cells[place] = b'"' + cells[place] + b'"x'
    return b",".join(cells)


def _quoted_inside(random: Random, line: bytes) -> bytes:
    at = random.randint(0, len(line.decode()))
    return (line.decode()[:at] + '"' + line.decode()[at:]).encode()


def _as(codec: str) -> Callable[[Random, bytes], bytes]:
    return lambda random, data: data.decode().encode(codec, "replace")


def _cut(random: Random, data: bytes) -> bytes:
    return data[: random.randrange(len(data) // 2, len(data))]


def _flipped(random: Random, data: bytes) -> bytes:
    at = random.randrange(len(data))
    return data[:at] + bytes([data[at] ^ (1 << random.randrange(8))]) + data[at + 1 :]


TEXTS: dict[str, Callable[[Random, bytes], bytes]] = {
    "quote-opened": _at_line(_opened),
    "quote-closed-early": _at_line(_closed_early),
    "quote-inside": _at_line(_quoted_inside),
    "bom": lambda random, data: b"\xef\xbb\xbf" + data,
    "utf-16": _as("utf-16"),
    "gbk": _as("gbk"),
    "big5": _as("big5"),
    "crlf": lambda random, data: data.replace(b"\n", b"\r\n"),
    "cr": lambda random, data: data.replace(b"\n", b"\r"),
    "no-last-line-feed": lambda random, data: data.removesuffix(b"\n"),
    "cut-short": _cut,
    "byte-flipped": _flipped,
    "tabs": lambda random, data: data.replace(b",", b"\t"),
    "semicolons": lambda random, data: data.replace(b",", b";"),
    "emptied-file": lambda random, data: b"",
    "lines-joined": lambda random, data: data.replace(b"\n", b" ", 2),
}
