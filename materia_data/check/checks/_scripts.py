"""What the checks on names and readings share: syllables, spelling without tones, and places of words."""

import re
import unicodedata
from collections.abc import Iterator
from functools import cache

from materia_data.check.readings import Word, words

_RUN = re.compile(r"[A-Za-z0-9]+|.")


def syllables(pinyin: str) -> list[str]:
    """The syllables of a stored reading, in small letters, composed; they stand apart by blanks."""
    return unicodedata.normalize("NFC", pinyin).lower().split()


def signs(name: str) -> list[str]:
    """What is read one by one: each character, and each run of Latin letters and digits as a whole."""
    return _RUN.findall(name)


@cache
def toneless(pinyin: str) -> str:
    """The reading without tone marks, ü as u, its syllables joined by hyphens: as an id spells it."""
    bare = "".join(sign for sign in unicodedata.normalize("NFD", pinyin.lower()) if not unicodedata.combining(sign))
    return "-".join(bare.replace("'", " ").replace("’", " ").split())


def settled_words(name: str) -> Iterator[tuple[int, Word]]:
    """The words with a settled reading that stand in the name, the longest at each place, with where they begin."""
    for found in _any_word().finditer(name):
        yield found.start(), _by_hans()[found[0]]


@cache
def _any_word() -> re.Pattern[str]:
    return re.compile("|".join(re.escape(word.hans) for word in words()))


@cache
def _by_hans() -> dict[str, Word]:
    return {word.hans: word for word in words()}
