"""What a medicinal does, and what it is stated not to do."""

from typing import Any

from materia_exporters.site.book import Book

_WEIGHTS = ("chief", "secondary", "", "minor")


def actions(book: Book, herb: str) -> list[dict[str, Any]]:
    """Actions as stated, chief ones first, stated negatives last."""
    made = []
    for fact in book.of(herb, "action"):
        row = book.row_of(fact)
        asked = dict(fact.qualifiers)
        made.append(
            {
                "action": book.term("actions", fact.value),
                "stated": fact.stated,
                "site": book.label("sites", asked["site"]) if "site" in asked else "",
                "cause": book.label("causes", asked["cause"]) if "cause" in asked else "",
                "weight": asked.get("weight", ""),
                "strength": asked.get("strength", ""),
                "indications": book.labels("indications", row.get("indications", "")),
                "note": row.get("note", ""),
                "told": [book.word(fact)],
                "order": (
                    not fact.stated,
                    _WEIGHTS.index(asked.get("weight", "")) if asked.get("weight", "") in _WEIGHTS else len(_WEIGHTS),
                    int(row["position"]) if row.get("position", "").isdecimal() else 0,
                ),
            }
        )
    return sorted(made, key=lambda action: action["order"])
