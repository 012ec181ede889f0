"""A form of a medicinal: how it is made, what that changes, and what to watch."""

from typing import Any

from materia_exporters.site.book import Book, Row
from materia_exporters.site.watch import heaviest
from materia_exporters.site.words import plain

_OWN = ("nature", "flavor", "channel", "direction", "part", "trait")


def form(book: Book, row: Row, default: str) -> dict[str, Any]:
    """What a page shows of one form."""
    form = row["id"]
    own = {
        predicate: [book.label(f"{predicate}s", fact.value) for fact in book.own(form, predicate)] for predicate in _OWN
    }
    changed = []
    for fact in book.own(form, "action"):
        action = book.row_of(fact)
        word = action.get("change") or ("" if fact.stated else "does not")
        changed.append(
            {
                "word": plain(word),
                "label": book.label("actions", fact.value),
                "stated": fact.stated,
                "indications": book.labels("indications", action.get("indications", "")),
            }
        )
    toxicity = next(iter(book.of(form, "toxicity")), None)
    state, about = heaviest(book, form)
    pregnancy = next(
        (fact.value for fact in book.of(form, "caution") if dict(fact.qualifiers).get("topic") == "pregnancy"),
        "not-checked",
    )
    return {
        "name": book.name(form),
        "row": row,
        "is_default": form == default,
        "method": book.label("methods", row["method"]) if row["method"] not in ("", "-") else "",
        "toxicity": book.label("toxicities", toxicity.value) if toxicity else "",
        "inherited_toxicity": bool(toxicity and toxicity.inherited_from),
        "own": {predicate: labels for predicate, labels in own.items() if labels},
        "actions": changed,
        "state": state,
        "about": about,
        "pregnancy": pregnancy,
        "told": [book.told(row)],
        "parts_of": [book.row("units", fact.value) for fact in book.of(form, "taught-in")],
    }
