"""Whether a claim holds in the data: yes, no, or not to be said."""

from materia_data.facts.facts import Facts
from materia_data.study.items.bench import Bench
from materia_data.study.items.item import Claim

_CLOSED = ("nature", "flavor", "channel")


def truth(bench: Bench, claim: Claim) -> bool | None:
    """Whether the subject has the value; None where the data leave it open, or the subject is not on record."""
    facts, subject, predicate, value = bench.facts, claim.subject, claim.predicate, claim.value
    if subject not in facts.number:
        return None
    if predicate in _CLOSED:
        return _listed(bench, subject, predicate, value)
    if predicate == "action":
        return _acts(facts, subject, value)
    if predicate.startswith("caution["):
        return _warned(facts, subject, predicate, value)
    if predicate.startswith("contains[role:"):
        return _role(facts, subject, predicate[len("contains[role:") : -1], value)
    if predicate in ("pair", "together"):
        return _beside(facts, subject, predicate, value)
    if predicate == "dose-max":
        return _within(facts, subject, value)
    if predicate == "minutes-min":
        known = set(facts.values(subject, predicate))
        return value in known if known else None
    if predicate not in facts.predicates:
        return None
    return True if value in facts.values(subject, predicate) else None


def _listed(bench: Bench, subject: str, predicate: str, value: str) -> bool | None:
    terms = bench.facts.vocabularies[bench.facts.predicates[predicate].values.name]
    if value not in terms:
        return None
    if any(value in terms.up(one) for one in bench.facts.values(subject, predicate)):
        return True
    held = bench.closed(subject, predicate)
    return False if held and bench.apart(predicate, value, held) else None


def _acts(facts: Facts, subject: str, value: str) -> bool | None:
    terms = facts.vocabularies[facts.predicates["action"].values.name]
    if value not in terms:
        return None
    rows = facts.of(subject, "action")
    if any(fact.stated and value in terms.up(fact.value) for fact in rows):
        return True
    denied = {fact.value for fact in rows if not fact.stated and not fact.qualifiers}
    return False if denied & terms.up(value) else None


def _warned(facts: Facts, subject: str, predicate: str, value: str) -> bool | None:
    topic, target = (part.partition("=")[2] for part in predicate[len("caution[") : -1].split(",", 1))
    states = set()
    for fact in facts.of(subject, "caution"):
        asked = dict(fact.qualifiers)
        if (asked.get("topic", ""), asked.get("target", "")) == (topic, target):
            states.add(fact.value)
    if not states:
        return True if not value else None
    return value in states


def _role(facts: Facts, formula: str, role: str, item: str) -> bool | None:
    table = facts.package.tables["formula_items"]
    rows = [table.row(row) for row in table.rows_of("formula").get(formula, ())]
    roles = {one for row in rows if row["subject"] == item for one in row["roles"].split(";") if one}
    return role in roles if roles else None


def _beside(facts: Facts, one: str, how: str, two: str) -> bool | None:
    if two not in facts.number:
        return None
    if two in facts.values(one, "opposes"):
        return False
    if how == "pair":
        table = facts.package.tables["pairs"]
        return True if any({one, two} == set(cell.split(";")) for cell in table.columns["subjects"]) else None
    items = facts.package.tables["formula_items"]
    held: dict[str, set[str]] = {}
    for formula, subject in zip(items.columns["formula"], items.columns["subject"], strict=True):
        if subject in facts.number:
            held.setdefault(formula, set()).add(facts.herb_of(subject))
    return True if any({one, two} <= herbs for herbs in held.values()) else None


def _within(facts: Facts, subject: str, amount: str) -> bool | None:
    table = facts.package.tables["doses"]
    rows = [table.row(row) for row in table.rows_of("subject").get(subject, ())]
    rows = [row for row in rows if (row["route"], row["per"], row["population"]) == ("decoction", "day", "adult")]
    tops = [float(row["max"]) for row in rows if row["max"] and row["unit"] == "g"]
    return float(amount) <= max(tops) if tops else None
