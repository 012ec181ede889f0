"""A medicinal with its forms: safety first, then what it is and why, what it does, how it is given, and who says so."""

from typing import Any

from materia_exporters.site.book import Book, Row
from materia_exporters.site.history import History
from materia_exporters.site.linked import subject_data
from materia_exporters.site.markdown import markdown
from materia_exporters.site.page import Page
from materia_exporters.site.pictures import ties
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.sections.actions import actions
from materia_exporters.site.sections.apart import confusions, contrasts
from materia_exporters.site.sections.company import in_formulas, never, pairs
from materia_exporters.site.sections.dose import doses, handling
from materia_exporters.site.sections.forms import form
from materia_exporters.site.sections.layers import layers
from materia_exporters.site.sections.nature import also, origin, properties
from materia_exporters.site.sections.record import cited, courses, law, law_in_short, other_names, places, sources
from materia_exporters.site.watch import watch_medicinal


def medicinal(book: Book, reasons: Reasons, history: History, herb: str) -> Page:
    """The page of a herb."""
    row = book.row("herbs", herb)
    forms = book.forms(herb)
    ids = [herb, *(made["id"] for made in forms)]
    stated = [fact for id in ids for fact in book.of(id) if not fact.inherited_from]
    default = book.facts.default_form(herb)
    values: dict[str, Any] = {
        "name": book.name(herb),
        "row": row,
        "note": row["note"],
        "category": _category(book, row),
        "also_in": [(book.label("categories", id), id) for id in row["also_in"].split(";") if id],
        "from": book.name(row["from"]) if book.row("herbs", row["from"])["id"] else None,
        "parts_of": [book.name(other["id"]) for other in book.rows("herbs", "from", herb)],
        "courses": courses(book, herb),
        "status": row["status"] if row["status"] not in ("", "current") else "",
        "toxicity": _toxicity(book, herb),
        "layers": layers(book, ids),
        "watch": watch_medicinal(book, herb),
        "law_in_short": law_in_short(book, ids),
        "facts": properties(book, reasons, herb),
        "also": list(also(book, herb)),
        "origin": origin(book, ids),
        "actions": actions(book, herb),
        "forms": [form(book, made, default) for made in forms],
        "default": book.name(default) if default != herb else None,
        "doses": doses(book, ids),
        "handling": handling(book, ids),
        "never": never(book, herb),
        "pairs": pairs(book, ids),
        "contrasts": contrasts(book, ids),
        "confusions": confusions(book, ids),
        "formulas": in_formulas(book, ids),
        "law": law(book, ids),
        "aids": [row for id in ids for row in book.rows("aids", "subject", id)],
        "other_names": other_names(book, ids),
        "sources": sources(book, stated),
        "cited": cited(book, ids),
        "places": places(book, ids),
        "changed": history.of([herb]),
    }
    values["ties"] = ties(values)
    name = book.name(herb)
    title = f"{name.hans} {name.pinyin}, {name.en}"
    path = book.href(herb)
    beside = {".jsonld": subject_data(book, path, ids), ".md": markdown("medicinal", path, title, values)}
    return Page(path, "medicinal.html", title, values, beside)


def _category(book: Book, row: Row) -> dict[str, str]:
    return {
        "id": row["category"],
        "label": book.label("categories", row["category"]),
        "group": row["subgroup"],
        "group_href": book.group_href(row["subgroup"]) if row["subgroup"] else "",
        "group_label": book.label("groups", row["subgroup"]) if row["subgroup"] else "",
    }


def _toxicity(book: Book, herb: str) -> dict[str, Any] | None:
    facts = book.of(herb, "toxicity")
    if not facts:
        return None
    return {
        "id": facts[0].value,
        "label": book.label("toxicities", facts[0].value),
        "told": [book.word(facts[0])],
        "graded": book.facts.vocabularies["toxicities"].rank(facts[0].value) not in (None, 0),
    }
