"""Where an id went that is no longer used: a page at its old address that leads on."""

from collections.abc import Iterator

from materia_exporters.site.book import Book, slug
from materia_exporters.site.page import Page

_FOLDERS = {
    "herbs": "medicinals",
    "forms": "medicinals",
    "formulas": "formulas",
    "categories": "categories",
    "groups": "groups",
}


def moved(book: Book) -> Iterator[Page]:
    """A page for each retired id that once had one."""
    for row in book.rows("retired"):
        if row["kind"] in _FOLDERS:
            path = f"{_FOLDERS[row['kind']]}/{slug(row['id'])}.html"
            to = _now(book, row["kind"], row["replaced_by"]) if row["replaced_by"] else ""
            yield Page(path, "moved.html", row["id"], {"row": row, "to": to})


def _now(book: Book, kind: str, id: str) -> str:
    if kind in ("herbs", "forms", "formulas"):
        return book.href(id) if id in book.facts.number else ""
    if kind == "groups":
        return book.group_href(id) if book.row("groups", id)["id"] else ""
    return f"categories/{slug(id)}.html" if book.row("categories", id)["id"] else ""
