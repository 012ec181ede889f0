"""Names written down as they were heard by an English ear, syllable by syllable."""

import re
from collections.abc import Mapping
from functools import cache

from materia_data.find import plain_reading
from materia_data.names.index import Index

_FOLDS = (
    ("wh", "w"),
    ("hw", "w"),
    ("ee", "i"),
    ("oo", "u"),
    ("ow", "ao"),
    ("tz", "z"),
    ("ts", "z"),
    ("dz", "z"),
    ("zh", "z"),
    ("ch", "z"),
    ("sh", "s"),
    ("x", "s"),
    ("q", "z"),
    ("j", "z"),
    ("c", "z"),
    ("p", "b"),
    ("t", "d"),
    ("k", "g"),
    ("r", "l"),
)
_ENDS = (
    (r"^hu(?=[aeo])", "w"),
    (r"ng$", "n"),
    (r"on$", "an"),
    (r"(?<=[szdblgmn])i(?=[aeou])", ""),
    (r"h$", ""),
    (r"(?<=.)y$", "i"),
)


def sounds(index: Index) -> dict[str, tuple[str, ...]]:
    """From a folded reading to the herbs that have it for their name; only where it leads to one."""
    found: dict[str, dict[str, None]] = {}
    for place, marks in index.tones.items():
        subject = index.names.subject[place]
        if marks and index.names.kind[place] == "standard" and index.order[subject] < 2:
            found.setdefault(_folded(plain_reading(index.names.text[place])), {})[subject] = None
    return {key: tuple(subjects) for key, subjects in found.items() if len(subjects) == 1}


def heard_as(known: Mapping[str, tuple[str, ...]], text: str) -> tuple[str, ...]:
    """The one subject that two to four words sound like, else none. known: `sounds`."""
    return known.get(_folded(plain_reading(text)), ()) if 1 < len(text.split()) < 5 else ()


def _folded(text: str) -> str:
    return " ".join(map(_syllable, text.split()))


@cache
def _syllable(word: str) -> str:
    word = word.replace("ü", "u")
    for sound, written in _FOLDS:
        word = word.replace(sound, written)
    for pattern, written in _ENDS:
        word = re.sub(pattern, written, word)
    return word
