"""A category as it is taught: safety, what members share and why, who they are, who stands out, what to tell apart."""

from collections.abc import Sequence
from typing import Any

from materia_exporters.site.book import Book, Row, slug
from materia_exporters.site.page import Page
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.ruler import ruler
from materia_exporters.site.sections.apart import contrast
from materia_exporters.site.tendency import Tendencies, Tendency, stand_outs
from materia_exporters.site.watch import heaviest, watch_category
from materia_exporters.site.words import amounts

_COLUMNS = {"nature": "natures", "flavor": "flavors", "channel": "channels", "direction": "directions"}


def category(book: Book, reasons: Reasons, tendencies: Tendencies, row: Row) -> Page:
    """The page of a category, of medicinals or of formulas."""
    path = f"categories/{slug(row['id'])}"
    formulas = row["scheme"] == "formulas"
    members = members_of(book, row)
    shared: list[tuple[str, list[Tendency]]] = []
    values: dict[str, Any] = {
        "row": row,
        "formulas_only": formulas,
        "count": len(members),
        "action": book.term("actions", row["defining_action"]) if row["defining_action"] else None,
        "also": []
        if formulas
        else [book.name(herb) for herb in book.herbs if row["id"] in book.row("herbs", herb)["also_in"].split(";")],
        "watch": watch_category(book, members),
    }
    if formulas:
        values["members"] = [_formula(book, member) for member in members]
    else:
        groups = [
            (group, [member for member in members if book.row("herbs", member)["subgroup"] == group["id"]])
            for group in book.groups(row["id"])
        ]
        loose = [
            member
            for member in members
            if book.row("herbs", member)["subgroup"] not in {group["id"] for group, _ in groups}
        ]
        shared = [
            ("", tendencies.of(members)),
            *((group["name_en"], tendencies.of(held)) for group, held in groups if held),
        ]
        broken: dict[str, list[Tendency]] = {}
        for _, found in shared:
            for one in found:
                for member in one.contradicted:
                    broken.setdefault(member, []).append(one)
        values |= {
            "groups": [
                (group, [_member(book, member, broken.get(member, ())) for member in held])
                for group, held in groups
                if held or not loose
            ],
            "loose": [_member(book, member, broken.get(member, ())) for member in loose],
            "shared": [(label, found) for label, found in shared if found],
            "stand_outs": _stand_outs(book, reasons, shared),
            "map": _map(book, members),
            "contrasts": _contrasts(book, members),
            "confusions": _confusions(book, members),
            "cooking": _cooking(book, members),
            "formulas": _formulas(book, members),
        }
    return Page(f"{path}.html", "category.html", row["name_en"], values)


def members_of(book: Book, row: Row) -> list[str]:
    """The members of a category in teaching order: by group, chief ones first as taught, else by name."""
    table = "formulas" if row["scheme"] == "formulas" else "herbs"
    taught = {
        unit["subject"]: (unit["unit"], int(unit["position"]) if unit["position"].isdecimal() else 0)
        for unit in book.rows("unit_subjects")
    }
    ids = dict.fromkeys(held["id"] for held in book.rows(table, "category", row["id"]))
    return sorted(ids, key=lambda id: (id not in taught, taught.get(id, ("", 0))[1], book.row(table, id)["pinyin"], id))


def _member(book: Book, herb: str, broken: Sequence[Tendency]) -> dict[str, Any]:
    forms = [row["id"] for row in book.forms(herb)]
    state, about = heaviest(book, herb, forms)
    odd = {one.predicate for one in broken}
    nature = next(iter(book.of(herb, "nature")), None)
    chief = [fact for fact in book.of(herb, "action") if fact.stated and dict(fact.qualifiers).get("weight") == "chief"]
    doses = [
        row
        for id in (herb, book.facts.default_form(herb))
        for row in book.rows("doses", "subject", id)
        if row["route"] == "decoction" and row["per"] == "day" and not row["purpose"]
    ]
    dose = doses[0] if doses else None
    return {
        "name": book.name(herb),
        "state": state,
        "about": about,
        "odd": odd,
        "nature": book.label("natures", nature.value) if nature else "",
        "ruler": ruler(book, nature.value) if nature else None,
        "status": book.row("herbs", herb)["status"],
        "flavors": _labels(book, herb, "flavor"),
        "channels": _labels(book, herb, "channel"),
        "chief": list(dict.fromkeys(book.label("actions", fact.value) for fact in chief)),
        "dose": f"{amounts(dose['min'], dose['max'])}{'' if dose['unit'] == 'g' else ' ' + dose['unit']}"
        if dose
        else "",
    }


def _labels(book: Book, herb: str, predicate: str) -> list[str]:
    return [book.label(_COLUMNS[predicate], fact.value) for fact in book.of(herb, predicate) if fact.stated]


