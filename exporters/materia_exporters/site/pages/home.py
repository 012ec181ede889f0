"""The first page: search, the categories in teaching order, and how much is known."""

from typing import Any

from materia_exporters.site.book import Book, slug
from materia_exporters.site.page import Page
from materia_exporters.site.pages.category import grouped, members_of
from materia_exporters.site.pictures import coverage


def home(book: Book) -> Page:
    """The home page."""
    shelf = [row for row in book.categories if row["scheme"] != "formulas"]
    values: dict[str, Any] = {
        "coverage": coverage(
            book, [(row["name_en"], f"categories/{slug(row['id'])}.html", members_of(book, row)) for row in shelf]
        ),
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
    return {
        "row": row,
        "count": len(members),
        "groups": [
            (group, book.group_href(group["id"]), len(held)) for group, held in grouped(book, row, members) if held
        ],
    }
