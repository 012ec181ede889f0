"""The lists of English words in `words.tsv`."""

from functools import cache
from pathlib import Path

_FILE = Path(__file__).with_name("words.tsv")


def word_list(name: str) -> frozenset[str]:
    """The words of the list. KeyError: there is none of that name."""
    return _lists()[name]


@cache
def _lists() -> dict[str, frozenset[str]]:
    lines = [line for line in _FILE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")][1:]
    return {name: frozenset(words.split()) for name, words in (line.split("\t") for line in lines)}
