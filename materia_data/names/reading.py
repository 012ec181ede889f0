"""A reading in Latin letters taken apart: its bare letters, and the tone over each."""

import re
import unicodedata
from typing import NamedTuple

_TONES = {"\u0304": "1", "\u0301": "2", "\u030c": "3", "\u0300": "4", "\u0306": "3"}
APOSTROPHES = "’‘ʻʼ`´′＇"
_NUMBERED = re.compile(r"([a-zü]+)([0-5])")


class Reading(NamedTuple):
    """base: letters a to z, ü as u, without spaces; marks: for each letter its tone as a digit, `.` where none."""

    base: str
    marks: str

    def agrees(self, other: "Reading") -> bool:
        """Whether the letters are the same and no tone contradicts; a tone left out contradicts nothing."""
        return self.base == other.base and all(
            mine == theirs or "." in (mine, theirs) for mine, theirs in zip(self.marks, other.marks, strict=True)
        )


def reading(text: str) -> Reading:
    """Tone marks or tone numbers, split or joined, ü as ü, v or u:; empty if there are other letters than Latin.

    Source of the spellings: ISO 7098 and GB/T 16159; v, u: and numbers are how keyboards write them (common practice).
    """
    text = text.casefold().replace("u:", "ü").replace("v", "ü").replace("ɑ", "a").replace("ɡ", "g")
    text = unicodedata.normalize("NFC", text)
    letters: list[str] = []
    marks: list[str] = []
    for part in unicodedata.normalize("NFD", _NUMBERED.sub(_marked, text)):
        if "a" <= part <= "z":
            letters.append(part)
            marks.append(".")
        elif part in _TONES and letters:
            marks[-1] = _TONES[part]
        elif part.isalpha() and part not in APOSTROPHES:
            return Reading("", "")
    return Reading("".join(letters), "".join(marks))


def _marked(found: re.Match[str]) -> str:
    """A syllable with its number turned into the mark on the vowel that carries it: a or e, the o of ou, else the
    last."""
    syllable, number = found[1], found[2]
    mark = {digit: sign for sign, digit in reversed(_TONES.items())}.get(number, "")
    at = next((syllable.find(vowel) for vowel in ("a", "e", "ou") if vowel in syllable), -1)
    if at < 0:
        at = max(syllable.rfind(vowel) for vowel in "iouü")
    return syllable if at < 0 or not mark else syllable[: at + 1] + mark + syllable[at + 1 :]
