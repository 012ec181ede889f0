"""Lines that leave their subject out: under a heading that is a name, in a list of properties, in a table."""

import re
from collections.abc import Sequence

from materia_data.teach.proof.mentions import Mention

_LABELS = (
    (r"(?:(?:thermal )?natures?|temperatures?|energy|propert(?:y|ies)|flavou?rs?|tastes?|toxicity)"
     r"(?:(?:,| and| &|/) ?(?:natures?|temperatures?|flavou?rs?|tastes?|toxicity))*", "It is "),
    (r"(?:channels?|meridians?)(?: entered| tropism)?|enters", "It enters the "),
    (r"(?:main |chief )?(?:actions?|functions?)", "It can "),
    (r"(?:use )?in pregnancy|pregnancy", "In pregnancy it is "),
    (r"性味(?:归经)?|药性|性|味|四气|五味|毒性|功效|功能|作用|性能", "它"),
    (r"归经", "它归"),
)  # fmt: skip
_LABEL = tuple((re.compile(rf"\s*(?:{words})\s*(?::|：|-|–|—|=)\s*", re.IGNORECASE), said) for words, said in _LABELS)
_VERBS = re.compile(r"\s*(?:enters|goes to|belongs to|does not|is|can|must)\b", re.IGNORECASE)


def only_a_name(text: str, mentions: Sequence[Mention]) -> tuple[Mention, ...]:
    """The medicinal that a line names and says nothing of; nothing if it says more or names several."""
    if not mentions:
        return ()
    rest, at = "", 0
    for one in mentions:
        rest, at = rest + text[at : one.start], one.end
    if any(map(str.isalpha, rest + text[at:])):
        return ()
    shared = set(mentions[0].subjects).intersection(*(one.subjects for one in mentions[1:]))
    return (mentions[0],) if len(shared) == 1 and len(mentions[0].subjects) == 1 else ()


def completed(text: str) -> str:
    """A line such as `Nature: warm` or `Enters the lung` as a sentence whose subject is `it`; any other as it is."""
    for label, said in _LABEL:
        if found := label.match(text):
            return said + text[found.end() :] + ("" if said != "它归" or text.rstrip("。. ").endswith("经") else "经")
    return f"It {text.lstrip()}" if _VERBS.match(text) else text
