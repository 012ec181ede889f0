"""Readings in Wade–Giles, syllable by syllable; the table is `syllables.tsv`."""

import unicodedata
from functools import cache
from pathlib import Path

from materia_data.names.reading import APOSTROPHES

_FILE = Path(__file__).with_name("syllables.tsv")
_APOSTROPHES = str.maketrans(dict.fromkeys(APOSTROPHES, "'"))


def wade_giles(pinyin: str) -> str:
    """A reading with its syllables parted, respelled and joined: `chuān xiōng` gives `ch'uanhsiung`. Empty if a
    syllable is not in the table."""
    found = [syllables().get(_toneless(syllable), "") for syllable in pinyin.casefold().split()]
    return "".join(found) if all(found) else ""


def written(text: str) -> str:
    """A text as Wade–Giles is compared: apostrophes of one kind, without tones, spaces and hyphens; ü stays."""
    plain = _toneless(text.casefold().translate(_APOSTROPHES))
    return "".join(char for char in plain if char == "'" or char == "ü" or "a" <= char <= "z")


def careless(text: str) -> str:
    """The same without apostrophes and dots, as it is mostly printed."""
    return written(text).replace("'", "").replace("ü", "u")


@cache
def syllables() -> dict[str, str]:
    """Every syllable of pinyin that has one in Wade–Giles, without tones."""
    lines = (line for line in _FILE.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    rows = [line.split("\t") for line in lines][1:]
    return {pinyin: spelled for pinyin, spelled in rows if spelled}


def _toneless(text: str) -> str:
    bare = "".join(char for char in unicodedata.normalize("NFD", text) if char not in "\u0304\u0301\u030c\u0300\u0302")
    return unicodedata.normalize("NFC", bare)
