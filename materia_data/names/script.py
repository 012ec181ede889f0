"""The characters of stored names: which traditional one is which simplified one, and how each is read."""

import unicodedata
from collections import Counter
from dataclasses import dataclass
from itertools import islice, product

from materia_data.check.readings import characters
from materia_data.read.package import Package

_MOST = 4
RADICALS: dict[int, int] = str.maketrans("⻆⻉⻋⻘⻛⻜⻝⻢⻣⻨⻩⻮⻰", "角贝车青风飞食马骨麦黄齿龙")


@dataclass(frozen=True, slots=True)
class Script:
    """simple: traditional to simplified character, from stored pairs alone; readings: of each character that stands in
    a stored name, with tone marks, the commonest first."""

    simple: dict[str, str]
    readings: dict[str, tuple[str, ...]]

    def folded(self, text: str) -> str:
        """The Chinese characters of the text in one script, without all that stands between them.

        Radicals that some printouts give for characters are read as those (Unicode, EquivalentUnifiedIdeograph.txt).
        """
        text = unicodedata.normalize("NFKC", text).translate(RADICALS)
        return "".join(self.simple.get(char, char) for char in text if is_han(char))

    def read(self, text: str, *, stored: bool) -> list[str]:
        """The readings of folded characters, syllables parted, at most four; none if one cannot be read.

        stored: take only readings that stand in the data, else also those of the table of characters. For finding a
        name only: no reading that is shown is made this way.
        """
        known = [self.readings.get(char) or (() if stored else _others(char)) for char in text]
        return [" ".join(syllables) for syllables in islice(product(*known), _MOST)] if text else []


def script_of(package: Package) -> Script:
    """Learn both from every table that has name_hans beside name_hant or pinyin."""
    pairs: dict[str, Counter[str]] = {}
    readings: dict[str, Counter[str]] = {}
    for table in package.tables.values():
        columns = table.columns
        if not {"name_hans", "name_hant", "pinyin"} <= columns.keys():
            continue
        for hans, hant, pinyin in zip(columns["name_hans"], columns["name_hant"], columns["pinyin"], strict=True):
            if len(hans) == len(hant):
                for simple, traditional in zip(hans, hant, strict=True):
                    if simple != traditional:
                        pairs.setdefault(traditional, Counter())[simple] += 1
            syllables = pinyin.casefold().split()
            if len(hans) == len(syllables):
                for char, syllable in zip(hans, syllables, strict=True):
                    readings.setdefault(char, Counter())[syllable] += 1
    simple_ones = {traditional: seen.most_common(1)[0][0] for traditional, seen in pairs.items()}
    return Script(
        {traditional: simple for traditional, simple in simple_ones.items() if traditional not in readings},
        {char: tuple(syllable for syllable, _ in seen.most_common()) for char, seen in readings.items()},
    )


def is_han(char: str) -> bool:
    """Whether it is a Chinese character (the unified ideographs and 〇)."""
    return "一" <= char <= "鿿" or "㐀" <= char <= "䶿" or "𠀀" <= char <= "𳎯" or char == "〇"


def _others(char: str) -> tuple[str, ...]:
    known = characters().get(char)
    return known.readings if known else ()
