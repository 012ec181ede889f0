"""A category as it is taught; one that is too large for one lesson as an overview that leads to its groups."""

from typing import Any

from materia_exporters.site.book import Book, Row, slug
from materia_exporters.site.linked import list_data
from materia_exporters.site.markdown import markdown
from materia_exporters.site.page import Page
from materia_exporters.site.pages.lesson import Lessons
from materia_exporters.site.ruler import scale
from materia_exporters.site.watch import heaviest, watch_category

_ONE_PAGE = 12  # members; of more, what is told apart stands on a page of its own


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
        "scale": scale(book),
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
    return _page(book, "categories", row, members, values)


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
        "scale": scale(book),
        "also": [],
    }
    values |= lessons.whole(row, [], members)
    return _page(book, "groups", row, members, values)


def apart(book: Book, lessons: Lessons, table: str, row: Row) -> Page:
    """What the members of a large category or group are told apart by: a page beside its lesson."""
    made = (category if table == "categories" else group)(book, lessons, row)
    kept = {
        key: made.values[key]
        for key in ("row", "divided", "contrasts", "confusions", "cooking", "formulas", "least", "map", "grids")
    }
    return Page(
        _apart_at(table, row), "apart.html", f"{row['name_en']}: mapped, told apart, used", kept | {"lesson": made.path}
    )


def has_apart(book: Book, table: str, row: Row) -> bool:
    """Whether it is so large that what is told apart has a page of its own."""
    column = "category" if table == "categories" else "subgroup"
    return len(book.rows("herbs", column, row["id"])) > _ONE_PAGE


def _apart_at(table: str, row: Row) -> str:
    return f"{table}/{slug(row['id'])}-apart.html"


def _page(book: Book, table: str, row: Row, members: list[str], values: dict[str, Any]) -> Page:
    path = f"{table}/{slug(row['id'])}.html"
    values["apart_at"] = _apart_at(table, row) if has_apart(book, table, row) else ""
    beside = {
        ".jsonld": list_data(book, path, table, row["id"], members),
        ".md": markdown("category", path, row["name_en"], values | {"names": book.names(members)}),
    }
    return Page(path, "category.html", row["name_en"], values, beside)


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
