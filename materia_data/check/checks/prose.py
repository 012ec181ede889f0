"""Prose in cells: plain text, one spelling, the same idea in the same words."""

import re
from collections.abc import Iterator
from functools import lru_cache

from materia_data.check.registry import check
from materia_data.check.spelling import spellings
from materia_data.problem import Problem
from materia_data.read.package import Package
from materia_data.read.table import Table

_SIGNS = re.compile(r"[*_`<\]&#]|://")
_MARKUP = re.compile(
    r"[*_`]{1,3}\w[^*_`]{0,80}[*_`]|<[/a-zA-Z!][^<>]{0,80}>|\]\(|&[a-z]{2,8};|&#[0-9]{1,6};|^#{1,6} |https?://"
)
_APART = str.maketrans(dict.fromkeys('.,;:!?()[]/"\u2013\u2014\u2026\u00b7', " "))
_EMPTY = frozenset(
    ("a", "an", "and", "are", "as", "at", "be", "by", "for", "from", "has", "in", "is", "it", "its", "of", "on", "or",
     "that", "the", "this", "to", "with")
)  # fmt: skip
_ENDINGS = ("ing", "ed", "es", "s")
_FEWEST = 5


@check(
    id="markup-in-prose",
    scope="package",
    severity="error",
    why="Cells are plain text; each output escapes them, so that a mark would be printed as it stands.",
    passes=[{"aids": [{"text": "Two are better old: 5 < 6 * 2."}]}],
    fails=[{"aids": [{"text": "Two are *better* old."}]}, {"aids": [{"text": "See <b>here</b>."}]}],
)
def markup_in_prose(package: Package) -> Iterator[Problem]:
    """Yield a problem for each prose cell with Markdown, HTML, an entity or a web address in it."""
    for table, row, column, text in _prose(package):
        if _SIGNS.search(text) and (found := _MARKUP.search(text)):
            message = f"{found[0].strip()} is markup or an address, and this cell is plain text."
            yield table.problem(row, column, "", message, tip="Say it in words.")


@check(
    id="spelled-otherwise",
    scope="package",
    severity="warning",
    why="A search for edema does not find the other spelling.",
    passes=[{"aids": [{"text": "Edema drains away."}]}],
    fails=[{"aids": [{"text": "Oedema drains away."}]}],
)
def spelled_otherwise(package: Package) -> Iterator[Problem]:
    """Yield a problem for each word of a prose cell or an English name that the data spell the other way."""
    other = spellings()
    for table, row, column, text in _prose(package, names=True):
        for word in sorted(other.keys() & _words(text)):
            yield table.problem(row, column, "", f"{word} is spelled {other[word]} here.", tip=f"Write {other[word]}.")


@check(
    id="said-in-other-words",
    scope="package",
    severity="note",
    why="One idea in one sentence is searched, translated and corrected once.",
    passes=[
        {
            "cautions": [
                {"reason": "drying warmth injures yin fluids further"},
                {"target": "", "reason": "too cold for a weak spleen"},
            ]
        }
    ],
    fails=[
        {
            "cautions": [
                {"topic": "lactation", "target": "", "reason": "drying warmth injures yin fluids further"},
                {"topic": "children", "target": "", "reason": "Drying warmth further injures the yin fluids."},
            ]
        }
    ],
)
def said_in_other_words(package: Package) -> Iterator[Problem]:
    """Yield a problem for each prose cell that has the same five or more words as another of its column, in another
    order or form. A cell with characters in it names something of its own and is left alone."""
    seen: dict[tuple[str, str, frozenset[str]], tuple[str, str]] = {}
    for table, row, column, text in _prose(package):
        if text.count(" ") < _FEWEST - 1 or not text.isascii():
            continue
        words = _stems(text)
        if len(words) < _FEWEST:
            continue
        key = (table.schema.name, column, words)
        said, where = seen.setdefault(key, (text, "{}:{}".format(*table.place(row))))
        if said != text:
            tip = f"Write it as there: {said}"
            yield table.problem(row, column, "", f"This says in other words what {where} says.", tip=tip)


def _prose(package: Package, *, names: bool = False) -> Iterator[tuple[Table, int, str, str]]:
    for table in package.tables.values():
        for field in table.schema.fields:
            if field.prose or (names and field.name == "name_en"):
                for row, text in enumerate(table.columns[field.name]):
                    if text:
                        yield table, row, field.name, text


@lru_cache(maxsize=1 << 16)
def _words(text: str) -> frozenset[str]:
    return frozenset(text.lower().translate(_APART).split())


@lru_cache(maxsize=1 << 16)
def _stems(text: str) -> frozenset[str]:
    return frozenset(map(_stem, _words(text) - _EMPTY))


@lru_cache(maxsize=1 << 16)
def _stem(word: str) -> str:
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 4:
            return word[: -len(ending)]
    return word
