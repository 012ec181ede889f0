"""The page to set medicinals side by side."""

from collections.abc import Iterator

from materia_exporters.site.book import Book, Name
from materia_exporters.site.page import Page

_MOST = 6
_TO_TRY = 12


def compare(book: Book) -> Page:
    """The compare page; its facts come from `js/facts.js` and its parts."""
    return Page("compare.html", "compare.html", "Compare", {"to_try": list(_to_try(book))})


def _to_try(book: Book) -> Iterator[tuple[str, list[Name]]]:
    """Contrasts on record, from the first of each category: ids for the address, and names."""
    seen: set[str] = set()
    for row in book.rows("contrasts"):
        points = book.rows("contrast_points", "contrast", row["id"])
        ids = list(dict.fromkeys(point["subject"] for point in points))
        if not 2 <= len(ids) <= _MOST or any(not book.row("herbs", id)["id"] for id in ids):
            continue
        category = book.row("herbs", ids[0])["category"]
        if category not in seen and len(seen) < _TO_TRY:
            seen.add(category)
            yield ",".join(ids), book.names(ids)
