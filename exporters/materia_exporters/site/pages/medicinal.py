"""A medicinal with its forms: safety first, then what it is and why, what it does, how it is given, and who says so."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from materia_data import Fact, Property
from materia_exporters.site.book import Book, Name, Row
from materia_exporters.site.page import Page
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.ruler import ruler
from materia_exporters.site.watch import antagonism_lists, antagonists, heaviest, watch_medicinal
from materia_exporters.site.words import amounts, plain

_ALSO = (("direction", "directions"), ("part", "parts"), ("trait", "traits"), ("method", "methods"))
_WEIGHTS = ("chief", "secondary", "", "minor")
_OWN = ("nature", "flavor", "channel", "direction", "part", "trait")


def medicinal(book: Book, reasons: Reasons, herb: str) -> Page:
    """The page of a herb."""
    row = book.row("herbs", herb)
    forms = book.forms(herb)
    ids = [herb, *(form["id"] for form in forms)]
    default = book.facts.default_form(herb)
    values = {
        "name": book.name(herb),
        "row": row,
        "note": row["note"],
        "category": _category(book, row),
        "also_in": [(book.label("categories", id), id) for id in row["also_in"].split(";") if id],
        "from": book.name(row["from"]) if row["from"] in book.herbs else None,
        "parts_of": [book.name(other) for other in book.herbs if book.row("herbs", other)["from"] == herb],
        "units": [book.row("units", fact.value) | {"depth": _depth(book, fact)} for fact in book.of(herb, "taught-in")],
        "status": row["status"] if row["status"] not in ("", "current") else "",
        "toxicity": _toxicity(book, herb),
        "watch": watch_medicinal(book, herb),
        "law_in_short": _law_in_short(book, ids),
        "facts": _facts(book, reasons, herb),
        "also": list(_also(book, herb)),
        "origin": _origin(book, ids),
        "actions": _actions(book, herb),
        "forms": [_form(book, form, default) for form in forms],
        "default": book.name(default) if default != herb else None,
        "doses": _doses(book, ids),
        "handling": _handling(book, ids),
        "never": _never(book, herb),
        "pairs": _pairs(book, ids),
        "contrasts": _contrasts(book, ids),
        "confusions": _confusions(book, ids),
        "formulas": _formulas(book, ids),
        "law": _law(book, ids),
        "aids": [row for id in ids for row in book.rows("aids", "subject", id)],
        "other_names": _other_names(book, ids),
        "sources": sources(book, [fact for id in ids for fact in book.of(id) if not fact.inherited_from]),
        "places": _places(book, ids),
    }
    name = book.name(herb)
    return Page(
        f"medicinals/{book.href(herb).rpartition('/')[2]}",
        "medicinal.html",
        f"{name.hans} {name.pinyin}, {name.en}",
        values,
    )


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


def _category(book: Book, row: Row) -> dict[str, str]:
    return {
        "id": row["category"],
        "label": book.label("categories", row["category"]),
        "group": row["subgroup"],
        "group_label": book.label("groups", row["subgroup"]) if row["subgroup"] else "",
    }


def _depth(book: Book, fact: Fact) -> str:
    return book.row_of(fact).get("depth", "")


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


def _facts(book: Book, reasons: Reasons, herb: str) -> list[dict[str, Any]]:
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


def _also(book: Book, herb: str) -> list[dict[str, Any]]:
    return [
        {"kind": predicate, "label": book.label(table, fact.value), "told": [book.word(fact)]}
        for predicate, table in _ALSO
        for fact in book.of(herb, predicate)
        if fact.stated
    ]


def _origin(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
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


def _actions(book: Book, herb: str) -> list[dict[str, Any]]:
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


def _form(book: Book, row: Row, default: str) -> dict[str, Any]:
    form = row["id"]
    own = {
        predicate: [book.label(f"{predicate}s", fact.value) for fact in book.facts.own(form, predicate)]
        for predicate in _OWN
    }
    changed = []
    for fact in book.facts.own(form, "action"):
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


def _doses(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    made = []
    for id in ids:
        unsure = {fact.line for fact in book.facts.looser if fact.subject == id and fact.table == "doses"}
        table = book.tables["doses"]
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
                    "confirmed": table.lines[i] not in unsure,
                }
            )
    stated = {id for id in ids if book.rows("doses", "subject", id)}
    silent = [
        book.name(id) for id in ids if id not in stated and not book.of(id, "dose-max") and not book.of(id, "dose-min")
    ]
    return [*made, *({"of": name, "silent": True} for name in silent)]


def _handling(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
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


def _never(book: Book, herb: str) -> list[dict[str, Any]]:
    """By state whom it must not be combined with, and in what words; those of whom the same is said together."""
    made = []
    for state, others in antagonists(book, herb).items():
        alike: dict[Any, list[Name]] = {}
        for other in others:
            lists, told = antagonism_lists(book, herb, other)
            alike.setdefault((lists, _antagonism_detail(book, herb, other), told), []).append(book.name(other))
        said = [
            {"others": names, "lists": lists, "detail": detail, "told": told}
            for (lists, detail, told), names in alike.items()
        ]
        made.append({"state": state, "others": book.names(others), "said": said})
    return made


def _antagonism_detail(book: Book, herb: str, other: str) -> str:
    facts = [fact for fact in book.of(herb, "opposes") if fact.value == other]
    return " ".join(dict.fromkeys(row["detail"] for row in map(book.row_of, facts) if row.get("detail")))


def _pairs(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    """Whom it is combined with on purpose: by partners and relation, with each effect on record."""
    made: dict[Any, dict[str, Any]] = {}
    for row in book.rows("pairs"):
        members = row["subjects"].split(";")
        mine = next((id for id in ids if id in members), None)
        if mine is None:
            continue
        others = tuple(id for id in members if id != mine)
        word = _relation(row["relation"], members[0] == mine)
        entry = made.setdefault(
            (mine, others, word),
            {
                "others": book.names(others),
                "word": word,
                "effects": [],
                "of": book.name(mine) if mine != ids[0] else None,
            },
        )
        entry["effects"].append((row["effect"], [book.told(row)]))
    return sorted(made.values(), key=lambda entry: -len(entry["effects"]))


def _relation(relation: str, first: bool) -> str:
    said = {
        "restrained-by": ("is restrained by it", "restrains it"),
        "restrains": ("restrains it", "is restrained by it"),
        "weakened-by": ("is weakened by it", "weakens it"),
        "need": ("strengthen each other", "strengthen each other"),
        "assist": ("is assisted by it", "assists it"),
    }
    return said[relation][not first] if relation in said else plain(relation)


def _contrasts(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    named = dict.fromkeys(row["contrast"] for id in ids for row in book.rows("contrast_points", "subject", id))
    return [contrast(book, id) for id in named]


def contrast(book: Book, id: str) -> dict[str, Any]:
    """A recorded contrast: what its subjects share, and by axis what each has."""
    row = book.row("contrasts", id)
    points = book.rows("contrast_points", "contrast", id)
    axes = list(dict.fromkeys(point["axis"] for point in points))
    subjects = list(dict.fromkeys(point["subject"] for point in points))
    said = {(point["subject"], point["axis"]): point["point"] for point in points}
    return {
        "shared": row["shared"],
        "axes": [book.label("axes", axis) for axis in axes],
        "told": [book.told(row)],
        "subjects": [(book.name(subject), [said.get((subject, axis), "") for axis in axes]) for subject in subjects],
    }


def _confusions(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    made = []
    for id in ids:
        rows = [
            *book.rows("confusions", "a", id),
            *(row for row in book.rows("confusions", "b", id) if row["a"] not in ids),
        ]
        made += [
            row
            | {
                "other": book.name(row["b"] if row["a"] == id else row["a"]),
                "of": book.name(id) if id != ids[0] else None,
                "told": [book.told(row)],
            }
            for row in rows
        ]
    return sorted(made, key=lambda row: not row["harm"])


def _formulas(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    return [
        {
            "formula": book.name(row["formula"]),
            "of": book.name(id) if id != ids[0] else None,
            "roles": row["roles"].split(";") if row["roles"] else [],
            "function": row["function"],
            "reason": row["reason"],
            "told": [book.told(row)],
        }
        for id in ids
        for row in book.rows("formula_items", "subject", id)
    ]


def _law(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
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


def _law_in_short(book: Book, ids: Sequence[str]) -> list[str]:
    said = (
        f"{book.label('levels', row['level'])}, {book.label('jurisdictions', row['jurisdiction'])}"
        for id in ids
        for row in book.rows("controls", "subject", id)
    )
    return list(dict.fromkeys(said))


def _other_names(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
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


def _places(book: Book, ids: Sequence[str]) -> list[tuple[str, list[int]]]:
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
