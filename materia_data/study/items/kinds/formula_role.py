"""Which item of a formula has a role. Wrong: items of the same formula whose stated roles are others."""

from collections.abc import Sequence

from materia_data.study.items.bench import OPTIONS, Bench, claim_of
from materia_data.study.items.item import Item, Option

_ROLES = {"chief": "the chief", "deputy": "a deputy", "assistant": "an assistant", "envoy": "an envoy"}
Frame = tuple[str, str, str]


def frames(bench: Bench) -> Sequence[Frame]:
    """Formula, item, role: of formulas whose composition is stated to be whole."""
    about = set(bench.subjects)
    return [
        (formula, item, role)
        for formula, items in sorted(_roles(bench).items())
        for item, roles in items.items()
        for role in sorted(roles)
        if about & {formula, item, bench.facts.herb_of(item)}
    ]


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item: the distractors have a role of their own and not the one asked for."""
    formula, item, role = frame
    items = _roles(bench)[formula]
    others = [one for one, roles in items.items() if roles and role not in roles]
    if len(others) < OPTIONS - 1:
        return None
    chosen = bench.nearest(item, others, OPTIONS - 1)

    def option(one: str) -> Option:
        roles = " and ".join(_ROLES[each] for each in sorted(items[one]))
        return Option(bench.name(one), one == item, f"{bench.name(one)} is {roles} in it.",
                      claim_of(formula, f"contains[role:{role}]", one, one == item))  # fmt: skip

    table = bench.facts.package.tables["formula_items"]
    facts = [f"{table.file} {table.key(row)} roles" for row in table.rows_of("formula")[formula]]
    alike = sum(bench.alike(item, one) for one in chosen) / len(chosen)
    stem = f"Which of these is {_ROLES[role]} in {bench.name(formula)}?"
    return bench.item("formula-role", stem, option(item), map(option, chosen), [formula, item], facts, 0.3 + alike / 2)


def _roles(bench: Bench) -> dict[str, dict[str, frozenset[str]]]:
    """By formula its items with their roles; alternatives to another item are left out."""
    known = bench.kept.get("roles")
    if known is None:
        table, found = bench.facts.package.tables["formula_items"], dict[str, dict[str, frozenset[str]]]()
        whole = bench.facts.package.tables["formulas"]
        complete = {whole.columns["id"][row] for row in whole.rows_of("items_complete").get("yes", ())}
        for number in range(len(table)):
            row = table.row(number)
            if row["formula"] in complete and row["subject"] in bench.facts.number and not row["alternative_to"]:
                items = found.setdefault(row["formula"], {})
                roles = frozenset(filter(None, row["roles"].split(";")))
                items[row["subject"]] = items.get(row["subject"], frozenset()) | roles
        known = bench.kept["roles"] = found
    return known
