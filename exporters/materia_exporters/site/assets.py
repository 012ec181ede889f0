"""Styles and scripts under names of their content, so that a host may let readers keep them for ever.

While pages are made a reference stands as a token, and is filled in when a page is written: so a page stays the same
though a style it names has changed. The release id is filled in the same way.
"""

import re
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path

_OPEN, _CLOSE = "\ufdd0", "\ufdd1"  # noncharacters (Unicode 23.7): no text that is exchanged holds them
RELEASE = f"{_OPEN}release{_CLOSE}"
_PATH = r"(?:js|css)/[\w.-]+\.(?:js|css)"
_QUOTED = re.compile(rf'(?<=[="])((?:\.\./)*)({_PATH})(?=")')
_LISTED = re.compile(rf'(?<= data-scripts=")({_PATH}(?: {_PATH})*)(?=")')
_TOKEN = re.compile(f"{_OPEN}([^{_CLOSE}]*){_CLOSE}")


def assets(theme: Path, made: Mapping[str, str]) -> dict[str, tuple[str, bytes]]:
    """By the name that templates use: the name it is written under, and its content. made: those that are not files.

    A script that no template names is loaded by another under the name it has, and keeps it.
    """
    files = {path.relative_to(theme).as_posix(): _short(path) for path in sorted(theme.glob("[cj]s*/*.*s"))}
    files |= {name: text.encode() for name, text in made.items()}
    named = "".join(path.read_text(encoding="utf-8") for path in sorted(theme.rglob("*.html")))
    return {name: (_hashed(name, data) if name in named else name, data) for name, data in files.items()}


def referred(html: str) -> str:
    """The page with a token in place of each style or script that it names."""
    html = _QUOTED.sub(lambda found: f"{found[1]}{_OPEN}{found[2]}{_CLOSE}", html)
    return _LISTED.sub(lambda found: " ".join(f"{_OPEN}{one}{_CLOSE}" for one in found[1].split(" ")), html)


def filled(text: str, words: Mapping[str, str]) -> str:
    """The text with each token filled in: `release`, or the name that an asset is written under."""
    return _TOKEN.sub(lambda found: words.get(found[1], found[1]), text)


def _short(path: Path) -> bytes:
    """A script as it stands; a style sheet without its comments and line ends."""
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".css":
        return text.encode()
    text = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
    return re.sub(r"\s*\n\s*", "\n", text).strip().encode()


def _hashed(name: str, data: bytes) -> str:
    stem, _, ending = name.rpartition(".")
    return f"{stem}.{sha256(data).hexdigest()[:10]}.{ending}"
