"""Every medicinal with its forms, and every formula, by reading."""

from typing import Any

from materia_exporters.site.book import Book
from materia_exporters.site.page import Page
from materia_exporters.site.watch import heaviest
from materia_exporters.site.words import bare


def medicinals(book: Book) -> Page:
    """The list of medicinals."""
    rows = []
    for herb in book.herbs:
        row = book.row("herbs", herb)
        forms = [form["id"] for form in book.forms(herb)]
        state, about = heaviest(book, herb, forms)
        rows.append(
            {
                "name": book.name(herb),
                "row": row,
                "category": book.label("categories", row["category"]),
                "state": state,
                "about": about,
                "forms": book.names(forms),
            }
        )
    return Page("medicinals.html", "medicinals.html", "Medicinals", {"letters": _letters(rows), "count": len(rows)})


def formulas(book: Book) -> Page:
    """The list of formulas."""
    rows = []
    for id in book.formulas:
        row = book.row("formulas", id)
        state, about = heaviest(book, id)
        rows.append(
            {
                "name": book.name(id),
                "row": row,
                "category": book.label("categories", row["category"]),
                "state": state,
                "about": about,
                "source": book.row("sources", row["source_text"])["title"],
            }
        )
    return Page("formulas.html", "formulas.html", "Formulas", {"letters": _letters(rows), "count": len(rows)})


def _letters(rows: list[dict[str, Any]]) -> list[tuple[str, list[dict[str, Any]]]]:
    found: dict[str, list[dict[str, Any]]] = {}
    for row in sorted(rows, key=lambda row: (bare(row["name"].pinyin or row["name"].id), row["name"].id)):
        first = bare(row["name"].pinyin or row["name"].id)[:1].upper()
        found.setdefault(first if first.isalpha() else "…", []).append(row)
    return list(found.items())