def _stand_outs(book: Book, reasons: Reasons, shared: Sequence[tuple[str, Sequence[Tendency]]]) -> list[dict[str, Any]]:
    """Each member that breaks a tendency once, with all that it breaks, what it has instead, and why."""
    found: dict[str, dict[str, Any]] = {}
    for _, tendencies in shared:
        for member, breaks in stand_outs(tendencies, reasons).items():
            entry = found.setdefault(member, {"name": book.name(member), "breaks": {}})
            for tendency, instead in breaks:
                entry["breaks"].setdefault(tendency.pattern, (tendency, instead))
    made = []
    for entry in found.values():
        by_kind: dict[str, dict[str, Any]] = {}
        for tendency, instead in entry["breaks"].values():
            held = by_kind.setdefault(
                tendency.predicate,
                {
                    "kind": tendency.predicate,
                    "not": [],
                    "instead": [one.label for one in instead],
                    "exceptions": list(dict.fromkeys(one.exception for one in instead if one.exception)),
                    "reasons": list(dict.fromkeys((one.label, one.reasons[0]) for one in instead if one.reasons)),
                },
            )
            held["not"].append(tendency)
        made.append({"name": entry["name"], "breaks": list(by_kind.values())})
    return made


def _map(book: Book, members: Sequence[str]) -> dict[str, Any] | None:
    """Members by nature (across, those that occur, in order) and flavour (down); one with two flavours stands twice."""
    held: dict[tuple[str, str], list[Any]] = {}
    for member in members:
        for nature in book.of(member, "nature"):
            for flavor in book.of(member, "flavor"):
                if nature.stated and flavor.stated:
                    held.setdefault((flavor.value, nature.value), []).append(book.name(member))
    rank = book.facts.vocabularies["natures"].rank
    natures = sorted({nature for _, nature in held}, key=lambda id: (rank(id) or 0, id))
    flavors = [id for id in book.facts.vocabularies["flavors"].ids if any(flavor == id for flavor, _ in held)]
    count = {flavor: sum(len(names) for (one, _), names in held.items() if one == flavor) for flavor in flavors}
    if not held:
        return None
    flavors.sort(key=lambda id: (-count[id], id))
    return {
        "natures": [(id, book.label("natures", id)) for id in natures],
        "rows": [
            (
                book.label("flavors", flavor),
                [
                    (book.label("natures", nature), nature == "neutral", held.get((flavor, nature), []))
                    for nature in natures
                ],
            )
            for flavor in flavors
        ],
    }


def _contrasts(book: Book, members: Sequence[str]) -> list[dict[str, Any]]:
    held = set(members)
    named = dict.fromkeys(row["contrast"] for row in book.rows("contrast_points"))
    made = []
    for id in named:
        subjects = {
            book.facts.herb_of(row["subject"])
            for row in book.rows("contrast_points", "contrast", id)
            if row["subject"] in book.facts.number
        }
        if subjects & held and len(subjects & held) * 2 >= len(subjects):
            made.append(contrast(book, id))
    return made


def _confusions(book: Book, members: Sequence[str]) -> list[dict[str, Any]]:
    made = []
    for row in book.rows("confusions"):
        if row["harm"] and (row["a"] in members or row["b"] in members):
            mine, other = (row["a"], row["b"]) if row["a"] in members else (row["b"], row["a"])
            made.append(row | {"mine": book.name(mine), "other": book.name(other)})
    return made


def _cooking(book: Book, members: Sequence[str]) -> list[dict[str, Any]]:
    """By way of cooking the members that need it, as required or usual; `ordinary` is left out."""
    held: dict[str, list[tuple[Any, str, str]]] = {}
    for member in members:
        for fact in book.of(book.facts.default_form(member), "handling"):
            row = book.row_of(fact)
            if fact.value != "ordinary" and row["force"] != "optional":
                held.setdefault(fact.value, []).append(
                    (book.name(member), row["force"], amounts(row["minutes_min"], row["minutes_max"]))
                )
    return [{"term": book.term("handlings", handling), "members": found} for handling, found in sorted(held.items())]


def _formulas(book: Book, members: Sequence[str]) -> list[dict[str, Any]]:
    held: dict[str, list[Any]] = {}
    for row in book.rows("formula_items"):
        herb = book.facts.herb_of(row["subject"]) if row["subject"] in book.facts.number else row["subject"]
        if herb in members and herb not in [name.id for name in held.get(row["formula"], [])]:
            held.setdefault(row["formula"], []).append(book.name(herb))
    return [
        {"formula": book.name(id), "members": names}
        for id, names in sorted(held.items(), key=lambda pair: (-len(pair[1]), pair[0]))
        if book.row("formulas", id)["id"]
    ]


def _formula(book: Book, id: str) -> dict[str, Any]:
    state, about = heaviest(book, id)
    items = book.rows("formula_items", "formula", id)
    return {
        "name": book.name(id),
        "state": state,
        "about": about,
        "actions": [book.label("actions", fact.value) for fact in book.of(id, "action") if fact.stated],
        "chiefs": [book.name(item["subject"]) for item in items if "chief" in item["roles"].split(";")],
        "items": len(items),
    }
