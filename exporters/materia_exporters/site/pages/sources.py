"""Every source: what it is, what has taken its place, and how much rests on it."""

from collections import Counter
from typing import Any

from materia_exporters.site.book import Book
from materia_exporters.site.page import Page

KINDS = ("standard", "law", "textbook", "classic", "database")


def sources(book: Book) -> Page:
    """The page of sources, by kind."""
    count: Counter[tuple[str, str]] = Counter()
    for subject in book.facts.subjects:
        for fact in book.facts.own(subject):
            if fact.source and fact.predicate != "basis":
                count[fact.source, fact.basis] += 1
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
    return Page(
        "sources.html", "sources.html", "Sources", {"kinds": [(kind, rows) for kind, rows in kinds.items() if rows]}
    )
