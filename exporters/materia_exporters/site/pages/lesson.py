"""What a lesson on a category or a group shows: what is shared and why, who stands out, what is told apart."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from materia_exporters.site.book import Book, Row
from materia_exporters.site.pictures import Grid, grid
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.ruler import ruler
from materia_exporters.site.sections.apart import contrast
from materia_exporters.site.tendency import Lesson, Tendencies, Tendency, stand_outs
from materia_exporters.site.watch import heaviest
from materia_exporters.site.words import amounts

_COLUMNS = {"nature": "natures", "flavor": "flavors", "channel": "channels", "direction": "directions"}
_FULL = 50  # formulas or members on a page; of more, what can be spared is left out
_MANY = 3  # members in one formula that make it worth naming where the whole of a large category is looked at
Groups = Sequence[tuple[Row, Sequence[str]]]


class Lessons:
    """The lessons of one package."""

    def __init__(self, book: Book, reasons: Reasons) -> None:
        self._book = book
        self._reasons = reasons
        self._tendencies = Tendencies(book, reasons)

    def kept(self, lessons: Mapping[str, Lesson]) -> None:
        """Take lessons as they were worked out before."""
        self._tendencies.lessons.update(lessons)

    def all(self) -> dict[str, Lesson]:
        """The lesson of every category of medicinals and of every group, by id."""
        book = self._book
        ids = [row["id"] for row in book.categories if row["scheme"] != "formulas"]
        return {id: self._tendencies.of(id) for id in [*ids, *(row["id"] for row in book.rows("groups"))]}

    def whole(self, row: Row, groups: Groups, loose: Sequence[str]) -> dict[str, Any]:
        """Everything at once. groups: with their members; loose: members in no group."""
        book = self._book
        members = [*(member for _, held in groups for member in held), *loose]
        top = self._tendencies.of(row["id"])
        below = [(group, self._tendencies.of(group["id"])) for group, held in groups if held]
        parts = [("", "", top), *((group["name_en"], "", lesson) for group, lesson in below)]
        broken = _broken(parts)
        formulas = _formulas(book, members)
        small = len(members) <= _FULL
        least = 1 if len(formulas) <= _FULL else 2
        return {
            **self._common(members, parts, top),
            "groups": [
                (group, "", [_member(book, one, broken.get(one, ()), small) for one in held]) for group, held in groups
            ],
            "loose": [_member(book, member, broken.get(member, ()), small) for member in loose],
            "contrasts": [contrast(book, id) for id in _contrasts(book, members)],
            "formulas": [one for one in formulas if len(one["members"]) >= least],
            "divides": [],
            "least": least,
        }

    def overview(self, row: Row, groups: Groups, loose: Sequence[str]) -> dict[str, Any]:
        """The whole of a large category: of a group its members' names, of what stands on a group's page nothing."""
        book = self._book
        members = [*(member for _, held in groups for member in held), *loose]
        top = self._tendencies.of(row["id"])
        below = [(group, self._tendencies.of(group["id"])) for group, held in groups if held]
        parts = [("", "", top), *((group["name_en"], book.group_href(group["id"]), lesson) for group, lesson in below)]
        broken = _broken(parts[:1])
        elsewhere = {id for _, held in groups for id in _contrasts(book, held)}
        return {
            **self._common(members, parts, top),
            "stand_outs": [],
            "divides": [_divide(book, self._reasons, one) for one in top.shared if one.clear and one.contradicted],
            "groups": [(group, book.group_href(group["id"]), _marked(book, held)) for group, held in groups],
            "loose": [_member(book, member, broken.get(member, ())) for member in loose],
            "contrasts": [contrast(book, id) for id in _contrasts(book, members) if id not in elsewhere],
            "formulas": [one for one in _formulas(book, members) if len(one["members"]) >= _MANY],
            "least": _MANY,
        }

    def _common(self, members: Sequence[str], parts: Sequence[tuple[str, str, Lesson]], top: Lesson) -> dict[str, Any]:
        book = self._book
        return {
            "counted": top.members,
            "shared": [(label, href, lesson.shared) for label, href, lesson in parts if lesson.shared],
            "stand_outs": _stand_outs(book, self._reasons, [one for *_, lesson in parts for one in lesson.shared]),
            "alone": [(book.name(id), top.alone[id]) for id in members if id in top.alone],
            "map": _map(book, members),
            "grids": _grids(book, members),
            "confusions": _confusions(book, members),
            "cooking": _cooking(book, members),
        }


def _grids(book: Book, members: Sequence[str]) -> list[Grid]:
    """The maps that are drawn; of very many members the one by flavour alone."""
    asked = ("flavor", "channel") if len(members) <= _FULL else ("flavor",)
    return [one for one in (grid(book, members, predicate) for predicate in asked) if one]


def _broken(parts: Iterable[tuple[str, str, Lesson]]) -> dict[str, list[Tendency]]:
    found: dict[str, list[Tendency]] = {}
    for *_, lesson in parts:
        for one in lesson.shared:
            for member in one.contradicted if one.clear else ():
                found.setdefault(member, []).append(one)
    return found


def _marked(book: Book, members: Sequence[str]) -> list[dict[str, Any]]:
    return [
        {"name": book.name(herb), "state": heaviest(book, herb, [row["id"] for row in book.forms(herb)])[0]}
        for herb in members
    ]


def _member(book: Book, herb: str, broken: Sequence[Tendency], small: bool = True) -> dict[str, Any]:
    forms = [row["id"] for row in book.forms(herb)]
    state, about = heaviest(book, herb, forms)
    odd = sorted({one.predicate for one in broken})
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
        "ruler": ruler(book, nature.value) if nature and small else None,
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


def _stand_outs(book: Book, reasons: Reasons, tendencies: Iterable[Tendency]) -> list[dict[str, Any]]:
    """Each member that breaks a tendency once, with all that it breaks, what it has instead, and why."""
    found: dict[str, dict[str, Any]] = {}
    for member, breaks in stand_outs(tendencies, reasons).items():
        by_kind: dict[str, dict[str, Any]] = {}
        for tendency, instead in {tendency.pattern: (tendency, held) for tendency, held in breaks}.values():
            held = by_kind.setdefault(
                tendency.predicate,
                {
                    "kind": tendency.predicate,
                    "not": [],
                    "instead": [one.label for one in instead] or [tendency.instead[member]],
                    "exceptions": list(dict.fromkeys(one.exception for one in instead if one.exception)),
                    "reasons": list(dict.fromkeys((one.label, one.reasons[0]) for one in instead if one.reasons)),
                },
            )
            held["not"].append(tendency)
        found[member] = {"name": book.name(member), "breaks": list(by_kind.values())}
    return list(found.values())


def _divide(book: Book, reasons: Reasons, tendency: Tendency) -> dict[str, Any]:
    """Who breaks a tendency by what they have instead, the commonest first, with the commonest reasons for that."""
    by_value: dict[str, tuple[list[str], Counter[tuple[str, str]]]] = {}
    given: dict[str, Any] = {}
    for member, ((_, instead),) in stand_outs([tendency], reasons).items():
        has = ", ".join(one.label for one in instead) or tendency.instead[member]
        who, why = by_value.setdefault(has, ([], Counter()))
        who.append(member)
        for one in instead:
            for reason in one.reasons[:1]:
                given[reason.rule] = reason
                why[one.label, reason.rule] += 1
    return {
        "tendency": tendency,
        "instead": [
            {
                "has": has,
                "names": book.names(who),
                "reasons": [(label, given[rule]) for (label, rule), _ in why.most_common(2)],
            }
            for has, (who, why) in sorted(by_value.items(), key=lambda item: -len(item[1][0]))
        ],
    }


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


def _contrasts(book: Book, members: Sequence[str]) -> list[str]:
    """The recorded contrasts of which at least half the subjects are members."""
    held = set(members)
    return [id for id, who in book.contrasted.items() if who & held and len(who & held) * 2 >= len(who)]


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
