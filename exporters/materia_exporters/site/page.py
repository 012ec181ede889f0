"""A page before it is laid out."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Page:
    """path: from the site's root, ending in `.html`; template: in `theme/`; title: the window's; values: what shows;
    beside: by ending (`.jsonld`) the text of the file that stands beside it."""

    path: str
    template: str
    title: str
    values: Mapping[str, Any]
    beside: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Plan:
    """A page that may have to be made. inputs: a digest of all that it is made from; empty: make it and see."""

    path: str
    inputs: bytes
    make: Callable[[], Page]
