"""The lists that a class is examined on: the toxic, the barred in pregnancy, the controlled, the antagonisms."""

from collections.abc import Iterator
from typing import Any

from materia_exporters.site.book import Book, Name
from materia_exporters.site.page import Page
from materia_exporters.site.watch import LISTS
from materia_exporters.site.words import STATES, bare, capital, plain


def dangers(book: Book) -> Iterator[Page]:
    """The page that leads to the lists, then each list. A form is named where it is stricter than its medicinal."""
    toxic, pregnancy, law, never, barred = _toxic(book), _pregnancy(book), _law(book), _never(book), _barred(book)
    counts = {
        "toxic": [(label, len(names)) for label, names in toxic],
        "pregnancy": [(state, len(names)) for state, names in pregnancy],
        "controlled": [(level, len({name.id for _, names in places for name in names})) for level, places in law],
        "barred": [(label, len(names)) for label, names in barred],
        "antagonisms": [(title, sum(len(row["others"]) for row in rows)) for title, rows in never],
    }
    yield Page("dangers.html", "dangers.html", "Dangers", {"counts": counts})
    yield Page("toxic.html", "toxic.html", "Toxic medicinals", {"toxic": toxic})
    yield Page("pregnancy.html", "pregnancy.html", "In pregnancy", {"pregnancy": pregnancy})
    yield Page("controlled.html", "controlled.html", "Under control", {"law": law, "barred": barred})
    verses = ("Eighteen antagonisms", "Nineteen fears")
    first = [one for one in never if one[0] in verses]
    rest = [one for one in never if one[0] not in verses]
    ways = [("antagonisms.html", "In the verses"), ("antagonisms-listed.html", "Listed elsewhere")]
    yield Page(ways[0][0], "antagonisms.html", "Antagonisms in the verses", {"never": first, "ways": ways})
    yield Page(ways[1][0], "antagonisms.html", "Antagonisms listed elsewhere", {"never": rest, "ways": ways})


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


def _never(book: Book) -> list[tuple[str, list[dict[str, Any]]]]:
    """By list each antagonism once, under the one that its row begins with, with reading, state and source."""
    lists: dict[str, dict[Any, dict[str, Any]]] = {}
    for row in book.rows("antagonisms"):
        key = (row["a"], row["state"], row["reading"], row["source"], row["locator"], row["basis"])
        entry = lists.setdefault(row["list"], {}).setdefault(
            key,
            {
                "name": book.name(row["a"]),
                "state": row["state"],
                "extended": row["reading"] == "extended",
                "others": [],
                "lines": {},
                "told": [book.told(row)],
            },
        )
        entry["others"].append(book.name(row["b"]))
        if row["line"]:
            entry["lines"][row["line"]] = None
    order = ("eighteen", "nineteen", "pharmacopoeia", "other")
    return [
        (capital(LISTS.get(id, plain(id))), sorted(lists[id].values(), key=lambda one: STATES.index(one["state"])))
        for id in sorted(lists, key=lambda id: order.index(id) if id in order else len(order))
    ]


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
