"""Formulas: amounts, what must not be cooked, and what must not stand together."""

from collections.abc import Iterator

from materia_data.check.checks._subjects import herb_of, withdrawn
from materia_data.check.registry import check
from materia_data.check.rows import Row, rows
from materia_data.facts.amount import number
from materia_data.facts.facts import Facts
from materia_data.problem import Problem
from materia_data.read.package import Package

_NOT_COOKED = ("pills-powder-only", "not-decocted")
_COOKED = ("decoction", "boiled-powder")
_BESIDE_THE_POT = ("take-powder", "dissolve", "melt", "with-wine", "steep", "juice", *_NOT_COOKED)
_ROUTES = {
    "decoction": "decoction",
    "boiled-powder": "decoction",
    "powder": "powder",
    "pill": "pill",
    "honey-pill": "pill",
    "water-pill": "pill",
    "paste-pill": "pill",
    "concentrated-pill": "pill",
    "medicinal-wine": "wine",
}
_STATES = ("caution", "avoid", "contraindicated")
_ITEM = {"formula": "demo-tang", "position": 3}


@check(
    id="item-twice",
    scope="package",
    severity="error",
    why="One of the two is a slip, and the amounts would be added up.",
    passes=[
        {"formula_items": [_ITEM | {"subject": "demo-kelp"}]},
        {"formula_items": [_ITEM | {"subject": "demo-leaf", "alternative_to": 2}]},
    ],
    fails=[{"formula_items": [_ITEM | {"subject": "demo-leaf"}]}],
)
def item_twice(package: Package) -> Iterator[Problem]:
    """Yield a problem for each item that stands in its formula already; alternatives do not count."""
    first: dict[tuple[str, str], str] = {}
    for item in rows(package.tables["formula_items"]):
        if item.alternative_to is None:
            other = first.setdefault((item.formula, item.subject), item.key)
            if other != item.key:
                place = other.partition("|")[2]
                tip = "Delete one of the two, or name the right medicinal."
                yield item.problem("subject", f"{item.subject} is item {place} of {item.formula} already.", tip=tip)


