"""Groups across categories: medicinals met in different categories that chiefly do the same."""

from collections.abc import Iterator
from typing import Any

from materia_exporters.site.book import Book, slug
from materia_exporters.site.page import Page
from materia_exporters.site.ruler import ruler, scale
from materia_exporters.site.watch import heaviest
from materia_exporters.site.words import bare


def across(book: Book) -> Iterator[Page]:
    """The page of all groups and of all actions that reach across categories, then the page of each such action."""
    held = _by_action(book)
    shared = {action: found for action, found in held.items() if len({category for category, _ in found}) > 1}
    rows: list[dict[str, Any]] = [
        {
            "action": book.term("actions", action),
            "href": _path(action),
            "count": len(found),
            "categories": len({category for category, _ in found}),
        }
        for action, found in shared.items()
    ]
    rows.sort(key=lambda row: (-row["categories"], -row["count"], row["action"].en))
    groups = [
        (
            row,
            [
                (group, book.group_href(group["id"]), len(book.rows("herbs", "subgroup", group["id"])))
                for group in book.groups(row["id"])
            ],
        )
        for row in book.categories
        if book.groups(row["id"])
    ]
    yield Page("across.html", "across.html", "Across categories", {"actions": rows, "groups": groups})
    for action, found in shared.items():
        yield _page(book, action, found)


def _path(action: str) -> str:
    return f"across/{slug(action)}.html"


def _by_action(book: Book) -> dict[str, list[tuple[str, str]]]:
    """By chief action its medicinals, each with its category."""
    found: dict[str, list[tuple[str, str]]] = {}
    for herb in book.herbs:
        for fact in book.of(herb, "action"):
            pair = (book.row("herbs", herb)["category"], herb)
            if fact.stated and dict(fact.qualifiers).get("weight") == "chief" and pair not in found.get(fact.value, ()):
                found.setdefault(fact.value, []).append(pair)
    return found


def _page(book: Book, action: str, found: list[tuple[str, str]]) -> Page:
    term = book.term("actions", action)
    order = [row["id"] for row in book.categories]
    categories = sorted(
        {category for category, _ in found}, key=lambda id: (order.index(id) if id in order else len(order), id)
    )
    parts = [
        (
            book.row("categories", id),
            sorted((_member(book, herb) for category, herb in found if category == id), key=lambda one: one["sort"]),
        )
        for id in categories
    ]
    return Page(
        _path(action),
        "action.html",
        term.en,
        {"action": term, "parts": parts, "count": len(found), "scale": scale(book)},
    )


def _member(book: Book, herb: str) -> dict[str, Any]:
    state, about = heaviest(book, herb, [row["id"] for row in book.forms(herb)])
    nature = next((fact.value for fact in book.of(herb, "nature") if fact.stated), "")
    flavors = [book.label("flavors", fact.value) for fact in book.of(herb, "flavor") if fact.stated]
    channels = [book.label("channels", fact.value) for fact in book.of(herb, "channel") if fact.stated]
    name = book.name(herb)
    return {
        "name": name,
        "sort": (bare(name.pinyin), herb),
        "state": state,
        "about": about,
        "nature": book.label("natures", nature) if nature else "",
        "ruler": ruler(book, nature) if nature else None,
        "flavors": flavors,
        "channels": channels,
    }
