"""Cautions in a school's words: who, and how strictly. What is not certain to the last word is asked about."""

import re
from dataclasses import dataclass, replace
from itertools import pairwise

from materia_data.change.adopt.clauses import sentences
from materia_data.change.adopt.lexicon import Lexicon
from materia_data.change.adopt.say import Reading, Say, say
from materia_data.change.adopt.tables import noise
from materia_data.change.adopt.words import tokens

STATES = ("contraindicated", "avoid", "caution")
_WHOM = ("topic", "target")
_SEPARATORS = frozenset({",", "/", "&", "+", "、", "and", "or", "及", "和", "与", "或", "(", "."})
_BREAK = re.compile(r"(?<=[^\W\d_]{3})\.\s+(?=[A-Z一-鿿])")


@dataclass(frozen=True, slots=True)
class _Part:
    kind: str
    value: str
    near: bool = False


def read_cautions(lexicon: Lexicon, text: str, topic: str, state: str) -> list[Reading]:
    """A reading for each statement. topic: what the column is about, if it is about one; state: what a bare word in
    the column means, if that was decided."""
    found = []
    for sentence in sentences(_BREAK.sub(";", text)):
        for statement in _broken(lexicon, sentence):
            reading = _read(lexicon, statement, topic, state)
            found.append(reading if reading.role == "strictness" else replace(reading, role=_role(topic, state)))
    return found


def _role(topic: str, state: str) -> str:
    """One text means different things in columns about different topics: their decisions are kept apart."""
    return " ".join(filter(None, ("cautions", topic, state)))


def _broken(lexicon: Lexicon, sentence: str) -> list[str]:
    """Cut a sentence at commas where every part is a whole statement by itself."""
    parts = [part.strip() for part in re.split(r"[,、]", sentence) if part.strip()]
    if len(parts) < 2:
        return [sentence]
    kinds = [[part.kind for part in _parts(lexicon, piece)] for piece in parts]
    whole = all("state" in each and ("topic" in each or "target" in each) for each in kinds)
    return parts if whole else [sentence]


def _read(lexicon: Lexicon, text: str, topic: str, state: str) -> Reading:
    parts = _parts(lexicon, text)
    strange = [part.value for part in parts if part.kind == "other"]
    states = [part for part in parts if part.kind == "state"]
    subjects = [part for part in parts if part.kind in ("topic", "target")]
    about = [_about(lexicon, part) for part in subjects] or ([(topic, "")] if topic else [])
    if not about:
        return _unsure(text, f"not understood: {' '.join(strange) or text}", ())
    if strange:
        guess = states[0].value if len({part.value for part in states}) == 1 else state
        return _unsure(text, f"not understood: {' '.join(strange)}", _choices(about, guess))
    if any(part.value == "none" for part in states):
        return _unsure(text, "it says that there is no caution, which the tables never do from a sheet", ())
    paired = _paired(parts, topic, state)
    if paired is None:
        only = {part.value for part in states}
        return _unsure(
            text, "which word goes with which is not plain", _choices(about, only.pop() if len(only) == 1 else state)
        )
    near = [part for part in (*subjects, *states) if part.near]
    said = tuple(_said(*_about(lexicon, part) if part.kind else (topic, ""), how) for part, how in paired)
    if any(not how for _, how in paired):
        return _unsure(text, "how strict it is, is not said", _choices(about, ""), key="strictness")
    if near:
        first = states and any(part.near for part in states)
        why = (
            f"{near[0].value.replace('-', ' ')} is near it, not the same"
            if not first
            else "how strict it is, is not certain"
        )
        return _unsure(text, why, (said, *(choice for choice in _choices(about, "") if choice != said)))
    return Reading("cautions", text, said, True, "whom and how strictly, word for word", safety=True)


def _paired(parts: list[_Part], topic: str, state: str) -> list[tuple[_Part, str]] | None:
    """Each topic with its state: before all of them, after them, or the column's own. None: not plain."""
    listed = [part for part in parts if part.kind != "stop"]
    if any(one.kind in _WHOM and other.kind in _WHOM for one, other in pairwise(listed)):
        return None
    told = [part for part in parts if part.kind in ("state", *_WHOM)]
    kinds = "".join("s" if part.kind == "state" else "t" for part in told)
    if not kinds.strip("s"):
        if len(kinds) > 1 and len({part.value for part in told}) > 1:
            return None
        return [(_Part("", ""), told[0].value if told else state)] if topic else None
    if "s" not in kinds:
        return [(part, state) for part in told]
    if re.fullmatch(r"(s+t+)+", kinds) and _parted(parts, before=True):
        return _handed_on(told)
    if re.fullmatch(r"(t+s+)+", kinds) and _parted(parts, before=False):
        found = _handed_on(told[::-1])
        return found[::-1] if found is not None else None
    return None


def _parted(parts: list[_Part], *, before: bool) -> bool:
    """Whether each state but the outermost stands beside a sign that parts it from the statement before, or after."""
    order = parts if before else parts[::-1]
    return all(one.kind in ("sep", "stop", "state") or other.kind != "state" for one, other in pairwise(order))


def _handed_on(told: list[_Part]) -> list[tuple[_Part, str]] | None:
    """Each topic with the last state that came; None where two states in a row differ."""
    found: list[tuple[_Part, str]] = []
    how, last = "", ""
    for part in told:
        if part.kind == "state":
            if last == "state" and part.value != how:
                return None
            how = part.value
        else:
            found.append((part, how))
        last = part.kind
    return found


def _parts(lexicon: Lexicon, text: str) -> list[_Part]:
    """Topics, targets, states, words not understood, the signs and words that part a list (`sep`), and
    points, which may only end a short word (`stop`)."""
    plain = re.sub(r"\bw/o\b", "without", lexicon.fold(text))
    pieces, found, at = tokens(re.sub(r"\bw/|\bw\b", "with ", plain)), list[_Part](), 0
    while at < len(pieces):
        word, hit = pieces[at].text, lexicon.cautions.at(pieces, at)
        if word in _SEPARATORS and (not hit or hit[0] == 1):
            found.append(_Part("stop" if word == "." else "sep", word))
            at += 1
        elif hit:
            kind, _, value = hit[1].lstrip("?").partition(":")
            if kind != "filler":
                found.append(_Part(kind, value, hit[1].startswith("?")))
            at += hit[0]
        else:
            if word not in noise("cautions"):
                found.append(_Part("other", word))
            at += 1
    return found


def _about(lexicon: Lexicon, part: _Part) -> tuple[str, str]:
    return (part.value, "") if part.kind == "topic" else (lexicon.topic_of(part.value), part.value)


def _said(topic: str, target: str, state: str) -> Say:
    return say("cautions", {"topic": topic, "target": target, "state": state})


def _choices(about: list[tuple[str, str]], state: str) -> tuple[tuple[Say, ...], ...]:
    order = [state, *(one for one in STATES if one != state)] if state in STATES else list(STATES)
    return tuple(tuple(_said(topic, target, one) for topic, target in about) for one in order)


def _unsure(text: str, why: str, choices: tuple[tuple[Say, ...], ...], key: str = "") -> Reading:
    return Reading(key or "cautions", text, (), False, why, choices, True)
