"""Units of the courses with what each teaches, its lesson sheet and its cards, for a site that is to offer them."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from materia_data import cards, cards_page, sheet, sheet_page
from materia_exporters.site.book import Book, Row, place, slug
from materia_exporters.site.keys import Keys
from materia_exporters.site.page import Page, Plan
from materia_exporters.site.watch import heaviest

_SHEET, _BLANKS, _CARDS = "-sheet.html", "-blanks.html", "-cards.html"


def units(book: Book, keys: Keys) -> Iterator[Plan | Page]:
    """The page of all units by course, then the page of each, with its handouts beside it."""
    held = {row["unit"] for row in book.rows("unit_subjects")}
    taught = [row for row in book.rows("units") if row["id"] in held]
    rows = sorted(taught, key=lambda row: (row["course"], place(row["position"])))
    courses: dict[str, list[Row]] = {}
    for row in rows:
        courses.setdefault(row["course"], []).append(row)
    yield Page("units.html", "units.html", "Units", {"courses": list(courses.items())})
    for row in rows:
        members = [one["subject"] for one in book.rows("unit_subjects", "unit", row["id"])]
        inputs = keys.of(members, row["id"], keys.taught.hex())
        yield Plan(f"units/{slug(row['id'])}.html", inputs, partial(_unit, book, row))


def _member(book: Book, taught: Row) -> tuple[Any, str, str, str]:
    subject = taught["subject"]
    forms = [row["id"] for row in book.forms(subject)] if book.facts.kind(subject) == "herbs" else []
    return (book.name(subject), *heaviest(book, subject, forms), taught["depth"])


def _unit(book: Book, row: Row) -> Page:
    taught = sorted(book.rows("unit_subjects", "unit", row["id"]), key=lambda one: place(one["position"]))
    members = [_member(book, one) for one in taught if one["subject"] in book.facts.number]
    stem = slug(row["id"])
    values: dict[str, Any] = {
        "unit": row,
        "members": members,
        "handouts": [
            (f"units/{stem}{_SHEET}", "Lesson sheet"),
            (f"units/{stem}{_BLANKS}", "Lesson sheet with blanks, its key at the end"),
            (f"units/{stem}{_CARDS}", "Study cards"),
        ],
    }
    materia = book.materia
    beside = {
        _SHEET: sheet_page(sheet(materia, row["id"])),
        _BLANKS: sheet_page(sheet(materia, row["id"], blanks=True), key=True),
        _CARDS: cards_page(cards(materia, row["id"])),
    }
    return Page(f"units/{stem}.html", "unit.html", row["title"] or row["id"], values, beside)
