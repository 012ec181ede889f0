"""How characters are read, and in which script they stand: a small committed table, made by `tools/readings.py`."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

_HERE = Path(__file__).resolve().parent


@dataclass(frozen=True, slots=True)
class Character:
    """readings: with tone marks, the commonest first, a toneless one only where a name is so read; script:
    simplified, traditional or both.

    Source: Unihan (kTGHZ2013, kXHC1983, kMandarin, kTGH, kBigFive and the variants), and what `mended.tsv` puts
    right.
    """

    readings: tuple[str, ...]
    script: str


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the trade whose characters are read, or written in traditional characters, in one way only.

    hant: empty where the word may be written in more than one way. Source: common practice, no source.
    """

    hans: str
    hant: str
    pinyin: tuple[str, ...]


@cache
def characters() -> Mapping[str, Character]:
    """Every character of the table."""
    rows = (line.split("\t") for line in _lines("characters.tsv"))
    return MappingProxyType({row[0]: Character(tuple(row[1].split(",")), row[2]) for row in rows})


@cache
def words() -> tuple[Word, ...]:
    """The words whose reading or writing is settled, the longest first."""
    rows = (line.split("\t") for line in _lines("words.tsv"))
    found = [Word(hans, hant, tuple(pinyin.split())) for hans, hant, pinyin in rows]
    return tuple(sorted(found, key=lambda word: (-len(word.hans), word.hans)))


def _lines(name: str) -> list[str]:
    return (_HERE / name).read_text(encoding="utf-8").splitlines()[1:]
