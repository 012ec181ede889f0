"""A category as it is taught; one that is too large for one lesson as an overview that leads to its groups."""

from typing import Any

from materia_exporters.site.book import Book, Row, slug
from materia_exporters.site.page import Page
from materia_exporters.site.pages.lesson import Lessons
from materia_exporters.site.watch import heaviest, watch_category


def category(book: Book, lessons: Lessons, row: Row) -> Page:
    """The page of a category, of medicinals or of formulas."""
    members = members_of(book, row)
    values: dict[str, Any] = {
        "row": row,
        "kind": "Category of formulas" if row["scheme"] == "formulas" else "Category",
        "formulas_only": row["scheme"] == "formulas",
        "count": len(members),
        "action": book.term("actions", row["defining_action"]) if row["defining_action"] else None,
        "divided": row["id"] in book.divided,
        "above": None,
        "watch": watch_category(book, members),
    }
    if values["formulas_only"]:
        values["members"] = [_formula(book, member) for member in members]
    else:
        groups = grouped(book, row, members)
        inside = {member for _, held in groups for member in held}
        loose = [member for member in members if member not in inside]
        also = [herb for herb in book.herbs if row["id"] in book.row("herbs", herb)["also_in"].split(";")]
        shown = [(group, held) for group, held in groups if held or not loose]
        values |= {"also": book.names(also)}
        values |= lessons.overview(row, shown, loose) if values["divided"] else lessons.whole(row, shown, loose)
    return Page(f"categories/{slug(row['id'])}.html", "category.html", row["name_en"], values)


def group(book: Book, lessons: Lessons, row: Row) -> Page:
    """The page of a group of a category that is too large for one lesson."""
    above = book.row("categories", row["category"])
    members = next(held for one, held in grouped(book, above, members_of(book, above)) if one["id"] == row["id"])
    values: dict[str, Any] = {
        "row": row,
        "kind": "Group",
        "formulas_only": False,
        "count": len(members),
        "action": book.term("actions", row["defining_action"]) if row["defining_action"] else None,
        "divided": False,
        "above": above,
        "watch": watch_category(book, members),
        "also": [],
    }
    values |= lessons.whole(row, [], members)
    return Page(f"groups/{slug(row['id'])}.html", "category.html", row["name_en"], values)


def members_of(book: Book, row: Row) -> list[str]:
    """The members of a category: as the course that teaches most has them in order, the rest after them by name."""
    table = "formulas" if row["scheme"] == "formulas" else "herbs"
    ids = dict.fromkeys(held["id"] for held in book.rows(table, "category", row["id"]))
    last = (True, 0.0, True, 0.0)
    return sorted(ids, key=lambda id: (book.taught.get(id, last), book.row(table, id)["pinyin"], id))


def grouped(book: Book, row: Row, members: list[str]) -> list[tuple[Row, list[str]]]:
    """The groups of a category in teaching order, each with its members."""
    return [
        (group, [member for member in members if book.row("herbs", member)["subgroup"] == group["id"]])
        for group in book.groups(row["id"])
    ]


def _formula(book: Book, id: str) -> dict[str, Any]:
    state, about = heaviest(book, id)
    items = book.rows("formula_items", "formula", id)
    return {
        "name": book.name(id),
        "state": state,
        "about": about,
        "actions": [book.label("actions", fact.value) for fact in book.of(id, "action") if fact.stated],
        "chiefs": [book.name(item["subject"]) for item in items if "chief" in item["roles"].split(";")],
        "items": len(items),
    }
