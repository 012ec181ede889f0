"""The lists that a class is examined on: the toxic, the barred in pregnancy, the controlled, the antagonisms."""

from typing import Any

from materia_exporters.site.book import Book, Name
from materia_exporters.site.page import Page
from materia_exporters.site.watch import antagonism_lists, antagonists
from materia_exporters.site.words import STATES, bare, capital


def dangers(book: Book) -> Page:
    """The page of the four lists. A form is named where its own row says so or is stricter than its medicinal."""
    values = {
        "toxic": _toxic(book),
        "pregnancy": _pregnancy(book),
        "law": _law(book),
        "never": _never(book),
        "barred": _barred(book),
        "herbs": len(book.herbs),
    }
    return Page("dangers.html", "dangers.html", "Dangers", values)


def _toxic(book: Book) -> list[tuple[str, list[Name]]]:
    """By grade, gravest first, what has it; a form only where its grade is not that of its medicinal."""
    terms = book.facts.vocabularies["toxicities"]
    held: dict[str, list[str]] = {}
    for herb in book.herbs:
        own = _grade(book, herb)
        if own:
            held.setdefault(own, []).append(herb)
        for form in book.forms(herb):
            grade = _grade(book, form["id"])
            if grade and grade != own:
                held.setdefault(grade, []).append(form["id"])
    return [
        (capital(book.label("toxicities", grade)), _by_reading(book, ids))
        for grade, ids in sorted(held.items(), key=lambda item: -(terms.rank(item[0]) or 0))
        if terms.rank(grade)
    ]


def _grade(book: Book, subject: str) -> str:
    return next((fact.value for fact in book.of(subject, "toxicity")), "")


def _pregnancy(book: Book) -> list[tuple[str, list[Name]]]:
    """By state, heaviest first, whom it concerns; a form only where its own is heavier than its medicinal's."""
    held: dict[str, list[str]] = {state: [] for state in STATES}
    for herb in book.herbs:
        own = _in_pregnancy(book, herb)
        held.setdefault(own, []).append(herb)
        for form in book.forms(herb):
            state = _in_pregnancy(book, form["id"])
            if STATES.index(state) < STATES.index(own):
                held[state].append(form["id"])
    return [(state, _by_reading(book, ids)) for state, ids in held.items() if ids]


def _in_pregnancy(book: Book, subject: str) -> str:
    said = {fact.value for fact in book.of(subject, "caution") if dict(fact.qualifiers).get("topic") == "pregnancy"}
    return next((state for state in STATES if state in said), "not-checked")


def _law(book: Book) -> list[tuple[str, list[tuple[str, list[Name]]]]]:
    """By level, then by where it holds, what is controlled. Whether it is in force is not judged."""
    held: dict[str, dict[str, dict[str, None]]] = {}
    for row in book.rows("controls"):
        if row["subject"] in book.facts.number:
            held.setdefault(row["level"], {}).setdefault(row["jurisdiction"], {})[row["subject"]] = None
    order = list(book.tables["levels"].columns["id"])
    return [
        (
            capital(book.label("levels", level)),
            [(book.label("jurisdictions", where), _by_reading(book, list(ids))) for where, ids in places.items()],
        )
        for level, places in sorted(held.items(), key=lambda item: order.index(item[0]) if item[0] in order else 99)
    ]


def _never(book: Book) -> list[dict[str, Any]]:
    """Each antagonism once, under the one that comes first, with where it is listed."""
    made: list[dict[str, Any]] = []
    seen: set[frozenset[str]] = set()
    for herb in book.herbs:
        alike: dict[tuple[str, str], list[Name]] = {}
        for state, others in antagonists(book, herb).items():
            for other in others:
                if frozenset((herb, other)) not in seen:
                    seen.add(frozenset((herb, other)))
                    alike.setdefault((state, antagonism_lists(book, herb, other)[0]), []).append(book.name(other))
        if alike:
            rows = [{"state": state, "lists": lists, "others": names} for (state, lists), names in alike.items()]
            made.append({"name": book.name(herb), "rows": rows})
    return made


def _barred(book: Book) -> list[tuple[str, list[Name]]]:
    """Medicinals that are not in use as they stand, by status."""
    held: dict[str, list[str]] = {}
    for herb in book.herbs:
        status = book.row("herbs", herb)["status"]
        if status not in ("", "current"):
            held.setdefault(status, []).append(herb)
    return [(capital(status), _by_reading(book, ids)) for status, ids in held.items()]


def _by_reading(book: Book, ids: list[str]) -> list[Name]:
    return sorted(book.names(ids), key=lambda name: (bare(name.pinyin), name.id))
