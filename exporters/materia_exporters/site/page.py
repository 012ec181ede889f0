"""A page before it is laid out."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Page:
    """path: from the site's root, ending in `.html`; template: in `theme/`; title: the window's; values: what shows."""

    path: str
    template: str
    title: str
    values: Mapping[str, Any]
