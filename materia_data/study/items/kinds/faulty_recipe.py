"""A recipe with a fault: two items that must not stand together, or an amount above the ceiling. Wrong: two that a
known formula has together; an amount inside the range."""

from collections.abc import Sequence

from materia_data.study.items.bench import OPTIONS, Bench, claim_of
from materia_data.study.items.item import Item, Option

Frame = tuple[str, str, str]
_IN = 4


def frames(bench: Bench) -> Sequence[Frame]:
    """A formula with something that clashes with exactly one of its items; or `dose`, a medicinal and its ceiling."""
    about, facts = set(bench.subjects), bench.facts
    found: list[Frame] = []
    for formula, items in _formulas(bench).items():
        against: dict[str, list[str]] = {}
        for item in items:
            for one in _opposed(bench, item):
                against.setdefault(one, []).append(item)
        for other, clashing in sorted(against.items()):
            if len(clashing) == 1 and other not in items and about & {formula, other, clashing[0]}:
                found.append((formula, other, clashing[0]))
    return found + [("dose", one, "") for one in bench.subjects if facts.kind(one) == "herbs" and _range(bench, one)]


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item."""
    formula, other, item = frame
    return _dose(bench, other) if formula == "dose" else _clash(bench, formula, other, item)


def _clash(bench: Bench, formula: str, other: str, item: str) -> Item | None:
    items = [one for one in _formulas(bench)[formula] if one != item]
    if len(items) < _IN - 1:
        return None
    shown = bench.chance.sample(items, _IN - 1)
    recipe = [item, other, *shown]
    pairs = [(one, two) for place, one in enumerate([item, *shown]) for two in [item, *shown][place + 1 :]]
    chosen = bench.chance.sample(pairs, OPTIONS - 1)
    bench.chance.shuffle(recipe)

    def option(pair: tuple[str, str]) -> Option:
        one, two = pair
        right = other in pair
        text = f"{bench.name(one)} with {bench.name(two)}"
        why = f"{text}: on record as never combined." if right else f"{text}: together in {bench.name(formula)}."
        return Option(text, right, why, claim_of(one, "opposes" if right else "together", two))

    table = bench.facts.package.tables["formula_items"]
    facts = [bench.place(fact) for fact in bench.facts.of(item, "opposes") if fact.value == other]
    facts += [f"{table.file} {table.key(row)} subject" for row in table.rows_of("formula")[formula]]
    stem = f"A recipe has {', '.join(map(bench.name, recipe))}. Which two must not stand together?"
    return bench.item(
        "faulty-recipe", stem, option((item, other)), map(option, chosen), [item, other], facts, 0.6, safety=True
    )


def _dose(bench: Bench, subject: str) -> Item | None:
    inside = [one for one in bench.mates.get(bench.category(subject), ()) if one != subject and _range(bench, one)]
    if len(inside) < OPTIONS - 1:
        return None
    chosen = bench.nearest(subject, inside, OPTIONS - 1)
    ceiling = _range(bench, subject)[1]  # type: ignore[index]
    amounts = {subject: _round(ceiling * bench.chance.choice((2.0, 2.5, 3.0)))}
    for one in chosen:
        low, high = _range(bench, one)  # type: ignore[misc]
        amounts[one] = _round(low + (high - low) * bench.chance.choice((0.25, 0.5, 0.75)))
        if not low <= float(amounts[one]) <= high:
            return None
    order = sorted(amounts, key=lambda one: bench.chance.random())

    def option(one: str) -> Option:
        low, high = _range(bench, one)  # type: ignore[misc]
        why = f"{bench.name(one)}: {low:g} to {high:g} g a day, decocted, for an adult."
        return Option(f"{bench.name(one)} {amounts[one]} g", one == subject, why,
                      claim_of(one, "dose-max", amounts[one], one != subject))  # fmt: skip

    facts = [place for one in amounts for name in ("dose-min", "dose-max") for place in bench.places(one, name)]
    recipe = ", ".join(f"{bench.name(one)} {amounts[one]} g" for one in order)
    stem = f"A day's decoction for an adult: {recipe}. Which amount is above the largest that the data give?"
    return bench.item("faulty-recipe", stem, option(subject), map(option, chosen), [subject], facts, 0.7, safety=True)


def _round(amount: float) -> str:
    return f"{round(amount * 2) / 2:g}" if amount >= 1 else f"{amount:.2g}"


def _range(bench: Bench, subject: str) -> tuple[float, float] | None:
    """The ordinary range in grams of an adult's day of decoction, with the largest ceiling over all purposes; None
    where there is none, or the bare name means a form, or a source disputes it."""
    known: dict[str, tuple[float, float] | None] = bench.kept.setdefault("ranges", {})
    if subject not in known:
        known[subject] = _find_range(bench, subject)
    return known[subject]


def _find_range(bench: Bench, subject: str) -> tuple[float, float] | None:
    facts = bench.facts
    disputed = {fact.value for fact in facts.of(subject, "disputed")}
    if facts.default_form(subject) != subject or disputed & {"dose-min", "dose-max"}:
        return None
    table = facts.package.tables["doses"]
    rows = [table.row(row) for row in table.rows_of("subject").get(subject, ())]
    rows = [row for row in rows if (row["route"], row["per"], row["population"]) == ("decoction", "day", "adult")]
    rows = [row for row in rows if row["max"] and row["unit"] == "g"]
    plain = [row for row in rows if not row["purpose"] and row["min"]]
    if len(plain) != 1 or len(rows) != len([row for row in rows if row["unit"] == "g"]):
        return None
    return float(plain[0]["min"]), max(float(row["max"]) for row in rows)


def _formulas(bench: Bench) -> dict[str, list[str]]:
    """By formula its items by herb, each once, of formulas in which nothing clashes."""
    if "formulas" not in bench.kept:
        table, found = bench.facts.package.tables["formula_items"], dict[str, list[str]]()
        for number in range(len(table)):
            row = table.row(number)
            if row["subject"] in bench.facts.number and not row["alternative_to"]:
                herb = bench.facts.herb_of(row["subject"])
                if herb not in found.setdefault(row["formula"], []):
                    found[row["formula"]].append(herb)
        bench.kept["formulas"] = {
            formula: items
            for formula, items in found.items()
            if not any(set(items) & set(_opposed(bench, one)) for one in items)
        }
    formulas: dict[str, list[str]] = bench.kept["formulas"]
    return formulas


def _opposed(bench: Bench, subject: str) -> list[str]:
    facts = bench.facts
    return [one for one in facts.values(subject, "opposes") if one in facts.number and facts.kind(one) == "herbs"]
