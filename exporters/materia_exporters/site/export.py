"""The reference site: every category, medicinal and formula with its cautions, reasons and sources, to read offline."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from materia_data import Materia
from materia_exporters.site.book import Book
from materia_exporters.site.page import Page
from materia_exporters.site.pages.about import about
from materia_exporters.site.pages.category import category, group
from materia_exporters.site.pages.dangers import dangers
from materia_exporters.site.pages.formula import formula
from materia_exporters.site.pages.home import home
from materia_exporters.site.pages.lesson import Lessons
from materia_exporters.site.pages.lists import formulas, medicinals
from materia_exporters.site.pages.medicinal import medicinal
from materia_exporters.site.pages.rules import rules
from materia_exporters.site.pages.sources import sources
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.search import index
from materia_exporters.site.words import TEACHING


def export(materia: Materia, out: Path, options: Mapping[str, Any]) -> None:
    """Write the site into the folder `out`: open `index.html`, from disk or from any server. No options.

    The same data gives the same bytes. Nothing is fetched when it is built or read.
    """
    from materia_exporters.site.build import build_site

    book = Book(materia)
    reasons = Reasons(book)
    release = f"{materia.release_id}, {materia.signed_off}"
    common = {
        "release": release,
        "rule_at": reasons.href,
        "superseded": [(row, book.row("sources", row["superseded_by"])) for row in book.superseded],
    }
    scripts = {"js/names.js": index(book), "css/release.css": _margin_box(release)}
    build_site(list(_pages(book, reasons)), scripts, common, Path(out))


export.summary = "a reference site to read offline: search, categories, medicinals, formulas, rules"  # type: ignore[attr-defined]


def _pages(book: Book, reasons: Reasons) -> Iterator[Page]:
    lessons = Lessons(book, reasons)
    yield home(book)
    yield medicinals(book)
    yield formulas(book)
    yield dangers(book)
    yield from rules(book, reasons)
    yield sources(book)
    yield about(book, reasons)
    for row in book.categories:
        yield category(book, lessons, row)
        if row["id"] in book.divided:
            for one in book.groups(row["id"]):
                yield group(book, lessons, one)
    for herb in book.herbs:
        yield medicinal(book, reasons, herb)
    for id in book.formulas:
        yield formula(book, id)


def _margin_box(release: str) -> str:
    """The style sheet that prints release and teaching line at the foot of each sheet; the text as a CSS string."""
    text = "".join(
        char if char.isalnum() or char in " .,;+-" else f"\\{ord(char):06x}" for char in f"{release} · {TEACHING}"
    )
    return f'@page{{@bottom-left{{content:"{text}"}}}}\n'
