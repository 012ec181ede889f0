"""Text folded for comparing, and a dictionary that finds the longest known spelling at each place of it."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from materia_data.names.script import Script, is_han

Value = TypeVar("Value")
_PIECE = re.compile(r"[^\W_]+(?:['’.][^\W_]+)*|[^\w\s]|_", re.UNICODE)
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−﹣~〜～", "-"))


def fold(text: str, script: Script) -> str:
    """Small letters, simplified characters, one kind of dash, quote and space."""
    text = text.translate(_DASHES).replace("’", "'").replace("‘", "'").casefold()
    return " ".join("".join(script.simple.get(char, char) for char in text).split())


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of a text: one Chinese character, one word in Latin letters, a number or a sign. start, end: in it."""

    text: str
    start: int
    end: int


def tokens(text: str) -> list[Token]:
    """The pieces of a folded text; numbers with a point stay whole, characters are cut one by one."""
    found = []
    for match in _PIECE.finditer(text):
        run, start = match[0], match.start()
        if any(is_han(char) for char in run):
            found += [*_cut(run, start)]
        else:
            found.append(Token(run if run == "." else run.rstrip("."), start, match.end()))
    return found


def _cut(run: str, start: int) -> Iterator[Token]:
    for part in re.finditer(r"[㐀-鿿〇𠀀-𳎯]|[^㐀-鿿〇𠀀-𳎯]+", run):
        yield Token(part[0], start + part.start(), start + part.end())


@dataclass(slots=True)
class Words(Generic[Value]):
    """Spellings and what each means; the first given to a spelling stays."""

    known: dict[tuple[str, ...], Value] = field(default_factory=dict)
    longest: int = 1

    def add(self, spellings: Iterable[str], value: Value) -> None:
        """Take up spellings in folded form."""
        for spelling in spellings:
            key = tuple(token.text for token in tokens(spelling))
            if key and key not in self.known:
                self.known[key] = value
                self.longest = max(self.longest, len(key))

    def at(self, pieces: list[Token], place: int) -> tuple[int, Value] | None:
        """The longest spelling that begins there: how many pieces it takes, and what it means."""
        for length in range(min(self.longest, len(pieces) - place), 0, -1):
            key = tuple(piece.text for piece in pieces[place : place + length])
            if key in self.known:
                return length, self.known[key]
        return None

    def get(self, spelling: str) -> Value | None:
        """What the whole text means."""
        return self.known.get(tuple(token.text for token in tokens(spelling)))
