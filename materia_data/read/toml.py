"""TOML that others wrote: looked over before it is parsed, so that nothing in it can cost more than its size."""

import re
import tomllib
from typing import Any, NamedTuple

_DEEPEST = 4
_MOST_BRACKETS = 24
_HEAD = re.compile(r"[\[\s]*([A-Za-z0-9_.\"' -]*)")


class Unread(NamedTuple):
    """What keeps a text from being read as TOML; line: 0 where none can be named."""

    message: str
    tip: str
    line: int


def read_toml(text: str) -> dict[str, Any] | Unread:
    """The document, or why it was not read. Keys have at most four dotted parts. Source: semantics.md, 4."""
    for number, line in enumerate(text.split("\n"), 1):
        head = _HEAD.match(line)
        if head and head[1].count(".") >= _DEEPEST:
            return Unread("a key of more than four parts", "Write plain keys: one word, then =.", number)
        if line.count("[") > _MOST_BRACKETS:
            return Unread("brackets nested too deeply", "Lists hold plain text.", number)
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        where = re.search(r"line (\d+)", str(error))
        tip = "Text stands in straight double quotes; each key has a line of its own."
        return Unread(f"this is not TOML: {error}", tip, int(where[1]) if where else 0)
