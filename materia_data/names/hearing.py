"""Readings folded so that what is heard for one another is written alike; the table is `hearing.tsv`."""

from functools import cache
from pathlib import Path

_FILE = Path(__file__).with_name("hearing.tsv")


def heard(base: str, ears: str) -> str:
    """A reading without tones and spaces, folded; ears: `local`, or `foreign` for both foldings one after the other."""
    for sound, written in _sounds(ears):
        base = base.replace(sound, written)
    return base


@cache
def sounds() -> tuple[tuple[str, str, str], ...]:
    """Each sound, how it is written, and whose ears merge the two (`local`, `foreign`), in the order of folding."""
    lines = (line for line in _FILE.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    rows = [line.split("\t") for line in lines][1:]
    return tuple((row[0], row[1], row[2]) for row in rows)


@cache
def _sounds(ears: str) -> tuple[tuple[str, str], ...]:
    return tuple((sound, written) for sound, written, whose in sounds() if ears == "foreign" or whose == ears)
