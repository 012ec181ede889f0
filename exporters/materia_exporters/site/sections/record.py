"""Who says so, what the law says, what else it is called, and which rows the page is made of."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from materia_data import Fact, table_schemas
from materia_exporters.site.book import Book, Row, Told, place
from materia_exporters.site.words import capital, decimal, plain

_DECIDING = ("standard", "law", "textbook")


def sources(book: Book, facts: Sequence[Fact]) -> list[dict[str, Any]]:
    """How many of the values rest on which source, and how; those without a source last. `basis` itself is no value."""
    count: Counter[tuple[str, str]] = Counter(
        (fact.source, fact.basis) for fact in facts if fact.predicate not in ("basis", "taught-in")
    )
    ids = sorted(
        {source for source, _ in count},
        key=lambda id: (not id, -sum(n for (source, _), n in count.items() if source == id), id),
    )
    return [
        {
            "id": id,
            "row": book.row("sources", id) if id else None,
            "bases": [
                (basis, count[id, basis]) for basis in ("collated", "memory", "common-practice", "") if count[id, basis]
            ],
        }
        for id in ids
    ]


def cited(book: Book, ids: Sequence[str]) -> dict[str, Any]:
    """What sources cited beside the rows state: `against` what stands here, value by value; `agree`, by source on what.

    disputed: a standard, law or textbook states another value of the whole cell.
    """
    against: list[dict[str, Any]] = []
    agree: dict[Told, dict[str, None]] = {}
    for id in ids:
        for row in book.cited.get(id, ()):
            here = row["value"] or book.cell(row["about_table"], row["record"], row["column"])
            about = _about(book, row, id)
            if not row["stated"] or _alike(row["stated"]) == _alike(here):
                agree.setdefault(book.told(row), {})[about] = None
                continue
            deciding = book.row("sources", row["source"])["kind"] in _DECIDING
            against.append(
                {
                    "of": book.name(id) if id != ids[0] else None,
                    "about": about,
                    "here": _in_words(here),
                    "there": _in_words(row["stated"]),
                    "disputed": deciding and not row["value"],
                    "reason": row["reason"],
                    "told": [book.told(row)],
                }
            )
    against.sort(key=lambda one: not one["disputed"])
    return {"against": against, "agree": [([told], list(labels)) for told, labels in agree.items()]}


def _about(book: Book, row: Row, id: str) -> str:
    """What a citation is about: the column, and what else names the row."""
    columns = table_schemas()[row["about_table"]].by_name if row["about_table"] in table_schemas() else {}
    title = columns[row["column"]].title if row["column"] in columns else row["column"]
    rest = [part for part in row["record"].split("|") if part not in (id, "")]
    return f"{title} ({', '.join(book.name(part).hans or plain(part) for part in rest)})" if rest else title


def _alike(cell: str) -> list[tuple[bool, float, str]]:
    """The cell's items so that order and trailing zeros do not tell them apart."""
    items = [(decimal(one), one) for one in cell.split(";")]
    return sorted((number is None, number or 0.0, one if number is None else "") for number, one in items)


def _in_words(cell: str) -> str:
    return ", ".join(plain(one) for one in cell.split(";"))


def courses(book: Book, subject: str) -> list[tuple[str, list[Row]]]:
    """By course the units that teach it, in their order."""
    held: dict[str, list[Row]] = {}
    for fact in book.of(subject, "taught-in"):
        unit = book.row("units", fact.value)
        held.setdefault(unit["course"], []).append(unit | {"depth": book.row_of(fact).get("depth", "")})
    return [
        (capital(plain(course)), sorted(units, key=lambda unit: place(unit["position"])))
        for course, units in sorted(held.items())
    ]


def law(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    """Controls as stated; whether they are in force is not judged."""
    return [
        row
        | {
            "of": book.name(id) if id != ids[0] else None,
            "level_label": book.label("levels", row["level"]),
            "where": book.label("jurisdictions", row["jurisdiction"]),
            "instrument_title": book.label("sources", row["instrument"]),
            "taxon_name": book.term("taxa", row["taxon"]) if row["taxon"] else None,
            "substitute_name": book.name(row["substitute"]) if row["substitute"] else None,
            "told": [book.told(row)],
        }
        for id in ids
        for row in book.rows("controls", "subject", id)
    ]


def law_in_short(book: Book, ids: Sequence[str]) -> list[str]:
    """Level and place of each control, once."""
    said = (
        f"{book.label('levels', row['level'])}, {book.label('jurisdictions', row['jurisdiction'])}"
        for id in ids
        for row in book.rows("controls", "subject", id)
    )
    return list(dict.fromkeys(said))


def other_names(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    """The herb's other names by kind, then those of each form; a name that two scripts write alike once."""
    kinds = ("alternate", "prescription", "joint", "trade", "generic", "variant", "old", "romanisation", "misspelling")
    made: dict[str, dict[str, Row]] = {kind: {} for kind in kinds}
    for row in book.rows("names", "subject", ids[0]):
        made.setdefault(row["kind"], {}).setdefault(row["name"], row)
    groups: list[dict[str, Any]] = [
        {"kind": kind, "of": None, "names": list(names.values())} for kind, names in made.items() if names
    ]
    for id in ids[1:]:
        rows = {row["name"]: row for row in reversed(book.rows("names", "subject", id))}
        if rows:
            groups.append(
                {
                    "kind": "",
                    "of": book.name(id),
                    "names": sorted(rows.values(), key=lambda row: (row["kind"], row["name"])),
                }
            )
    return groups


def places(book: Book, ids: Sequence[str]) -> list[tuple[str, list[int]]]:
    """The rows the page is made of, by file."""
    about = [("herbs", "id", ids[0]), ("forms", "herb", ids[0])]
    about += [
        (table, "subject", id)
        for id in ids
        for table in ("names", "species", "herb_actions", "doses", "cautions", "handling", "controls")
    ]
    about += [(table, column, id) for id in ids for table in ("antagonisms", "confusions") for column in ("a", "b")]
    merged: dict[str, set[int]] = {}
    for file, lines in book.places(*about):
        merged.setdefault(file, set()).update(lines)
    return [(file, sorted(lines)) for file, lines in merged.items()]
