"""Cells cut into what each says."""

import re

_NUMBERED = re.compile(r"(?:^|(?<=[\s;,.]))(?:\(?\d{1,2}[.)、]|[•·*▪])\s*(?=[^\d\s])|(?:^|(?<=\n))-\s*(?=[^\d\s])")
_STRONG = re.compile(r"[;\n\r|。]+")
_WEAK = re.compile(r"[,;/、\n\r|。]+|(?<=[^\W\d]{3})\.\s+")


def listed(text: str) -> list[str]:
    """The members of a list, whatever parts them: commas, semicolons, strokes, lines, numbers before them."""
    parts = _WEAK.split(_NUMBERED.sub(";", text))
    return [part.strip(" .:") for part in parts if part.strip(" .:-")]


def sentences(text: str) -> list[str]:
    """Cut where a new statement surely begins."""
    return [part.strip() for part in _STRONG.split(_NUMBERED.sub(";", text)) if part.strip(" .")]
