"""Words on the page: text cut into runs of one language each, and the few phrases that every page shares."""

import re
import unicodedata
from functools import lru_cache

from markupsafe import Markup, escape

STATES = ("contraindicated", "avoid", "caution", "none-stated", "not-checked")
STATE_WORDS = {
    "contraindicated": "contraindicated",
    "avoid": "avoid",
    "caution": "caution",
    "none-stated": "none stated",
    "not-checked": "not checked",
}
BASES = {"collated": "read in the source", "memory": "from memory", "common-practice": "common practice"}
TEACHING = "For teaching; local law, the current pharmacopoeia and licensed practice decide."

_HAN = "\u2e80-\u2fdf\u3005-\u3007\u3400-\u4dbf\u4e00-\u9fff\uf900-\ufaff\U00020000-\U0003ffff"
HAN = re.compile(rf"[{_HAN}](?:[{_HAN}\u00b7\u3001\u3002\uff0c\uff1a\uff1b]*[{_HAN}])?")


@lru_cache(maxsize=1 << 16)
def runs(text: object, lang: str = "zh-Hans") -> Markup:
    """The text as safe HTML, each run of Chinese characters in a span with its language."""
    cut = str(text)
    if not HAN.search(cut):
        return escape(cut)
    return Markup(HAN.sub(rf'<span lang="{escape(lang)}">\g<0></span>', str(escape(cut))))


def capital(text: str) -> str:
    """The text with its first letter as a capital, the rest as it stands."""
    return text[:1].upper() + text[1:]


def plain(word: str) -> str:
    """An id or a word of an enumeration as words: `restrained-by` is `restrained by`."""
    return word.replace("-", " ").replace("_", " ")


def decimal(text: str) -> float | None:
    """The number a cell holds, or None."""
    return float(text) if re.fullmatch(r"-?\d+(\.\d+)?", text) else None


def copied(locator: str) -> tuple[str, str]:
    """A locator as the place in the source and, where that was read in a copy that others made, the copy's id."""
    found = re.fullmatch(r"(?:(.*?);? )?secondary copy ([a-z0-9-]+)", locator)
    return (found[1] or "", found[2]) if found else (locator, "")


def amounts(low: str, high: str) -> str:
    """`3–9`, `9`, `up to 9`, `3 or more`, or nothing."""
    if low and high:
        return low if low == high else f"{low}–{high}"
    return f"up to {high}" if high else f"{low} or more" if low else ""


def bare(text: str) -> str:
    """The text without tone marks and capitals, to sort readings by."""
    return "".join(char for char in unicodedata.normalize("NFD", text.casefold()) if not unicodedata.combining(char))
