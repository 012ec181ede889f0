"""The first page: search, the categories in teaching order, and how much is known."""

from typing import Any

from materia_exporters.site.book import Book
from materia_exporters.site.page import Page
from materia_exporters.site.pages.category import members_of


def home(book: Book) -> Page:
    """The home page."""
    values: dict[str, Any] = {
        "herbs": [_category(book, row) for row in book.categories if row["scheme"] != "formulas"],
        "formulas": [_category(book, row) for row in book.categories if row["scheme"] == "formulas"],
        "counts": {
            "medicinals": len(book.herbs),
            "forms": len(book.tables["forms"]),
            "formulas": len(book.formulas),
            "names": len(book.tables["names"]),
        },
    }
    return Page("index.html", "home.html", "", values)


def _category(book: Book, row: dict[str, str]) -> dict[str, Any]:
    members = members_of(book, row)
    groups: list[dict[str, Any]] = []
    for group in book.groups(row["id"]):
        held = [member for member in members if book.row("herbs", member)["subgroup"] == group["id"]]
        groups.append({"row": group, "names": [book.name(member) for member in held]})
    grouped = {name.id for group in groups for name in group["names"]}
    return {
        "row": row,
        "count": len(members),
        "groups": [group for group in groups if group["names"]],
        "loose": [book.name(member) for member in members if member not in grouped],
    }
