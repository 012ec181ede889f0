"""Phrases of an English sentence that name a term: those of the vocabularies, and other words for the same."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from materia_data.facts.vocabulary import Vocabulary

TABLES = {
    "nature": "natures",
    "flavor": "flavors",
    "channel": "channels",
    "toxicity": "toxicities",
    "action": "actions",
}
_FILE = Path(__file__).with_name("phrases.tsv")
_WORD = re.compile(r"[a-z]+(?:['’-][a-z]+)*")
_SMALL = frozenset({"the", "a", "an"})
_IRREGULAR = {"toxicities": "toxicity"}
_LONGEST = 8

Phrases = dict[tuple[str, ...], tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Phrase:
    """Where a sentence names a term. kind: nature, flavor, channel, toxicity, action; third: a verb of the third
    person."""

    start: int
    end: int
    kind: str
    value: str
    third: bool


def phrases(vocabularies: Mapping[str, Vocabulary]) -> Phrases:
    """Each phrase as its words in the base form, with kind and id."""
    made: Phrases = {}
    for kind, value, phrase in _others():
        if value in vocabularies[TABLES[kind]]:
            made[_key(phrase)] = (kind, value)
    for kind, table in TABLES.items():
        terms = vocabularies[table]
        for id in terms:
            if id != "unmarked":
                made[_key(re.sub(r"\(.*?\)", "", terms.label(id)))] = (kind, id)
                if kind == "action":
                    made.setdefault(_key(id.replace("-", " ")), (kind, id))
    return made


def find_phrases(known: Phrases, text: str) -> list[Phrase]:
    """From left to right, each the longest that begins there."""
    small = text.casefold() if len(text.casefold()) == len(text) else text.lower()
    words = list(_WORD.finditer(small))
    found, at = [], 0
    while at < len(words):
        for end in range(min(len(words), at + _LONGEST), at, -1):
            span = small[words[at].start() : words[end - 1].end()]
            if words[at][0] in _SMALL or words[end - 1][0] in _SMALL or re.search(r"[^\w\s'’\-]", span):
                continue
            if named := known.get(_key(span)):
                kind, value = named
                third = kind == "action" and base(words[at][0]) != words[at][0]
                found.append(Phrase(words[at].start(), words[end - 1].end(), kind, value, third))
                at = end
                break
        else:
            at += 1
    return found


@cache
def base(word: str) -> str:
    """A word without the ending of the third person or the plural."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("ches", "shes", "sses", "xes")):
        return word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us", "is")) and len(word) > 3:
        return word[:-1]
    return word


def _key(phrase: str) -> tuple[str, ...]:
    return tuple(base(word) for word in _WORD.findall(phrase.casefold()) if word not in _SMALL)


@cache
def _others() -> tuple[tuple[str, str, str], ...]:
    lines = [line for line in _FILE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")][1:]
    rows = [line.split("\t") for line in lines]
    return tuple((row[0], row[1], row[2]) for row in rows)
