"""Markdown that shows every text of the data as it is: no HTML, link or mark-up comes out of a cell."""

import re
from collections.abc import Iterable, Sequence

_ENTITIES = str.maketrans({mark: f"&#{ord(mark)};" for mark in "&<>|~"})
_MARKS = re.compile(r"([\\`*_{}\[\]#!])")
_ODD_NAME = re.compile(r"[^a-z0-9.-]|(?<![a-z0-9])\.|\.(?![a-z0-9])")


def plain(text: str) -> str:
    """Text of the data as Markdown that shows just that text."""
    shown = "".join(letter if letter.isprintable() else f"U+{ord(letter):04X}" for letter in text)
    return _MARKS.sub(r"\\\1", shown).translate(_ENTITIES)


def sentence(text: str) -> str:
    """Prose of the data with a full stop at its end, or nothing."""
    shown = plain(text.strip())
    return shown if not shown or shown[-1] in ".!?。！？…" else f"{shown}."


def file_name(id: str) -> str:
    """A file's name for an id; what an id should not hold is spelt as hex digits."""
    return _ODD_NAME.sub(lambda odd: "".join(f"_{ord(letter):x}_" for letter in odd[0]), id) + ".md"


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Lines of a table, without the columns that stay empty in every row. Cells are Markdown."""
    kept = list(rows)
    used = [place for place in range(len(heads)) if any(row[place] for row in kept)]
    if not kept:
        return []
    lines = [[heads[place] for place in used], ["---"] * len(used), *([row[place] for place in used] for row in kept)]
    return [f"| {' | '.join(cells)} |" for cells in lines] + [""]


def section(title: str, lines: Iterable[str]) -> list[str]:
    """A section with its heading, or nothing if it has no lines."""
    body = list(lines)
    while body and not body[-1]:
        body.pop()
    return [f"## {title}", "", *body, ""] if body else []
