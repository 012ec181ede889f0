"""Amounts as text that compares: one spelling a number, in the predicate's unit where the unit converts."""

import re
from decimal import Decimal

from materia_data.facts.predicates import Words

_NUMBER = re.compile(r"-?[0-9]{1,30}(\.[0-9]{1,30})?")


def amount(text: str, unit: str, words: Words) -> str | None:
    """The value of a fact for a number cell: plain decimal text in `words.unit`.

    unit: the row's unit; one that does not convert stays behind the number (`3 ml`, `3 (no unit)`), and the value never
    compares. None: the cell is no number.
    """
    if not _NUMBER.fullmatch(text):
        return None
    if not words.unit_column:
        return _plain(Decimal(text))
    factor = words.units.get(unit)
    return _plain(Decimal(text) * Decimal(factor)) if factor else f"{_plain(Decimal(text))} {unit or '(no unit)'}"


def number(value: str) -> Decimal | None:
    """The number that the value of a fact compares as; None: it never compares."""
    return Decimal(value) if _NUMBER.fullmatch(value) else None


def _plain(value: Decimal) -> str:
    text = format(value, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text
