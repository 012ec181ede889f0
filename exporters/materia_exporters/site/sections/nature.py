"""What a medicinal is and why: nature, flavours and channels with reasons; what else is stated; what it comes from."""

from collections.abc import Sequence
from typing import Any

from materia_data import Property
from materia_exporters.site.book import Book
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.ruler import ruler

_ALSO = (("direction", "directions"), ("part", "parts"), ("trait", "traits"), ("method", "methods"))


def properties(book: Book, reasons: Reasons, herb: str) -> list[dict[str, Any]]:
    """Properties with their reasons; neighbours of one kind and source that have none are said together."""
    made: list[dict[str, Any]] = []
    for one in reasons.herbs.get(herb, ()):
        told = [book.word(fact) for fact in book.of(herb, one.predicate) if fact.value == one.value and fact.stated]
        last = made[-1] if made else None
        if (
            last
            and _silent(one)
            and (last["kind"], last["verdict"], last["told"]) == (one.predicate, one.verdict, told)
        ):
            last["values"].append(one.label)
            continue
        made.append(
            {
                "kind": one.predicate,
                "values": [one.label],
                "verdict": one.verdict,
                "exception": one.exception,
                "told": told,
                "reasons": [(reason, reasons.rules[reason.rule][1]) for reason in one.reasons],
                "ruler": ruler(book, one.value) if one.predicate == "nature" else None,
            }
        )
    return made


def _silent(one: Property) -> bool:
    return one.verdict in ("unexplained", "together")


def also(book: Book, herb: str) -> list[dict[str, Any]]:
    """Directions, parts, traits and way of making."""
    return [
        {"kind": predicate, "label": book.label(table, fact.value), "told": [book.word(fact)]}
        for predicate, table in _ALSO
        for fact in book.of(herb, predicate)
        if fact.stated
    ]


def origin(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    """The species or substances it comes from, official ones first."""
    order = ("official", "substitute", "adulterant", "withdrawn")
    rows: list[dict[str, Any]] = [
        {
            **row,
            "taxon_name": book.term("taxa", row["taxon"]),
            "part_label": book.label("parts", row["part"]) if row["part"] else "",
            "of": book.name(id) if id != ids[0] else None,
        }
        for id in ids
        for row in book.rows("species", "subject", id)
    ]
    return sorted(rows, key=lambda row: order.index(row["status"]) if row["status"] in order else len(order))
