"""A formula: safety first, then its items and why each is there, how it is cooked, what it weighs, and who says so."""

from collections.abc import Sequence
from itertools import combinations
from typing import Any

from materia_exporters.site.book import Book, Row, place
from materia_exporters.site.history import History
from materia_exporters.site.linked import subject_data
from materia_exporters.site.markdown import markdown
from materia_exporters.site.page import Page
from materia_exporters.site.sections.layers import layers
from materia_exporters.site.sections.record import courses, sources
from materia_exporters.site.watch import Item, antagonism_lists, antagonists, heaviest, watch_formula
from materia_exporters.site.words import STATES, amounts, capital, decimal

_FIRST = ("decoct-for-water", "decoct-first")
_LATE = ("add-late",)
_APART = (
    "separate",
    "dissolve",
    "melt",
    "take-powder",
    "juice",
    "steep",
    "not-decocted",
    "with-wine",
    "pills-powder-only",
)
_FORCE = ("required", "usual", "optional", "")


def formula(book: Book, history: History, id: str) -> Page:
    """The page of a formula."""
    row = book.row("formulas", id)
    items = sorted(book.rows("formula_items", "formula", id), key=lambda item: place(item["position"]))
    name = book.name(id)
    clash = clashes(book, id, items)
    values: dict[str, Any] = {
        "name": name,
        "row": row,
        "category": {"id": row["category"], "label": book.label("categories", row["category"])},
        "source_text": book.row("sources", row["source_text"]) if row["source_text"] else None,
        "dosage_form": book.label("dosage_forms", row["dosage_form"]) if row["dosage_form"] else "",
        "actions": [book.term("actions", fact.value) for fact in book.of(id, "action") if fact.stated],
        "indications": book.labels("indications", row["indications"]),
        "derived_from": book.names(other for other in row["derived_from"].split(";") if other),
        "derived": book.names(other["id"] for other in book.derived.get(id, ())),
        "courses": courses(book, id),
        "layers": layers(
            book,
            [id],
            [book.facts.default_form(item["subject"]) for item in items if item["subject"] in book.facts.number],
        ),
        "watch": watch_formula(book, id, [item["subject"] for item in items], map(_watched, clash)),
        "clashes": clash,
        "items": [_item(book, item) for item in items],
        "amounts": _amounts_are(row, items),
        "steps": _steps(book, row, items),
        "balance": _balance(book, items),
        "doses": [
            row
            | {
                "route_label": book.label("routes", row["route"]),
                "amount": amounts(row["min"], row["max"]),
                "told": [book.told(row)],
            }
            for row in book.rows("doses", "subject", id)
        ],
        "law": [
            row
            | {
                "level_label": book.label("levels", row["level"]),
                "where": book.label("jurisdictions", row["jurisdiction"]),
                "instrument_title": book.label("sources", row["instrument"]),
                "told": [book.told(row)],
            }
            for row in book.rows("controls", "subject", id)
        ],
        "aids": book.rows("aids", "subject", id),
        "other_names": [
            {"name": row["name"], "lang": row["lang"], "kind": row["kind"]} for row in book.rows("names", "subject", id)
        ],
        "told": [book.told(row)],
        "sources": sources(book, book.of(id)),
        "places": list(
            book.places(("formulas", "id", id), ("formula_items", "formula", id), ("cautions", "subject", id))
        ),
        "changed": history.of([id]),
    }
    path, title = book.href(id), f"{name.hans} {name.pinyin}, {name.en}"
    beside = {".jsonld": subject_data(book, path, [id]), ".md": markdown("formula", path, title, values)}
    return Page(path, "formula.html", title, values, beside)


def clashes(book: Book, id: str, items: Sequence[Row]) -> list[dict[str, Any]]:
    """Antagonisms between items, heaviest first, with the exception that names each. Alternatives never clash."""
    made = []
    exceptions = book.rows("exceptions", "subject", id)
    for one, other in combinations({item["subject"]: item for item in items}.values(), 2):
        if one["alternative_to"] == other["position"] or other["alternative_to"] == one["position"]:
            continue
        for state, against in _between(book, one["subject"], other["subject"]):
            words, told = antagonism_lists(book, *against)
            reason = next(
                (
                    row
                    for row in exceptions
                    for pair in (row["value"].split("+"),)
                    if {book.facts.herb_of(part) for part in pair if part in book.facts.number}
                    == {book.facts.herb_of(one["subject"]), book.facts.herb_of(other["subject"])}
                ),
                None,
            )
            made.append(
                {
                    "state": state,
                    "pair": book.names((one["subject"], other["subject"])),
                    "lists": words,
                    "told": told,
                    "exception": reason,
                    "exception_told": [book.told(reason | {"basis": "", "locator": ""})] if reason else [],
                }
            )
    return sorted(made, key=lambda clash: STATES.index(clash["state"]) if clash["state"] in STATES else 0)


def _watched(clash: dict[str, Any]) -> tuple[str, Item]:
    meant = "Here on purpose, with the exception recorded below." if clash["exception"] else "No exception is recorded."
    return clash["state"], Item(
        "Antagonism", "", tuple(clash["pair"]), f"{capital(clash['lists'])}. {meant}", "", clash["told"]
    )


