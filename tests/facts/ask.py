"""Facts of a few rows, and the truth of a pattern about one subject."""

from materia_data.facts.build import build_facts
from materia_data.facts.facts import Facts
from materia_data.facts.match import match
from materia_data.facts.pattern import parse
from tests.strategies import Row, package_of, terms

HERB: Row = {"id": "a", "category": "heat", "status": "current", "basis": "memory"}
FORM: Row = {"id": "a.x", "herb": "a", "kind": "prepared", "inherits": "all", "basis": "memory"}
DOSE: Row = {"subject": "a", "route": "decoction", "per": "day", "population": "adult", "unit": "g", "basis": "memory"}
CONFIRMED: Row = {"source": "standard", "locator": "p. 1", "basis": "collated", "reason": "Boiled for hours."}


def facts_of(herb: Row | None = None, form: Row | None = None, **tables: list[Row]) -> Facts:
    """Facts of the herb `a` and, if given, its form `a.x` (each with these cells), and of the rows of other tables."""
    rows = terms() | tables
    rows.setdefault("herbs", [HERB | (herb or {})])
    if form is not None:
        rows.setdefault("forms", [FORM | form])
    return build_facts(package_of(rows))


def truth(facts: Facts, text: str, subject: str = "a", *, safety_rule: bool = False) -> bool | None:
    """True, False (stated-false) or None (unstated)."""
    found = match(parse(text, facts, safety_rule=safety_rule), facts)
    number = facts.number[subject]
    return True if number in found.true else False if number in found.false else None


def values(facts: Facts, predicate: str, subject: str = "a.x") -> list[str]:
    """The values that hold of the subject, a stated negative with a minus before it."""
    return [fact.value if fact.stated else f"-{fact.value}" for fact in facts.of(subject, predicate)]


def cited(table: str, record: str, column: str, stated: str, **cells: str) -> Row:
    """A citation of a whole cell, from a standard unless it says otherwise."""
    row = {"about_table": table, "record": record, "column": column, "stated": stated}
    return row | {"source": "standard", "locator": "p. 1", "basis": "collated"} | cells
