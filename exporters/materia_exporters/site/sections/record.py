"""Who says so, what the law says, what else it is called, and which rows the page is made of."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from materia_data import Fact
from materia_exporters.site.book import Book, Row


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
