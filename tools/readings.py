"""Make the table of characters that checks go by: `python tools/readings.py write|check`.

Reads Unihan (Debian's `unicode-data`, /usr/share/unicode), the OpenCC dictionaries (second witness for the script)
and pypinyin (readings of the few characters that Unihan's dictionaries leave out). Which characters: GB 2312, the
commoner half of Big5, what those become in the other script, and every character of the data and its vocabularies.
`materia_data/check/readings/mended.tsv` has the last word. `check` compares the committed table with the one made
anew: 0 the same, 1 not.
"""

import bz2
import csv
import sys
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

import opencc
import pypinyin

ROOT = Path(__file__).resolve().parent.parent
ROOM = ROOT / "materia_data" / "check" / "readings"
UNIHAN = Path("/usr/share/unicode")
FILES = ("Readings", "Variants", "OtherMappings")
FIELDS = frozenset(
    {"kTGHZ2013", "kXHC1983", "kMandarin", "kTGH", "kBigFive", "kSimplifiedVariant", "kTraditionalVariant"}
)
TONED = frozenset("āáǎàēéěèīíǐìōóǒòūúǔùǖǘǚǜḿńňǹ̀̌")


def main(arguments: list[str]) -> int:
    """Write the table, or compare it."""
    if arguments not in (["write"], ["check"]):
        print("usage: python tools/readings.py write|check", file=sys.stderr)
        return 2
    made, place = table(), ROOM / "characters.tsv"
    if arguments == ["write"]:
        place.write_text(made, encoding="utf-8", newline="\n")
        return 0
    if place.read_text(encoding="utf-8") == made:
        return 0
    print(
        f"{place.relative_to(ROOT)} is not what the dictionaries give. Run `python tools/readings.py write`.",
        file=sys.stderr,
    )
    old, new = set(place.read_text(encoding="utf-8").splitlines()), set(made.splitlines())
    for line in sorted(old ^ new)[:20]:
        print(("- " if line in old else "+ ") + line, file=sys.stderr)
    return 1


def table() -> str:
    """The table as text: character, readings, script; in the order of the characters."""
    mended = {row[0]: row for row in _tsv(ROOM / "mended.tsv")}
    lines = ["character\treadings\tscript"]
    for character in sorted(chosen()):
        _, readings, script, *_ = mended.get(character, ("", "", "", ""))
        readings = readings or ",".join(readings_of(character))
        if readings:
            lines.append(f"{character}\t{readings}\t{script or script_of(character)}")
    return "\n".join(lines) + "\n"


def chosen() -> set[str]:
    """The characters that the table has."""
    common = set(_gb2312()) | set(_big5_commoner())
    common |= {
        other
        for character in common
        for other in (_to_traditional(character), _to_simplified(character))
        if len(other) == 1
    }
    return common | set(_in_data())


@cache
def unihan() -> dict[str, dict[str, str]]:
    """The fields of Unihan that are read here, by character."""
    found: dict[str, dict[str, str]] = {}
    for file in FILES:
        with bz2.open(UNIHAN / f"Unihan_{file}.txt.bz2", "rt", encoding="utf-8") as lines:
            for line in lines:
                if line.startswith("U+"):
                    code, field, value = line.rstrip("\n").split("\t")
                    if field in FIELDS:
                        found.setdefault(chr(int(code[2:], 16)), {})[field] = value
    return found


def readings_of(character: str) -> list[str]:
    """The readings, toneless ones only where there are no others.

    Those of the dictionary of the standard characters (kTGHZ2013); for a character it leaves out those of the
    character it stands for, and of kXHC1983; if neither has any, kMandarin; at last pypinyin.
    """
    found = _dictionary(character, "kTGHZ2013")
    if not found:
        stand_ins = sorted(_variants(character, "kSimplifiedVariant") | {_to_simplified(character)})
        found = [reading for other in stand_ins for reading in _dictionary(other, "kTGHZ2013")] + _dictionary(
            character, "kXHC1983"
        )
    found = found or unihan().get(character, {}).get("kMandarin", "").split()
    found = found or [reading for reading in pypinyin.pinyin(character, heteronym=True)[0] if reading != character]
    found = list(dict.fromkeys(found))
    return [reading for reading in found if TONED & set(reading)] or found


def script_of(character: str) -> str:
    """simplified: standard there, and both witnesses write it otherwise in the traditional script; traditional: the
    like; else both.

    A character among the commoner half of Big5 is good traditional script even if it stands for another in the
    simplified (干 后 里 谷 郁).
    """
    fields = unihan().get(character, {})
    simplified_for = _variants(character, "kTraditionalVariant") - {character}
    if simplified_for and _to_traditional(character) != character and character not in _big5_commoner():
        return "simplified"
    if "kTGH" not in fields and _to_simplified(character) != character:
        return "traditional"
    return "both"


def _dictionary(character: str, field: str) -> list[str]:
    entries = unihan().get(character, {}).get(field, "").split()
    return [reading for entry in entries for reading in entry.partition(":")[2].split(",")]


def _variants(character: str, field: str) -> set[str]:
    entries = unihan().get(character, {}).get(field, "").split()
    return {chr(int(entry.partition("<")[0][2:], 16)) for entry in entries}


@cache
def _gb2312() -> frozenset[str]:
    return frozenset(_decoded("gb2312", range(0xB0, 0xF8), range(0xA1, 0xFF)))


@cache
def _big5_commoner() -> frozenset[str]:
    """The 5,401 commoner characters of Big5: A440 to C67E."""
    trails = (*range(0x40, 0x7F), *range(0xA1, 0xFF))
    every = _decoded("big5", range(0xA4, 0xC7), trails)
    return frozenset(character for character in every if character.encode("big5") <= b"\xc6\x7e")


def _decoded(encoding: str, leads: Iterable[int], trails: Iterable[int]) -> Iterator[str]:
    trails = tuple(trails)
    for lead in leads:
        for trail in trails:
            try:
                yield bytes((lead, trail)).decode(encoding)
            except UnicodeDecodeError:
                continue


def _in_data() -> Iterator[str]:
    """Every Han character of the data."""
    for path in sorted((ROOT / "datapackage").rglob("*.csv")):
        for character in set(path.read_text(encoding="utf-8")):
            if "㐀" <= character <= "鿿" or "𠀀" <= character <= "\U0003ffff" or character == "〇":
                yield character


@cache
def _converter(configuration: str) -> opencc.OpenCC:
    return opencc.OpenCC(configuration)


@cache
def _to_traditional(character: str) -> str:
    return str(_converter("s2t").convert(character))


@cache
def _to_simplified(character: str) -> str:
    return str(_converter("t2s").convert(character))


def _tsv(path: Path) -> list[list[str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.reader(lines, delimiter="\t"))[1:]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