def _between(book: Book, one: str, other: str) -> list[tuple[str, tuple[str, str]]]:
    """The heaviest antagonism between two items, read in their default forms; a herb's covers its forms."""
    if one not in book.facts.number or other not in book.facts.number:
        return []
    mine = {one, book.facts.default_form(one)}
    reach = {other, book.facts.default_form(other), book.facts.herb_of(other)}
    found = [
        (state, (subject, against))
        for subject in sorted(mine)
        for state, others in antagonists(book, subject).items()
        for against in others
        if against in reach
    ]
    return sorted(found, key=lambda pair: STATES.index(pair[0]) if pair[0] in STATES else 0)[:1]


def _item(book: Book, row: Row) -> dict[str, Any]:
    subject = row["subject"]
    default = book.facts.default_form(subject) if subject in book.facts.number else subject
    state, about = heaviest(book, default) if default in book.facts.number else ("not-checked", "")
    acts_on = row["acts_on"]
    on = book.name(acts_on) if book.materia.package.subject_table(acts_on) else None
    label = next(
        (
            book.label(table, acts_on)
            for table in ("causes", "actions", "sites", "indications", "targets")
            if book.row(table, acts_on).get("id")
        ),
        acts_on,
    )
    return row | {
        "name": book.name(subject),
        "read_as": book.name(default) if default != subject else None,
        "roles_list": [role for role in row["roles"].split(";") if role],
        "handling_label": book.label("handlings", row["handling"]) if row["handling"] else "",
        "state": state,
        "about": about,
        "acts_on_name": on,
        "acts_on_label": label if acts_on else "",
        "told": [book.told(row)],
        "alternative": next(
            (
                book.name(other["subject"])
                for other in book.rows("formula_items", "formula", row["formula"])
                if row["alternative_to"] and other["position"] == row["alternative_to"]
            ),
            None,
        ),
    }


def _amounts_are(row: Row, items: Sequence[Row]) -> dict[str, Any]:
    return {
        "are": row["amounts_are"],
        "grams": any(item["amount_g"] for item in items),
        "parts": any(item["amount_parts"] for item in items),
        "classical": any(item["amount_classical"] for item in items),
        "batch_days": row["batch_days"],
    }


def _steps(book: Book, row: Row, items: Sequence[Row]) -> list[dict[str, Any]]:
    """How it is cooked, in order, where it is boiled: each step with its items, minutes where stated, how binding."""
    if row["dosage_form"] not in ("decoction", "boiled-powder", "water-decoction"):
        return []
    steps: dict[str, dict[str, list[dict[str, Any]]]] = {key: {} for key in ("first", "rest", "late", "apart")}
    for item in items:
        subject = item["subject"]
        asked = {
            "purpose": "",
            "handling": item["handling"],
            "force": "required",
            "minutes_min": "",
            "minutes_max": "",
            "detail": "",
        }
        known = [
            row
            for one in (book.facts.default_form(subject) if subject in book.facts.number else subject, subject)
            for row in book.rows("handling", "subject", one)
        ]
        plans = [
            row for row in known if row["handling"] == item["handling"] or (not item["handling"] and not row["purpose"])
        ]
        if item["handling"] and not plans:
            plans = [asked]
        plans = [plan for plan in plans if plan["force"] != "optional" or item["handling"]]
        placed = next((plan for plan in plans if _step(plan["handling"]) != "rest"), None)
        beside = [
            book.label("handlings", plan["handling"])
            for plan in plans
            if _step(plan["handling"]) == "rest" and plan["handling"] not in ("", "ordinary")
        ]
        key = _step(placed["handling"]) if placed else "rest"
        handling = placed["handling"] if placed else ""
        steps[key].setdefault(handling, []).append(
            {
                "name": book.name(subject),
                "amount": item["amount_g"],
                "beside": list(dict.fromkeys(beside)),
                "force": placed["force"] if placed else "",
                "minutes": amounts(placed["minutes_min"], placed["minutes_max"]) if placed else "",
            }
        )
    return [
        {
            "step": key,
            "handling": book.label("handlings", handling) if handling else "",
            "items": found,
            "force": min(
                (item["force"] for item in found), key=lambda force: _FORCE.index(force) if force in _FORCE else 9
            ),
        }
        for key, by_handling in steps.items()
        for handling, found in by_handling.items()
    ]


def _step(handling: str) -> str:
    return "first" if handling in _FIRST else "late" if handling in _LATE else "apart" if handling in _APART else "rest"


def _balance(book: Book, items: Sequence[Row]) -> list[dict[str, Any]]:
    """Grams (or parts) by nature, coldest first; nothing unless every item has an amount and two natures appear."""
    column = "amount_g" if items and all(decimal(item["amount_g"]) is not None for item in items) else "amount_parts"
    weights: dict[str, float] = {}
    whose: dict[str, dict[str, None]] = {}
    for item in items:
        weight = decimal(item[column])
        subject = item["subject"]
        nature = (
            next(iter(book.of(book.facts.default_form(subject), "nature")), None)
            if subject in book.facts.number
            else None
        )
        if weight is None or nature is None:
            return []
        weights[nature.value] = weights.get(nature.value, 0) + weight
        whose.setdefault(nature.value, {})[subject] = None
    if len(weights) < 2:
        return []
    rank = book.facts.vocabularies["natures"].rank
    most = max(weights.values()) or 1
    unit = "g" if column == "amount_g" else "parts"
    return [
        {
            "label": book.label("natures", id),
            "weight": f"{weights[id]:g}",
            "unit": unit,
            "names": book.names(whose[id]),
            "width": round(200 * weights[id] / most, 1),
        }
        for id in sorted(weights, key=lambda id: (rank(id) or 0, id))
    ]