@check(
    id="item-above-largest-dose",
    scope="facts",
    severity="error",
    why="A recipe is copied as it stands, onto a prescription.",
    safety=True,
    passes=[
        {"formula_items": [_ITEM | {"subject": "demo-root", "amount_g": "3"}]},
        {
            "formulas": [{"id": "demo-tang", "amounts_are": "batch"}],
            "formula_items": [_ITEM | {"subject": "demo-root", "amount_g": "30"}],
        },
        {
            "doses": [{"subject": "demo-root.zhi", "purpose": "emergency", "max": "15"}],
            "formula_items": [_ITEM | {"subject": "demo-root", "amount_g": "12"}],
        },
    ],
    fails=[
        {"formula_items": [_ITEM | {"subject": "demo-root", "amount_g": "3.5"}]},
        {"formula_items": [_ITEM | {"subject": "demo-kelp", "amount_g": "30"}]},
    ],
)
def item_above_largest_dose(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each daily amount above the largest daily dose of grown persons for the formula's route,
    over all purposes.

    A bare name is measured by its default form. Where no such dose is recorded nothing is said.
    """
    formulas = {formula.id: formula for formula in rows(facts.package.tables["formulas"])}
    ceilings: dict[tuple[str, str], float | None] = {}
    for item in rows(facts.package.tables["formula_items"]):
        formula = formulas.get(item.formula)
        if (
            item.amount_g is None
            or formula is None
            or formula.amounts_are != "daily"
            or item.subject not in facts.number
        ):
            continue
        route = _ROUTES.get(formula.dosage_form)
        if route is None:
            continue
        meant = facts.default_form(item.subject)
        if (meant, route) not in ceilings:
            ceilings[meant, route] = _ceiling(facts, meant, route)
        ceiling = ceilings[meant, route]
        if ceiling is not None and item.amount_g > ceiling:
            message = (
                f"{item.amount_g:g} g of {item.subject} a day is above the largest dose of {meant}, {ceiling:g} g."
            )
            tip = f"Correct the amount, or record an exception for {item.formula} that says why so much is given."
            yield item.problem("amount_g", message, tip=tip)


@check(
    id="pills-only-item-in-decoction",
    scope="facts",
    severity="error",
    why="Cooking it wastes it, or makes it poisonous.",
    safety=True,
    passes=[
        {
            "handling": [{"subject": "demo-kelp", "handling": "pills-powder-only", "force": "required"}],
            "formula_items": [_ITEM | {"subject": "demo-kelp", "handling": "pills-powder-only"}],
        },
        {
            "handling": [{"subject": "demo-kelp", "handling": "pills-powder-only", "force": "usual"}],
            "formula_items": [_ITEM | {"subject": "demo-kelp"}],
        },
        {
            "formulas": [{"id": "demo-tang", "dosage_form": "pill"}],
            "handling": [{"subject": "demo-kelp", "handling": "pills-powder-only", "force": "required"}],
            "formula_items": [_ITEM | {"subject": "demo-kelp"}],
        },
    ],
    fails=[
        {
            "handling": [{"subject": "demo-kelp", "handling": "pills-powder-only", "force": "required"}],
            "formula_items": [_ITEM | {"subject": "demo-kelp"}],
        },
        {
            "forms": [{"id": "demo-kelp.fen", "herb": "demo-kelp", "kind": "powder"}],
            "handling": [{"subject": "demo-kelp", "handling": "pills-powder-only", "force": "required"}],
            "formula_items": [_ITEM | {"subject": "demo-kelp.fen"}],
        },
    ],
)
def pills_only_item_in_decoction(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each item of a cooked formula that must not be cooked, unless its own handling keeps it out
    of the pot."""
    cooked = {formula.id for formula in rows(facts.package.tables["formulas"]) if formula.dosage_form in _COOKED}
    barred: dict[str, str] = {}
    for item in rows(facts.package.tables["formula_items"]):
        if item.formula not in cooked or item.subject not in facts.number or item.handling in _BESIDE_THE_POT:
            continue
        if item.subject not in barred:
            barred[item.subject] = _kept_from_pot(facts, item.subject)
        if barred[item.subject]:
            message = f"{item.subject} is {barred[item.subject]}, and {item.formula} is cooked."
            tip = (
                "Write in the item's handling how it is taken beside the decoction (take-powder, dissolve …), "
                "or correct the item."
            )
            yield item.problem("subject", message, tip=tip)


@check(
    id="withdrawn-item-without-substitute",
    scope="facts",
    severity="error",
    why="A formula that nobody may dispense must say what is dispensed instead.",
    safety=True,
    passes=[
        {
            "herbs": [{"id": "demo-leaf", "status": "withdrawn"}],
            "controls": [{"subject": "demo-leaf", "substitute": "demo-seed"}],
        },
        {"herbs": [{"id": "demo-kelp", "status": "withdrawn"}]},
    ],
    fails=[{"herbs": [{"id": "demo-leaf", "status": "withdrawn"}], "controls": [{"subject": "demo-leaf"}]}],
)
def withdrawn_item_without_substitute(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each item of a withdrawn medicinal for which no control names a substitute."""
    replaced = {
        herb_of(facts, control.subject) for control in rows(facts.package.tables["controls"]) if control.substitute
    }
    for item in rows(facts.package.tables["formula_items"]):
        if withdrawn(facts, item.subject) and herb_of(facts, item.subject) not in replaced:
            tip = f"Name the lawful substitute of {herb_of(facts, item.subject)} in herbs/controls.csv."
            yield item.problem("subject", f"{item.subject} is withdrawn, and no substitute is named.", tip=tip)


@check(
    id="antagonism-in-formula",
    scope="facts",
    severity="error",
    why="What must not be combined stands together in one recipe.",
    safety=True,
    passes=[
        {"formula_items": [_ITEM | {"subject": "demo-kelp"}]},
        {
            "formula_items": [
                _ITEM | {"subject": "demo-kelp"},
                _ITEM | {"position": 4, "subject": "demo-root", "alternative_to": 3},
            ]
        },
        {
            "forms": [{"id": "demo-kelp.chao", "herb": "demo-kelp", "kind": "prepared", "method": "stir-frying"}],
            "antagonisms": [{"a": "demo-kelp.chao", "b": "demo-seed"}],
            "formula_items": [_ITEM | {"subject": "demo-kelp"}],
        },
    ],
    fails=[
        {"formula_items": [_ITEM | {"subject": "demo-kelp"}, _ITEM | {"position": 4, "subject": "demo-root"}]},
        {"formula_items": [_ITEM | {"subject": "demo-kelp"}, _ITEM | {"position": 4, "subject": "demo-root.zhi"}]},
        {
            "antagonisms": [{"a": "demo-leaf", "b": "demo-root.zhi"}],
            "formula_items": [_ITEM | {"subject": "demo-root"}],
        },
        {
            "formula_items": [
                _ITEM | {"subject": "demo-kelp"},
                _ITEM | {"position": 4, "subject": "demo-root"},
                _ITEM | {"position": 5, "subject": "demo-seed", "alternative_to": 3},
            ]
        },
    ],
)
def antagonism_in_formula(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each pair of a formula's items that some list sets against each other, the value being
    `a+b` of the list's row.

    A herb in the list covers its forms; a bare name means its default form; items that may stand for one another
    never clash.
    """
    strictest: dict[tuple[str, str], Row] = {}
    for pair in rows(facts.package.tables["antagonisms"]):
        known = strictest.get((pair.a, pair.b))
        if known is None or _strictness(pair) > _strictness(known):
            strictest[pair.a, pair.b] = pair
    opposed: dict[str, list[Row]] = {}
    for pair in strictest.values():
        opposed.setdefault(pair.a, []).append(pair)
    recipes: dict[str, list[Row]] = {}
    for item in rows(facts.package.tables["formula_items"]):
        recipes.setdefault(item.formula, []).append(item)
    for items in recipes.values():
        present: dict[str, list[Row]] = {}
        for item in items:
            for subject in _means(facts, item.subject):
                present.setdefault(subject, []).append(item)
        told: set[str] = set()
        for subject, here in present.items():
            for pair in opposed.get(subject, ()):
                value = "+".join(sorted((pair.a, pair.b)))
                clash = _clash(here, present.get(pair.b, []))
                if clash and value not in told:
                    told.add(value)
                    one, other = clash
                    message = (
                        f"{one.subject} and {other.subject} (items {one.position:g} and {other.position:g}) "
                        f"are opposed ({pair.state}, {pair.where})."
                    )
                    tip = (
                        f"Take one out, or record an exception for {one.formula} with the value {value} and the reason."
                    )
                    yield other.problem("subject", message, tip=tip, value=value)


@check(
    id="alternative-to-nothing",
    scope="package",
    severity="error",
    why="An alternative to no item, or to itself, is read as one more item.",
    passes=[{"formula_items": [_ITEM | {"subject": "demo-kelp", "alternative_to": 1}]}],
    fails=[
        {"formula_items": [_ITEM | {"subject": "demo-kelp", "alternative_to": 9}]},
        {"formula_items": [_ITEM | {"subject": "demo-kelp", "alternative_to": 3}]},
    ],
)
def alternative_to_nothing(package: Package) -> Iterator[Problem]:
    """Yield a problem for each alternative to a position that its formula does not have, or to its own."""
    items = list(rows(package.tables["formula_items"]))
    places = {(item.formula, item.position) for item in items}
    for item in items:
        if item.alternative_to is None:
            continue
        if item.alternative_to == item.position:
            yield item.problem(
                "alternative_to", "The item is an alternative to itself.", tip="Write the position of the other item."
            )
        elif (item.formula, item.alternative_to) not in places:
            message = f"{item.formula} has no item {item.alternative_to:g}."
            yield item.problem(
                "alternative_to", message, tip="Write the position of the item that this one may stand for."
            )


@check(
    id="amounts-against-kind",
    scope="package",
    severity="error",
    why="Parts of a ratio read as grams are a dose that nobody meant.",
    passes=[
        {"formulas": [{"id": "demo-tang", "amounts_are": "batch", "batch_days": 3}]},
        {
            "formulas": [{"id": "demo-fang", "amounts_are": "ratio"}],
            "formula_items": [{"formula": "demo-fang", "position": 1, "amount_parts": "6"}],
        },
    ],
    fails=[
        {"formulas": [{"id": "demo-tang", "amounts_are": "ratio"}]},
        {"formula_items": [_ITEM | {"subject": "demo-kelp", "amount_parts": "3"}]},
        {"formulas": [{"id": "demo-tang", "amounts_are": "daily", "batch_days": 3}]},
    ],
)
def amounts_against_kind(package: Package) -> Iterator[Problem]:
    """Yield a problem for grams in a ratio, parts outside of one, and days of a batch where there is no batch."""
    kinds = {formula.id: formula.amounts_are for formula in rows(package.tables["formulas"])}
    for item in rows(package.tables["formula_items"]):
        kind = kinds.get(item.formula)
        if kind == "ratio" and item.amount_g is not None:
            tip = f"Move the number to amount_parts, or correct amounts_are of {item.formula}."
            yield item.problem("amount_g", f"{item.formula} gives a ratio, and this item grams.", tip=tip)
        if kind in ("daily", "batch") and item.amount_parts is not None:
            tip = f"Give the amount in grams, or correct amounts_are of {item.formula}."
            yield item.problem(
                "amount_parts", f"{item.formula} gives {kind} amounts, and this item parts of a ratio.", tip=tip
            )
    for formula in rows(package.tables["formulas"]):
        if formula.batch_days is not None and formula.amounts_are != "batch":
            tip = "Empty batch_days, or write batch under amounts_are."
            yield formula.problem(
                "batch_days", f"The amounts are {formula.amounts_are}, and a batch is said to last.", tip=tip
            )


def _ceiling(facts: Facts, subject: str, route: str) -> float | None:
    """The largest daily dose of grown persons by this route [g]; None: none is recorded."""
    asked = {"route": route, "per": "day", "population": "adult"}
    found = (
        number(kind.value)
        for entry in facts.effective_entries["dose-max"].get(facts.number[subject], ())
        if asked.items() <= dict((kind := facts.entries.kind(entry)).qualifiers).items()
    )
    amounts = [float(amount) for amount in found if amount is not None]
    return max(amounts, default=None)


def _kept_from_pot(facts: Facts, subject: str) -> str:
    """The required handling that keeps the item, read as its default form, out of the pot; or nothing."""
    for entry in facts.effective_entries["handling"].get(facts.number[facts.default_form(subject)], ()):
        kind = facts.entries.kind(entry)
        if kind.value in _NOT_COOKED and ("force", "required") in kind.qualifiers:
            return kind.value
    return ""


def _means(facts: Facts, subject: str) -> set[str]:
    """What a row of antagonisms may call the item: its name, the form a bare name means, and the herb."""
    if subject not in facts.number:
        return {subject}
    return {subject, facts.default_form(subject), facts.herb_of(subject)}


def _strictness(pair: Row) -> int:
    return _STATES.index(pair.state) if pair.state in _STATES else -1


def _clash(some: list[Row], others: list[Row]) -> tuple[Row, Row] | None:
    """The first two items, one of each, that are not alternatives to each other."""
    for one in some:
        for other in others:
            if (
                one.position is not None
                and other.position is not None
                and one.key != other.key
                and not _alternatives(one, other)
            ):
                return (one, other) if one.position < other.position else (other, one)
    return None


def _alternatives(one: Row, other: Row) -> bool:
    return bool(
        one.alternative_to == other.position
        or other.alternative_to == one.position
        or (one.alternative_to is not None and one.alternative_to == other.alternative_to)
    )
