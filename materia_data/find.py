"""From a messy name to the subjects it may mean: stored names first, near spellings last."""

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher

from materia_data.read.package import Package

_MOST = 10
_NEAR = 0.72


@dataclass(frozen=True, slots=True)
class Candidate:
    """A subject that a text may mean. score: 1 an exact stored name, below it a name read loosely, least a near
    spelling; why: in words."""

    id: str
    name_hans: str
    pinyin: str
    score: float
    why: str


def find(package: Package, text: str) -> list[Candidate]:
    """Up to ten subjects that the text may mean, best first; none where nothing is near."""
    best: dict[str, tuple[float, str]] = {}
    wanted, loose = _plain(text), _loose(text)
    if not loose:
        return []
    for subject, name, what in _names(package):
        if _plain(name) == wanted:
            score, why = 1.0, f"{what} {name}"
        elif _loose(name) == loose:
            score, why = 0.95, f"{what} {name}, read without tones and spaces"
        elif any(_loose(word) == loose for word in name.split()):
            score, why = 0.85, f"a word of {what} {name}"
        else:
            ratio = max(
                [
                    _likeness(_loose(name), loose),
                    *(0.95 * _likeness(_loose(word), loose) for word in name.split() if len(word) > 4),
                ]
            )
            if ratio < _NEAR:
                continue
            score, why = round(0.8 * ratio, 3), f"{what} {name} is near"
        if score > best.get(subject, (0.0, ""))[0]:
            best[subject] = (score, why)
    order = {"herbs": 0, "forms": 1, "formulas": 2}
    ranked = sorted(
        best.items(), key=lambda item: (-item[1][0], order[package.subject_table(item[0]) or "formulas"], item[0])
    )
    return [Candidate(subject, *_standard(package, subject), score, why) for subject, (score, why) in ranked[:_MOST]]


def plain_reading(text: str) -> str:
    """A reading in small letters without its tone marks, its spaces kept."""
    bare = unicodedata.normalize("NFD", text.casefold())
    return "".join(char for char in bare if not unicodedata.combining(char))


def _names(package: Package) -> Iterator[tuple[str, str, str]]:
    for table in ("herbs", "forms", "formulas"):
        columns = package.tables[table].columns
        for column, what in (
            ("id", "the id"),
            ("name_hans", "the name"),
            ("name_hant", "the name"),
            ("pinyin", "the reading"),
            ("name_en", "the English name"),
            ("latin", "the Latin name"),
        ):
            for subject, name in zip(columns["id"], columns.get(column, ()), strict=False):
                if name:
                    yield subject, name, what
    names = package.tables["names"].columns
    for subject, name, kind in zip(names["subject"], names["name"], names["kind"], strict=True):
        if package.subject_table(subject):
            yield subject, name, f"the {kind} name"


def _plain(text: str) -> str:
    return unicodedata.normalize("NFC", text).strip().casefold()


def _loose(text: str) -> str:
    """Without tones, spaces, hyphens and apostrophes; ü and v read as u, tone digits dropped."""
    bare = "".join(char for char in unicodedata.normalize("NFD", text.casefold()) if not unicodedata.combining(char))
    kept = "".join(char for char in bare if char.isalpha() or (char.isdigit() and not bare.isascii()))
    return kept.replace("v", "u") if kept.isascii() else kept


def _likeness(name: str, text: str) -> float:
    if len(text) < 3 or abs(len(name) - len(text)) > max(2, len(text) // 3):
        return 0.0
    matcher = SequenceMatcher(None, name, text)
    return matcher.ratio() if matcher.real_quick_ratio() >= _NEAR and matcher.quick_ratio() >= _NEAR else 0.0


def _standard(package: Package, subject: str) -> tuple[str, str]:
    table = package.tables[package.subject_table(subject) or "herbs"]
    row = table.rows_of("id")[subject][0]
    return table.columns["name_hans"][row], table.columns["pinyin"][row]
