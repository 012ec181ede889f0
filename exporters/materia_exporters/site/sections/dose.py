"""How a medicinal and its forms are given and cooked."""

from collections.abc import Sequence
from typing import Any

from materia_exporters.site.book import Book
from materia_exporters.site.words import amounts


def doses(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    """Doses of the medicinal and its forms, and the forms of which none is stated."""
    made = []
    for id in ids:
        table = book.tables["doses"]
        looser = [fact for fact in book.facts.looser if fact.subject == id and fact.table == "doses"]
        unsure = {table.row_at(fact.file, fact.line) for fact in looser}
        for i in table.rows_of("subject").get(id, ()):
            row = table.row(i)
            made.append(
                {
                    "silent": False,
                    "of": book.name(id),
                    "route": book.label("routes", row["route"]),
                    "population": book.label("populations", row["population"]),
                    "purpose": book.label("purposes", row["purpose"]) if row["purpose"] else "",
                    "amount": amounts(row["min"], row["max"]),
                    "unit": row["unit"],
                    "per": row["per"],
                    "max_days": row["max_days"],
                    "note": row["note"],
                    "told": [book.told(row)],
                    "confirmed": i not in unsure,
                }
            )
    stated = {id for id in ids if book.rows("doses", "subject", id)}
    silent = [
        book.name(id) for id in ids if id not in stated and not book.of(id, "dose-max") and not book.of(id, "dose-min")
    ]
    return [*made, *({"of": name, "silent": True} for name in silent)]


def handling(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    """How each is cooked, what is required first."""
    order = ("required", "usual", "optional")
    made = [
        row
        | {
            "of": book.name(id),
            "term": book.term("handlings", row["handling"]),
            "minutes": amounts(row["minutes_min"], row["minutes_max"]),
            "purpose_label": book.label("purposes", row["purpose"]) if row["purpose"] else "",
            "told": [book.told(row)],
        }
        for id in ids
        for row in book.rows("handling", "subject", id)
    ]
    return sorted(made, key=lambda row: order.index(row["force"]) if row["force"] in order else len(order))
