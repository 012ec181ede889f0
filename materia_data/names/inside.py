"""Stored names that stand inside a longer text."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from materia_data.names.index import Index
from materia_data.names.reading import reading
from materia_data.names.wade_giles import written
from materia_data.names.words import words_of

_HAN_RUN = re.compile(r"[〇㐀-䶿一-鿿\U00020000-\U000323af]+")
_LATIN = re.compile(r"[^\W\d_](?:[^\W_]|[\u0300-\u036f'’:\-])*", re.UNICODE)
_LONGEST = 12
_WORDS = 6
_SHORT = 2


@dataclass(frozen=True, slots=True)
class Inside:
    """A name found in a text. places: of it in the index; rest: what is left of a text hardly longer than the name,
    which may make another name of it; share: of the name in such a text, else 1."""

    places: Sequence[int]
    rest: str
    share: float


def inside(index: Index, text: str) -> Iterator[Inside]:
    """The names in the text, each the longest that begins there; characters first, then words in Latin letters."""
    for run in _HAN_RUN.finditer(text):
        yield from _characters(index, index.script.folded(run[0]))
    yield from _words(index, [found[0] for found in _LATIN.finditer(_HAN_RUN.sub(" ", text))])


def _characters(index: Index, run: str) -> Iterator[Inside]:
    at = 0
    while at < len(run):
        for end in range(min(len(run), at + _LONGEST), at + 1, -1):
            if places := index.han.get(run[at:end]):
                rest = run[:at] + run[end:]
                short = 0 < len(rest) <= _SHORT
                yield Inside(places, rest if short else "", (end - at) / len(run) if short else 1.0)
                at = end
                break
        else:
            at += 1


def _words(index: Index, words: list[str]) -> Iterator[Inside]:
    at = 0
    while at < len(words):
        for end in range(min(len(words), at + _WORDS), at, -1):
            if places := _named(index, words[at:end]):
                rest = [word for word in words[:at] + words[end:] if len(word) > _SHORT]
                letters = sum(map(len, words[at:end]))
                share = letters / (letters + sum(map(len, rest))) if 0 < len(rest) <= _SHORT else 1.0
                yield Inside(places, " ".join(rest) if share < 1 else "", share)
                at = end
                break
        else:
            at += 1


def _named(index: Index, words: list[str]) -> Sequence[int]:
    """A single word must have five letters, several four together: shorter ones are words of any language."""
    text = " ".join(words)
    base = reading(text).base
    if len(base) < (4 if len(words) > 1 or "-" in text else 5):
        return ()
    spelled = written(text)
    return index.read.get(base) or index.joined.get("".join(words_of(text))) or index.spelled.get(spelled) or ()
