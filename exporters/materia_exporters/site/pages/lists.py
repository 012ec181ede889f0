"""Every medicinal with its forms, and every formula, by reading: a page of names, and a page for each letter."""

from collections.abc import Iterator
from typing import Any

from materia_exporters.site.book import Book
from materia_exporters.site.page import Page
from materia_exporters.site.watch import heaviest
from materia_exporters.site.words import bare

_MANY = 80  # rows on a page
_ALL = 800  # names on the page of names; of more it shows the letters alone


def medicinals(book: Book) -> Iterator[Page]:
    """The list of medicinals."""
    rows = []
    for herb in book.herbs:
        row = book.row("herbs", herb)
        forms = [form["id"] for form in book.forms(herb)]
        rows.append(_row(book, herb, row, forms) | {"forms": book.names(forms), "source": ""})
    return _pages("medicinals", "Medicinals", rows)


def formulas(book: Book) -> Iterator[Page]:
    """The list of formulas."""
    rows = []
    for id in book.formulas:
        row = book.row("formulas", id)
        title = book.row("sources", row["source_text"])["title"]
        rows.append(_row(book, id, row, []) | {"forms": [], "source": title})
    return _pages("formulas", "Formulas", rows)


def _row(book: Book, id: str, row: dict[str, str], forms: list[str]) -> dict[str, Any]:
    state, about = heaviest(book, id, forms)
    return {
        "name": book.name(id),
        "status": row.get("status", ""),
        "category": row["category"],
        "category_label": book.label("categories", row["category"]),
        "state": state,
        "about": about,
    }


def _pages(what: str, title: str, rows: list[dict[str, Any]]) -> Iterator[Page]:
    letters = []
    pages = []
    for letter, held in _letters(rows):
        parts = [held[i : i + _MANY] for i in range(0, len(held), _MANY)]
        for number, part in enumerate(parts):
            ending = letter.lower() if letter != "…" else "other"
            path = f"lists/{what}-{ending}{f'-{number + 1}' if number else ''}.html"
            label = letter if len(parts) == 1 else f"{letter} {number + 1}"
            names = [row["name"] for row in part] if len(rows) <= _ALL else []
            letters.append((label, path, len(part), names))
            pages.append((path, label, part))
    common = {"what": what, "count": len(rows), "letters": letters}
    yield Page(f"{what}.html", "names.html", title, common)
    ways = [(label, path) for label, path, *_ in letters]
    for path, label, part in pages:
        yield Page(path, "letter.html", f"{title}: {label}", {"what": what, "label": label, "rows": part, "ways": ways})


def _letters(rows: list[dict[str, Any]]) -> list[tuple[str, list[dict[str, Any]]]]:
    found: dict[str, list[dict[str, Any]]] = {}
    for row in sorted(rows, key=lambda row: (bare(row["name"].pinyin or row["name"].id), row["name"].id)):
        first = bare(row["name"].pinyin or row["name"].id)[:1].upper()
        found.setdefault(first if first.isascii() and first.isalpha() else "…", []).append(row)
    return list(found.items())
