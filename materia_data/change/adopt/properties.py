"""Nature, flavors, channels, toxicity and parts, alone or several in one cell."""

import re

from materia_data.change.adopt.lexicon import Lexicon, Term
from materia_data.change.adopt.say import Reading, Say, say
from materia_data.change.adopt.tables import noise
from materia_data.change.adopt.words import Token, Words, tokens

COLUMNS = {
    "natures": "nature",
    "flavors": "flavors",
    "channels": "channels",
    "toxicities": "toxicity",
    "parts": "parts",
}
_BEGUN = frozenset({"natures", "flavors", "channels"})
_SINGLE = frozenset({"nature", "toxicity"})
_EITHER = {
    "Li": ("liver", "large-intestine"),
    "li": ("liver", "large-intestine"),
    "L": ("lung", "liver"),
    "S": ("spleen", "stomach"),
    "G": ("gallbladder",),
    "P": ("pericardium", "spleen"),
    "K": ("kidney",),
    "H": ("heart",),
    "B": ("bladder",),
}
_MARKER = re.compile(r"归|入(?!丸)|\benters?\b|\bentering\b|\bchannels?\b\s*:|\bmeridians?\b\s*:|\bch\s*:")
_ALL = re.compile(r"^(all|all 12|all twelve|all (twelve|12) channels|十二经|通行十二经|归十二经|all channels)$")


def read_properties(
    lexicon: Lexicon, text: str, vocabularies: tuple[str, ...], *, graded: bool = True
) -> list[Reading]:
    """What the cell says in these vocabularies, a reading for each column of ours, and one for what is left over.

    graded: whether the column is one for toxicity; elsewhere the English word toxic by itself is not a grade.
    """
    folded = lexicon.fold(text)
    if "channels" in vocabularies and _ALL.match(folded):
        everywhere = ";".join(lexicon.materia.package.tables["channels"].columns["id"])
        return [Reading("channels", text, (say("herbs", {"channels": everywhere}),), True, "all channels")]
    found: dict[str, list[str]] = {}
    left: list[str] = []
    doubt: dict[str, tuple[str, ...]] = {}
    for part, allowed in _parts(text, folded, vocabularies):
        _scan(lexicon, part, allowed, found, left, doubt)
    bare = found.get("toxicities") == ["toxic"] and not graded and "毒" not in folded
    if bare:
        del found["toxicities"]
    readings = [
        _reading(vocabulary, text, found[vocabulary], doubt) for vocabulary in vocabularies if vocabulary in found
    ]
    if bare:
        choices = tuple((say("herbs", {"toxicity": grade}),) for grade in ("toxic", "very-toxic", "slight"))
        readings.append(Reading("toxic by the way", "toxic", (), False, "a word that names no grade", choices, True))
    if left:
        role = vocabularies[0]
        readings.append(Reading(role, " ".join(left), (), False, "not understood", safety=role == "toxicities"))
    return readings


def _parts(text: str, folded: str, vocabularies: tuple[str, ...]) -> list[tuple[str, tuple[str, ...]]]:
    """What comes before the word for channels, and what comes after it, with the vocabularies for each."""
    marker = _MARKER.search(folded)
    others = tuple(one for one in vocabularies if one != "channels")
    if "channels" not in vocabularies or not others or not marker or len(folded) != len(text):
        return [(text, vocabularies)]
    return [(text[: marker.start()], others), (text[marker.end() :], ("channels", *others))]


def _scan(
    lexicon: Lexicon,
    text: str,
    allowed: tuple[str, ...],
    found: dict[str, list[str]],
    left: list[str],
    doubt: dict[str, tuple[str, ...]],
) -> None:
    words = lexicon.terms(*allowed)
    folded = lexicon.fold(text)
    raw = {token.start: token.text for token in tokens(text)} if len(folded) == len(text) else {}
    pieces = tokens(folded)
    at = 0
    while at < len(pieces):
        written = raw.get(pieces[at].start, pieces[at].text)
        if "channels" in allowed and written == "LI":
            found.setdefault("channels", []).append("large-intestine")
            at += 1
        elif "channels" in allowed and written in _EITHER:
            either = _EITHER[written]
            found.setdefault("channels", []).append(either[0])
            if len(either) > 1:
                doubt[either[0]] = either
            at += 1
        elif hit := words.at(pieces, at):
            length, (vocabulary, id) = hit
            if id not in found.setdefault(vocabulary, []):
                found[vocabulary].append(id)
            at += length
        elif "." in pieces[at].text.strip("."):
            pieces[at : at + 1] = _halved(pieces[at])
        elif begun := _begun(words, pieces[at].text):
            vocabulary, id = begun
            if id not in found.setdefault(vocabulary, []):
                found[vocabulary].append(id)
            at += 1
        else:
            if pieces[at].text not in noise("properties"):
                left.append(pieces[at].text)
            at += 1


def _halved(token: Token) -> list[Token]:
    """The words on both sides of a point: `sl.cold`."""
    return [
        Token(part[0], token.start + part.start(), token.start + part.end())
        for part in re.finditer(r"[^.]+", token.text)
    ]


def _begun(words: Words[Term], text: str) -> Term | None:
    """The one term that the text is the beginning of, such as `peric`; no grade of toxicity is guessed at."""
    if len(text) < 3 or not text.isascii() or not text.isalpha() or text in noise("properties"):
        return None
    terms = {term for spelling, term in words.known.items() if spelling[0].startswith(text)}
    term = terms.pop() if len(terms) == 1 else None
    return term if term and term[0] in _BEGUN else None


def _reading(vocabulary: str, text: str, ids: list[str], doubt: dict[str, tuple[str, ...]]) -> Reading:
    column, safety = COLUMNS[vocabulary], vocabulary == "toxicities"
    if column in _SINGLE:
        choices = tuple((say("herbs", {column: id}),) for id in ids)
        why = "the word for it" if len(ids) == 1 else "two of them are named where one is meant"
        return Reading(vocabulary, text, choices[0] if len(ids) == 1 else (), len(ids) == 1, why, choices, safety)
    unclear = [id for id in ids if vocabulary == "channels" and id in doubt]
    if not unclear:
        return Reading(vocabulary, text, (_list(column, ids),), True, "the words for it", safety=safety)
    either = doubt[unclear[0]]
    choices = tuple((_list(column, [other if id == unclear[0] else id for id in ids]),) for other in either)
    return Reading(vocabulary, text, (), False, f"it may be short for {' or '.join(either)}", choices)


def _list(column: str, ids: list[str]) -> Say:
    return say("herbs", {column: ";".join(dict.fromkeys(ids))})
