"""A page as Markdown, for programs and for printing elsewhere: the same values, laid out by `theme/plain`."""

import re
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import jinja2

from materia_exporters.site.assets import RELEASE
from materia_exporters.site.book import Name, Told
from materia_exporters.site.words import BASES, STATE_WORDS, TEACHING, capital, copied, plain

_PLAIN = Path(__file__).parent / "theme" / "plain"


def markdown(kind: str, path: str, title: str, values: Mapping[str, Any]) -> str:
    """The page in CommonMark with tables, ending with release and teaching line. Text of the data is escaped."""
    root = "../" * path.count("/")
    made = _templates().get_template(f"{kind}.md").render(d=values, title=title, root=root, release=RELEASE)
    return re.sub(r"\n{3,}", "\n\n", made).strip() + "\n"


@cache
def _templates() -> jinja2.Environment:
    made = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_PLAIN),
        autoescape=False,  # Markdown, not HTML: `e` below escapes what Markdown would read
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"e": _escaped, "capital": capital, "plain": plain, "n": _name, "ns": _names, "told": _told}
    made.globals |= {"STATES": STATE_WORDS, "TEACHING": TEACHING}
    return made


def _escaped(text: object) -> str:
    """Text in one line that a reader of Markdown shows as it stands."""
    one = " ".join(str(text).split())
    return re.sub(
        r"([\\`*_\[\]<>|~&#$!])|\b(javascript|data)(:)",
        lambda found: f"\\{found[1]}" if found[1] else f"{found[2]}\\{found[3]}",
        one,
        flags=re.IGNORECASE,
    )


def _name(name: Name) -> str:
    return " ".join(_escaped(part) for part in (name.hans, name.pinyin) if part) or _escaped(name.latin or name.en)


def _names(names: Iterable[Name]) -> str:
    return ", ".join(map(_name, names))


def _told(told: Iterable[Told]) -> str:
    made = []
    for one in told:
        place, copy = copied(one.locator)
        basis = BASES.get(one.basis, one.basis) + (f", in the copy {copy}" if copy else "")
        made.append(", ".join(_escaped(part) for part in (one.source, place, basis) if part))
    return "; ".join(made)
