"""What a school may say about its site: the options of this exporter."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlsplit

_KNOWN = {"site_url", "corrections", "releases", "previous"}
_SCHEMES = ("https", "http", "mailto")


@dataclass(frozen=True, slots=True)
class Settings:
    """site_url: where it will stand, "" if that is not known; corrections: where a mistake is reported, "" if nowhere;
    releases: whether each release has a folder of its own beside `latest`; previous: the data released before, or None.
    """

    site_url: str = ""
    corrections: str = ""
    releases: bool = False
    previous: Path | None = None

    def correct(self, file: str, line: int, column: str) -> str:
        """The address that reports one cell, "" if there is none: its `{table}`, `{line}` and `{column}` filled in."""
        if not self.corrections:
            return ""
        cell = {"table": file, "line": str(line), "column": column}
        if not any(f"{{{name}}}" in self.corrections for name in cell):
            asked = "&".join(f"{name}={quote(value, safe='')}" for name, value in cell.items())
            return f"{self.corrections}{'&' if '?' in self.corrections else '?'}{asked}"
        made = self.corrections
        for name, value in cell.items():
            made = made.replace(f"{{{name}}}", quote(value, safe=""))
        return made


def settings(options: Mapping[str, Any]) -> Settings:
    """Read the options. Raises ValueError for one that is not known, or says what it cannot."""
    for name in options:
        if name not in _KNOWN:
            raise ValueError(f"site has no option {name}. It has {', '.join(sorted(_KNOWN))}.")
    url = _address("site_url", str(options.get("site_url", "")), ("https", "http"))
    releases = str(options.get("releases", "no"))
    if releases not in ("yes", "no"):
        raise ValueError(f"the option releases is yes or no, not {releases}.")
    previous = str(options.get("previous", ""))
    if previous and not Path(previous).is_dir():
        raise ValueError(
            f"the option previous names no folder: {previous}. Name the folder of the data released before."
        )
    corrections = _address("corrections", str(options.get("corrections", "")), _SCHEMES)
    return Settings(
        f"{url.rstrip('/')}/" if url else "", corrections, releases == "yes", Path(previous) if previous else None
    )


def _address(name: str, text: str, schemes: tuple[str, ...]) -> str:
    odd = any(char.isspace() or not char.isprintable() or char in "<>\"'" for char in text)
    if text and (odd or urlsplit(text).scheme not in schemes):
        raise ValueError(f"the option {name} is an address that begins with {' or '.join(schemes)}:, not {text!r}.")
    return text
