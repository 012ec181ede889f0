"""The word lists beside this module."""

from functools import cache
from pathlib import Path

_HERE = Path(__file__).parent


@cache
def word_rows(name: str) -> tuple[tuple[str, ...], ...]:
    """The rows of a word list below its heading line, without comments."""
    lines = (_HERE / name).read_text(encoding="utf-8").splitlines()
    rows = [tuple(line.split("\t")) for line in lines if line and not line.startswith("# ")]
    return tuple(rows[1:])


@cache
def noise(reader: str) -> frozenset[str]:
    """The words that say nothing by themselves to a reader."""
    return frozenset(next(words for name, words in word_rows("noise.tsv") if name == reader).split(" "))
