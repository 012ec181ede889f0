"""What a program in another language needs to read names as this one does: the names, and the tables that fold them."""

from dataclasses import dataclass

from materia_data.check.readings import characters
from materia_data.names.hearing import sounds
from materia_data.names.index import Index
from materia_data.names.script import RADICALS
from materia_data.names.stored import Name, stored_names
from materia_data.names.wade_giles import syllables
from materia_data.names.words import SMALL
from materia_data.read.package import Package


@dataclass(frozen=True, slots=True)
class NameKeys:
    """names: every stored one; harm: how grave a subject is, 0 to 4; simple: traditional to simplified characters;
    readings: of the characters of stored names, with tone marks, the commonest first; others: of further characters;
    radicals: read as characters; syllables: pinyin to Wade–Giles; sounds: (heard, as, `local` or `foreign`), in order;
    small: words of Latin and English names that do not count."""

    names: tuple[Name, ...]
    harm: dict[str, int]
    simple: dict[str, str]
    readings: dict[str, tuple[str, ...]]
    others: dict[str, tuple[str, ...]]
    radicals: dict[str, str]
    syllables: dict[str, str]
    sounds: tuple[tuple[str, str, str], ...]
    small: tuple[str, ...]


def name_keys(package: Package, index: Index) -> NameKeys:
    """The names of a package with all that `search` folds them by; index: its names, laid out."""
    known = index.script.readings
    return NameKeys(
        tuple(stored_names(package)),
        index.harm,
        index.script.simple,
        known,
        {char: one.readings for char, one in characters().items() if char not in known},
        {chr(old): chr(new) for old, new in RADICALS.items()},
        syllables(),
        sounds(),
        tuple(sorted(SMALL)),
    )
