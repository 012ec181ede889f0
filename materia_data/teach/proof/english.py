"""What one English sentence says: properties, permissions, amounts, cooking, and names nobody knows."""

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise

from materia_data.facts.vocabulary import Vocabulary
from materia_data.teach.proof.claim import Claim, Understood
from materia_data.teach.proof.cooking import read_cooking
from materia_data.teach.proof.hedges import hedged, hedged_direction
from materia_data.teach.proof.mentions import Mention
from materia_data.teach.proof.phrases import Phrase
from materia_data.teach.proof.plainer import said_aside
from materia_data.teach.proof.properties import read_properties
from materia_data.teach.proof.safety import read_safety

_PARTS = re.compile(r";|,?\s+\b(?:but|while|whereas)\b\s+|,\s+(?=(?:and|so)\s+(?:it|they)\b)", re.IGNORECASE)
_TAG_QUESTION = re.compile(r",\s*(?:right|okay|ok|yes|no|isn't it|aren't they)\s*[?.!]*\s*$", re.IGNORECASE)
_ASIDE = re.compile(
    r"(?:^\s*like\b(?=[^,;.]*,)|,\s*like\b|[,(]?\s*\b(?:unlike|just like|same as|as opposed to|in contrast to|although|"
    r"though|not to be confused with)\b)[^,;.)]*(?:,\s*(?:which|that|who)\b[^,;.)]*)?[,)]?",
    re.IGNORECASE,
)
_TOGETHER = re.compile(r"\btogether\b", re.IGNORECASE)
_AMOUNT_THAN = re.compile(r"\b(?:more|less|higher|over|under)\s+than\s+(?=\d)", re.IGNORECASE)


def read_english(
    text: str,
    mentions: Sequence[Mention],
    phrases: Sequence[Phrase],
    before: Sequence[Mention],
    vocabularies: Mapping[str, Vocabulary],
    formula: bool,
) -> Understood:
    """What the sentence says, nothing if it is more or less than a plain claim. before: whom `it` means; formula: a
    formula is named in it."""
    plain = _TAG_QUESTION.sub(".", text)
    light = _AMOUNT_THAN.sub("over ", plain)
    claims: list[Claim] = []
    warned = False
    subjects: tuple[Mention, ...] = tuple(before)
    if not hedged(_asides_out(light)) and not _TOGETHER.search(plain):
        claims += read_properties(*_aside_blanked(plain, mentions, phrases), before)
        claims += _other_does_not(plain, mentions, claims)
        claims += _named_as(plain, mentions, phrases)
    for aside in said_aside(plain, mentions):
        shown = [one for one in mentions if aside[one.start : one.end].strip()]
        terms = [one for one in phrases if aside[one.start : one.end].strip()]
        claims += read_properties(aside, shown, terms, ())
    if not hedged_direction(_asides_out(light)):
        bare, whole, _ = _aside_blanked(plain, mentions, phrases)
        for part, named in _parts(bare, whole):
            found, banned = read_safety(part, named, subjects, vocabularies, formula)
            claims += found
            warned = warned or banned
            subjects = tuple(named) or subjects
        if not formula:
            cooked, banned = read_cooking(plain, mentions, before)
            claims += cooked
            warned = warned or banned
    return Understood(tuple(_for_each(claims)), _spoken_of(plain, mentions) or tuple(before), (), warned)


def _named_as(text: str, mentions: Sequence[Mention], phrases: Sequence[Phrase]) -> list[Claim]:
    """`the warm root X`, where nothing is denied."""
    if re.search(r"\b(?:not|no|never|nor|neither|isn't)\b", text, re.IGNORECASE):
        return []
    return [
        Claim("nature", (one,), term.value)
        for one in mentions
        for term in phrases
        if term.kind == "nature"
        and re.search(r"\b(?:the|this|our)\s+$|^\s*an?\s+$", text[: term.start], re.IGNORECASE)
        and re.fullmatch(r"\s+(?:herb|root|mineral|medicinal|drug|seed|bark|rhizome),?\s+", text[term.end : one.start])
    ]


def _other_does_not(text: str, mentions: Sequence[Mention], claims: Sequence[Claim]) -> list[Claim]:
    """`A does this while B does not`: the action denied of B."""
    made = []
    for one in mentions[1:]:
        led = re.search(r"\b(?:while|whereas|but|and)\s+$", text[: one.start], re.IGNORECASE)
        if led and re.match(r"\s+(?:does not|doesn't|does n't)\s*(?:[.,;!]|$)", text[one.end :], re.IGNORECASE):
            did = [claim for claim in claims if claim.kind == "action" and claim.stated]
            if len(did) == 1 and not any(one.subjects == other.subjects for other in did[0].subjects):
                made.append(Claim("action", (one,), did[0].value, stated=False))
    return made


def _for_each(claims: Sequence[Claim]) -> list[Claim]:
    """The claims without those that may give one value to each subject: two natures of the same, or as many flavors
    as there are names, three or more."""
    values: dict[tuple[str, tuple[Mention, ...]], int] = {}
    kept = list(dict.fromkeys(claims))
    for one in kept:
        values[one.kind, one.subjects] = values.get((one.kind, one.subjects), 0) + one.stated

    def shared_out(one: Claim) -> bool:
        count = values[one.kind, one.subjects]
        return (one.kind == "nature" and count > 1) or (one.kind == "flavor" and count == len(one.subjects) > 2)

    return [one for one in kept if not (one.stated and shared_out(one))]


def _asides_out(text: str) -> str:
    return _ASIDE.sub(" ", text)


def _aside_blanked(
    text: str, mentions: Sequence[Mention], phrases: Sequence[Phrase]
) -> tuple[str, list[Mention], list[Phrase]]:
    """The sentence with what is only compared beside it blanked out, in place."""
    for aside in list(_ASIDE.finditer(text)):
        if any(one.start >= aside.start() and one.end <= aside.end() for one in mentions) or aside[0].endswith(","):
            text = text[: aside.start()] + " " * (aside.end() - aside.start()) + text[aside.end() :]
    kept = [one for one in mentions if text[one.start : one.end].strip()]
    return text, kept, [one for one in phrases if text[one.start : one.end].strip()]


def _parts(text: str, mentions: Sequence[Mention]) -> list[tuple[str, list[Mention]]]:
    """Clauses that stand by themselves, each with its own mentions."""
    cuts = [0, *(found.start() for found in _PARTS.finditer(text)), len(text)]
    made = []
    for start, end in pairwise(cuts):
        inside = [one for one in mentions if start <= one.start and one.end <= end]
        moved = [
            Mention(one.start - start, one.end - start, one.text, one.subjects, one.raw, one.changed, one.by_ear)
            for one in inside
        ]
        made.append((text[start:end], moved))
    return made


def _spoken_of(text: str, mentions: Sequence[Mention]) -> tuple[Mention, ...]:
    """Whom `it` or `they` of the next sentence means: the names that the sentence begins with, else all."""
    if not mentions:
        return ()
    run = [mentions[0]]
    for one in mentions[1:]:
        if re.fullmatch(r"\s*(?:,|and|or|&|with|,\s*and)\s*", text[run[-1].end : one.start]):
            run.append(one)
        else:
            break
    return tuple(run)
