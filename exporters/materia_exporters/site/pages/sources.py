"""Every source: what it is, what has taken its place, and how much rests on it."""

from collections import Counter
from typing import Any

from materia_exporters.site.book import Book
from materia_exporters.site.page import Page
from materia_exporters.site.words import copied

KINDS = ("standard", "law", "textbook", "classic", "database")


def sources(book: Book, count: Counter[tuple[str, str]]) -> Page:
    """The page of sources, by kind. count: values by source and basis."""
    kinds: dict[str, list[dict[str, Any]]] = {kind: [] for kind in KINDS}
    for row in book.rows("sources"):
        later = book.row("sources", row["superseded_by"]) if row["superseded_by"] else None
        used = [
            (basis, count[row["id"], basis])
            for basis in ("collated", "memory", "common-practice", "")
            if count[row["id"], basis]
        ]
        kinds.setdefault(row["kind"], []).append(
            {"row": row, "later": later, "used": used, "where": book.label("jurisdictions", row["jurisdiction"])}
        )
    values = {"kinds": [(kind, rows) for kind, rows in kinds.items() if rows], "copies": _copies(book)}
    return Page("sources.html", "sources.html", "Sources", values)


def _copies(book: Book) -> list[tuple[str, list[tuple[str, int]]]]:
    """By copy that others made of a source, how many rows were read in it instead of in which source."""
    count: dict[str, Counter[str]] = {}
    for table in book.tables.values():
        if "locator" in table.columns:
            for source, locator in zip(table.columns["source"], table.columns["locator"], strict=True):
                if copy := copied(locator)[1]:
                    count.setdefault(copy, Counter())[source] += 1
    return [(copy, sorted(held.items())) for copy, held in sorted(count.items())]
