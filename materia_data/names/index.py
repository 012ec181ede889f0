"""The stored names of a package, laid out so that a text finds its subjects without going through them all."""

from dataclasses import dataclass, field
from typing import TypeVar

from materia_data.names.harm import harms
from materia_data.names.hearing import heard
from materia_data.names.reading import reading
from materia_data.names.script import Script, script_of
from materia_data.names.stored import Name, stored_names
from materia_data.names.wade_giles import careless, wade_giles, written
from materia_data.names.words import words_of
from materia_data.read.package import Package

Places = dict[str, list[int]]
Value = TypeVar("Value")


@dataclass(slots=True)
class Names:
    """The stored names column by column, as `Name` has them: read back from disk faster than one by one."""

    subject: list[str]
    text: list[str]
    kind: list[str]
    what: list[str]


@dataclass(slots=True)
class Index:
    """names: the stored ones; each dictionary leads from a key to places in that list.

    exact: small letters; han: characters of one script; read: readings without tones and spaces, of Latin names as
    they stand; made: the same, of Chinese names read character by character; spelled, printed: Wade–Giles with and
    without its signs; joined, sorted, word: of Latin and English names all letters, the words in order of the
    alphabet, each word; local, foreign: from a reading folded by ear to the readings of `read` and `made`.
    tones: the marks of each place that is a reading, empty for Wade–Giles. harm: how grave a subject is, 0 to 4.
    """

    names: Names
    script: Script
    shown: dict[str, tuple[str, str]]
    order: dict[str, int]
    harm: dict[str, int]
    exact: Places = field(default_factory=dict)
    han: Places = field(default_factory=dict)
    read: Places = field(default_factory=dict)
    made: dict[str, list[tuple[int, str]]] = field(default_factory=dict)
    spelled: Places = field(default_factory=dict)
    printed: Places = field(default_factory=dict)
    joined: Places = field(default_factory=dict)
    sorted: Places = field(default_factory=dict)
    word: Places = field(default_factory=dict)
    local: dict[str, list[str]] = field(default_factory=dict)
    foreign: dict[str, list[str]] = field(default_factory=dict)
    tones: dict[int, str] = field(default_factory=dict)


def build_index(package: Package) -> Index:
    """Lay out every stored name once; a look-up then takes milliseconds."""
    shown, order = {}, {}
    for rank, table in enumerate(("herbs", "forms", "formulas")):
        columns = package.tables[table].columns
        for id, hans, pinyin in zip(columns["id"], columns["name_hans"], columns["pinyin"], strict=True):
            shown[id], order[id] = (hans, pinyin), rank
    stored = list(stored_names(package))
    names = Names(
        [name.subject for name in stored], [name.text for name in stored],
        [name.kind for name in stored], [name.what for name in stored],
    )  # fmt: skip
    index = Index(names, script_of(package), shown, order, harms(package))
    for place, name in enumerate(stored):
        _put(index.exact, plain(name.text), place)
        if name.lang.startswith("zh-Han"):
            _chinese(index, place, name)
        elif name.lang.startswith("zh-Latn"):
            _romanised(index, place, name)
        elif name.lang:
            _latin(index, place, name.text)
    for base in {**index.read, **index.made}:
        _put(index.local, heard(base, "local"), base)
        _put(index.foreign, heard(base, "foreign"), base)
    return index


def plain(text: str) -> str:
    """Small letters and single spaces: what counts as the very name."""
    return " ".join(text.casefold().split())


def _chinese(index: Index, place: int, name: Name) -> None:
    folded = index.script.folded(name.text)
    if len(folded) != len(name.text):
        return
    _put(index.han, folded, place)
    if name.kind != "standard":
        for known in index.script.read(folded, stored=True):
            made = reading(known)
            _put(index.made, made.base, (place, made.marks))
            if name.kind == "generic":
                _spell(index, place, wade_giles(known))


def _romanised(index: Index, place: int, name: Name) -> None:
    if name.lang == "zh-Latn-wadegile":
        _spell(index, place, written(name.text))
        index.tones[place] = ""
        return
    known = reading(name.text)
    if known.base:
        _put(index.read, known.base, place)
        index.tones[place] = known.marks
    if name.kind == "standard":
        _spell(index, place, wade_giles(name.text))


def _spell(index: Index, place: int, spelled: str) -> None:
    if spelled:
        _put(index.spelled, spelled, place)
        _put(index.printed, careless(spelled), place)


def _latin(index: Index, place: int, text: str) -> None:
    words = words_of(text)
    if words:
        _put(index.joined, "".join(words), place)
        _put(index.sorted, " ".join(sorted(words)), place)
        for word in set(words):
            _put(index.word, word, place)


def _put(index: dict[str, list[Value]], key: str, value: Value) -> None:
    index.setdefault(key, []).append(value)
