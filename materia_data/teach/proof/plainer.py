"""An English sentence with its signs and asides made plain, letter for letter as long as it was."""

import re
from collections.abc import Sequence

from materia_data.teach.proof.hedges import hedged, hedged_direction
from materia_data.teach.proof.mentions import Mention

_SAME = re.compile(
    r"(?<!no )(?<!not )\b(?:much )?(?:better|faster|more (?:strongly|gently|reliably))\s+than\b[^,.;]*"
    r"|,?\s*\b(?:much|just|a bit|a little|rather)\s+like\s+[^,.;]*?(?:would|does|do|could)\b"
    r"|\bwhen\s+(?:drunk|taken|boiled|decocted|swallowed|given|eaten|used)(?:\s+by mouth|\s+internally|\s+alone)?\b",
    re.IGNORECASE,
)
_APPOSED = re.compile(r"\s*,\s*(?:that|this|the|a|an|our|your)\s+(?:[a-z]+\s+){0,2}[a-z]+(?:\s+of\s+[a-z]+)?\s*,")
_NOT_ONLY = re.compile(r"\b(not only)\b[^.;:]*?\b(but)\s+also\b", re.IGNORECASE)
_TELLING = re.compile(
    r"\b(?:not|no|never|one|other|is|are|of|cold|cool\w*|warm\w*|hot|neutral|\w*toxic|poison\w*|safe|mild|harmless|bitter|sweet|"
    r"sour|salty|pungent|acrid|bland|astringent)\b",
    re.IGNORECASE,
)
_CONDITION = re.compile(r"\b(?:when|if|once|unless|whenever)\b", re.IGNORECASE)
_WHICH = re.compile(r"\s*,\s*(which|that)\s+(?:is|are|enters?|goes)\b[^,;:.()!?]*")
_BESIDE = re.compile(r"\s*(,)\s*an?\s+(?:[a-z-]+\s+){1,3}[a-z]+(?=\s*[,.])", re.IGNORECASE)
_COLON = re.compile(r"^\s*(?:if|when|whenever|once)\b[^:;.!?]*:\s*(?=\S)", re.IGNORECASE)


def plainer(text: str, mentions: Sequence[Mention]) -> str:
    """` - ` as a dash, `=` as a colon, `+` as `&`; what is likened, and a noun set beside a name, as spaces."""
    made = re.sub(r"(?<=\s)-(?=\s)", "–", text)
    made = re.sub(r"(?<=\s)[=→](?=\s)", ":", made)
    made = re.sub(r"(?<=\s)\+(?=\s)", "&", made)
    if both := _NOT_ONLY.search(made):
        made = f"{_blank(made, both.start(1), both.end(1))[: both.start(2)]}and{made[both.end(2) :]}"
    for found in _SAME.finditer(made):
        made = _blank(made, found.start(), found.end())
    for one in mentions:
        apposed = _APPOSED.match(made, one.end)
        if not apposed or _TELLING.search(apposed[0]):
            continue
        if not any(apposed.start() <= other.start < apposed.end() for other in mentions):
            made = _blank(made, apposed.start(), apposed.end())
    return made


def said_aside(text: str, mentions: Sequence[Mention]) -> list[str]:
    """What holds whenever the sentence does: `X, which is …` and what a colon sets free of a condition; each as the
    whole text with all else blanked out. Nothing where the sentence is hearsay, history or the like."""
    if hedged_direction(_CONDITION.sub(" ", text)):
        return []
    made = []
    for one in mentions:
        found = _WHICH.match(text, one.end)
        if found and not hedged(found[0]):
            kept = _blank(_blank(text, found.end(), len(text)), 0, one.start)
            made.append(_blank(kept, one.end, found.end(1)))
        elif (found := _BESIDE.match(text, one.end)) and not hedged(found[0]):
            kept = _blank(_blank(text, found.end(), len(text)), 0, one.start)
            made.append(f"{kept[: found.start(1)]}:{kept[found.end(1) :]}")
    if found := _COLON.match(text):
        rest = _blank(text, 0, found.end())
        if not hedged(rest) and not re.search(r"\b(?:were|say|says|ask|asks|rule|true)\b", found[0].casefold()):
            made.append(rest)
    return made


def _blank(text: str, start: int, end: int) -> str:
    return text[:start] + " " * (end - start) + text[end:]
