"""What is new in this release."""

from typing import Any

from materia_data import Change, table_schemas
from materia_exporters.site.book import Book
from materia_exporters.site.history import History
from materia_exporters.site.page import Page
from materia_exporters.site.words import capital, plain

_MOST = 300  # changes; a page of more cannot be read, and the command that lists them all is named
_EFFECTS = {
    "weakened": "Safety weakened",
    "removed": "Safety taken out",
    "strengthened": "Safety strengthened",
    "gained": "Safety gained",
    "none": "Everything else",
}


def changes(book: Book, history: History) -> Page:
    """Every change since the release before, what touches safety first; that none is known where none is."""
    found = history.diff
    by_effect: dict[str, dict[str, list[dict[str, Any]]]] = {}
    for change in found.changes[:] if found else ():
        title = table_schemas()[change.table].title if change.table in table_schemas() else capital(plain(change.table))
        by_effect.setdefault(change.safety, {}).setdefault(title, []).append(_line(book, change))
    values: dict[str, Any] = {
        "old": found.old if found else "",
        "bump": found.bump if found else "",
        "why": found.why if found else "",
        "count": len(found.changes) if found else 0,
        "effects": [],
        "left_out": 0,
    }
    left = _MOST
    for effect, title in _EFFECTS.items():
        tables = []
        for table, lines in by_effect.get(effect, {}).items():
            shown = lines if effect != "none" else lines[: max(left, 0)]
            left -= len(shown)
            values["left_out"] += len(lines) - len(shown)
            if shown:
                tables.append((table, shown))
        if tables:
            values["effects"].append((title, tables))
    return Page("changes.html", "changes.html", "Changes in this release", values)


def _line(book: Book, change: Change) -> dict[str, Any]:
    first = change.record.split("|")[0]
    return {
        "name": book.name(first) if first in book.facts.number else None,
        "words": change.words,
        "effects": [words for words in change.effects if words != change.words],
    }
