"""One cell's text against its column: characters, numbers, dates, enumerations and shapes."""

import re
import unicodedata
from collections.abc import Iterable
from datetime import date
from functools import cache
from typing import NamedTuple

from materia_data.read.schema import Field
from materia_data.read.shown import shown
from materia_data.suggest import did_you_mean

ID_SHAPES = frozenset({"[a-z][a-z0-9]*(-[a-z0-9]+)*", r"[a-z][a-z0-9]*(-[a-z0-9]+)*(\.[a-z][a-z0-9]*(-[a-z0-9]+)*)?"})


class Finding(NamedTuple):
    """What is wrong with a text, wherever it stands."""

    rule: str
    message: str
    tip: str
    value: str


def bad_texts(values: Iterable[str]) -> dict[str, Finding]:
    """The values with a character or a space that must not be there, and which."""
    values = list(values)
    together = " ".join(values)
    if together.isprintable() and not _HIDDEN.search(together) and unicodedata.is_normalized("NFC", together):
        return {value: _space(value) for value in values if value[:1] == " " or value[-1:] == " " or "  " in value}
    return {value: finding for value in values if (finding := _text(value))}


def value_finding(value: str, field: Field) -> Finding | None:
    """What is wrong with a filled value as a value of its column, or None. References are another matter."""
    if field.type in ("integer", "number"):
        return _number(value, field)
    if field.type == "date":
        return _date(value)
    if value in _SPREADSHEET_ERRORS:
        return Finding(
            "spreadsheet-error",
            f"“{value}” is the error of a spreadsheet program.",
            "Write the value that stood there.",
            value,
        )
    if field.enum and value not in field.enum:
        tip = did_you_mean(value[:80], field.enum) or f"Write one of: {', '.join(field.enum)}."
        return Finding("unknown-term", f"“{shown(value)}” is not a value of {field.name}.", tip, value)
    if field.pattern and not _pattern(field.pattern).fullmatch(value):
        return _shape(value, field)
    return None


# characters

_HIDDEN = re.compile(
    "[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u2800\u3164\ufe00-\ufe0f\uffa0\ufffd\U000e0100-\U000e01ef]"
)
_NAMES = {
    "\0": "NUL",
    "\t": "tab",
    "\r": "carriage return",
    "\u00a0": "no-break space",
    "\u00ad": "soft hyphen",
    "\u200b": "zero-width space",
    "\u200c": "zero-width non-joiner",
    "\u200d": "zero-width joiner",
    "\u3000": "ideographic space",
    "\ufeff": "byte order mark",
}
_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def _text(value: str) -> Finding | None:
    for char in value:
        category = unicodedata.category(char)
        if category in ("Co", "Cs") or char == "\ufffd":
            message = f"The cell holds the character {_code(char)}, which stands for one that was lost."
            return Finding("unreadable-character", message, "Type the character that belongs there.", value)
        if category in ("Cc", "Cf", "Zl", "Zp") or (category == "Zs" and char != " ") or _HIDDEN.match(char):
            name = (
                "direction mark"
                if char in _BIDI
                else _NAMES.get(char, "control character" if category == "Cc" else "invisible character")
            )
            tip = (
                "Put a plain space there, or nothing."
                if category == "Zs" or char == "\t"
                else "Take it out; deleting and retyping the word does it."
            )
            return Finding(
                "invisible-character",
                f"The cell holds a {name} ({_code(char)}) after “{shown(value[: value.index(char)][-20:])}”.",
                tip,
                value,
            )
    if not unicodedata.is_normalized("NFC", value):
        whole = unicodedata.normalize("NFC", value)
        return Finding(
            "decomposed-character",
            f"“{shown(value)}” is written with split or compatibility characters.",
            f"Write “{shown(whole)}” (Unicode NFC).",
            value,
        )
    return _space(value) if value[:1] == " " or value[-1:] == " " or "  " in value else None


def _space(value: str) -> Finding:
    where = (
        "begins with a space"
        if value[:1] == " "
        else "ends with a space"
        if value[-1:] == " "
        else "has two spaces together"
    )
    return Finding(
        "stray-space",
        f"The cell {where}.",
        f"Write “{shown(' '.join(value.split()))}”." if value.strip() else "Leave the cell empty.",
        value,
    )


def _code(char: str) -> str:
    return f"U+{ord(char):04X}"


# numbers

_PLAIN_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")
_NOT_NUMBERS = frozenset({"nan", "inf", "infinity", "null", "none", "n/a", "na"})
_RANGE = re.compile(r"([0-9]+(?:\.[0-9]+)?) ?[-–—~～至到] ?([0-9]+(?:\.[0-9]+)?)")
_WITH_UNIT = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?) ?([^\W\d_]{1,12}|%)\.?")
_LONGEST_NUMBER = 18


def _number(value: str, field: Field) -> Finding | None:
    if not _PLAIN_NUMBER.fullmatch(value):
        return _no_number(value)
    if len(value) > _LONGEST_NUMBER:
        message = f"“{shown(value)}” has {len(value)} characters."
        return Finding("malformed-number", message, f"Write a number of at most {_LONGEST_NUMBER}.", value)
    digits = value.removeprefix("-")
    if len(digits) > 1 and digits[0] == "0" and digits[1] != ".":
        return Finding(
            "malformed-number",
            f"“{value}” is padded with zeros.",
            f"Write {value.replace(digits, _unpadded(digits), 1)}.",
            value,
        )
    if field.type == "integer" and "." in value:
        return Finding("malformed-number", f"“{value}” is not a whole number.", "Write a whole number.", value)
    if field.minimum is not None and float(value) < field.minimum:
        return Finding(
            "out-of-range",
            f"{value} is less than {field.minimum:g}.",
            f"Write a number from {field.minimum:g} up.",
            value,
        )
    if field.maximum is not None and float(value) > field.maximum:
        return Finding(
            "out-of-range",
            f"{value} is more than {field.maximum:g}.",
            f"Write a number up to {field.maximum:g}.",
            value,
        )
    return None


def _unpadded(digits: str) -> str:
    bare = digits.lstrip("0")
    return f"0{bare}" if bare[:1] in ("", ".") else bare


def _has_other_digits(value: str) -> bool:
    return any(char.isdecimal() and not char.isascii() for char in value)


def _ascii_digits(value: str) -> str:
    return "".join(
        str(unicodedata.decimal(char)) if char.isdecimal() else char for char in unicodedata.normalize("NFKC", value)
    )


def _no_number(value: str) -> Finding:
    plain = _ascii_digits(value).replace("。", ".")
    if _has_other_digits(value):
        tip = f"Write {plain}." if _PLAIN_NUMBER.fullmatch(plain) else "Write plain digits."
        return Finding("full-width-digits", f"“{shown(value)}” is written with digits other than 0 to 9.", tip, value)
    if value.lower().lstrip("+-") in _NOT_NUMBERS:
        return Finding(
            "not-a-number", f"“{value}” is not a number.", "Leave the cell empty where no number is stated.", value
        )
    if value in _SPREADSHEET_ERRORS:
        return Finding(
            "spreadsheet-error",
            f"“{value}” is the error of a spreadsheet program.",
            "Write the number that stood there.",
            value,
        )
    if _DATE_LIKE.fullmatch(value):
        tip = "Write the number that stood there; a spreadsheet program may have read a range such as 3-9 as a date."
        return Finding("date-damage", f"“{shown(value)}” is a date, not a number.", tip, value)
    if found := _RANGE.fullmatch(value):
        tip = f"Put {found[1]} and {found[2]} into the columns for the smallest and the largest."
        return Finding("malformed-number", f"“{value}” is a range, not one number.", tip, value)
    if found := _WITH_UNIT.fullmatch(value):
        return Finding(
            "number-with-unit",
            f"“{value}” holds a number and “{found[2]}”.",
            f"Write {found[1]}; the unit is a matter of the column.",
            value,
        )
    return Finding(
        "malformed-number",
        f"“{shown(value)}” is not written as a number.",
        "Write digits, with a point before decimals: 1.5.",
        value,
    )


# dates

_ISO_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_LOOSE_DATE = re.compile(r"([0-9]{4})[-/.年]([0-9]{1,2})[-/.月]([0-9]{1,2})日?")
_MONTH = "(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]{0,6}"
_DATE_LIKE = re.compile(
    r"[0-9]{1,4}([-/.])[0-9]{1,2}\1[0-9]{1,4}|[0-9]{2,4}年[0-9]{1,2}月([0-9]{1,2}日)?|[0-9]{1,2}月[0-9]{1,2}日"
    rf"|[0-9]{{1,2}}[- /]{_MONTH}([- /][0-9]{{2,4}})?|{_MONTH}[- /][0-9]{{1,4}}"
    r"|[0-9]{4}-[0-9]{2}-[0-9]{2}[ T].{1,20}",
    re.IGNORECASE,
)
_SERIAL = re.compile(r"[34][0-9]{4}(\.[0-9]{1,10})?")
_SPREADSHEET_ERRORS = frozenset(
    {"#REF!", "#N/A", "#NAME?", "#VALUE!", "#DIV/0!", "#NULL!", "#NUM!", "#SPILL!", "Err:502", "#####"}
)


def _date(value: str) -> Finding | None:
    if _ISO_DATE.fullmatch(value):
        if _real(value):
            return None
        return Finding(
            "impossible-date",
            f"There is no day {value}.",
            "Look the date up again; it is written year-month-day.",
            value,
        )
    if _has_other_digits(value):
        plain = _ascii_digits(value)
        return Finding(
            "full-width-digits",
            f"“{shown(value)}” is written with digits other than 0 to 9.",
            f"Write {shown(plain)}.",
            value,
        )
    if found := _LOOSE_DATE.fullmatch(value):
        right = f"{found[1]}-{found[2]:0>2}-{found[3]:0>2}"
        tip = f"Write {right}." if _real(right) else "Write year-month-day, as 2026-03-09."
        rule = "malformed-date" if "-" in value else "date-damage"
        return Finding(rule, f"“{value}” is not written as year-month-day.", tip, value)
    if _DATE_LIKE.fullmatch(value) or _SERIAL.fullmatch(value):
        tip = "Look the date up again and write it year-month-day, as 2026-03-09."
        return Finding("date-damage", f"“{shown(value)}” is a date as a spreadsheet program writes it.", tip, value)
    return Finding("malformed-date", f"“{shown(value)}” is not a date.", "Write year-month-day, as 2026-03-09.", value)


def _real(value: str) -> bool:
    try:
        date.fromisoformat(value)
    except ValueError:
        return False
    return True


# shapes


def _shape(value: str, field: Field) -> Finding:
    if field.pattern in ID_SHAPES:
        wide = unicodedata.normalize("NFKD", value)[:80]
        plain = "".join(char for char in wide if not unicodedata.combining(char)).lower().strip()
        guess = re.sub(r"[ _]+", "-", plain)
        tip = (
            f"Write {guess}."
            if _pattern(field.pattern).fullmatch(guess)
            else "Write it in lower-case letters a to z, digits and hyphens, a letter first."
        )
        if _DATE_LIKE.fullmatch(value):
            return Finding(
                "date-damage",
                f"“{shown(value)}” is a date where {field.name} should stand.",
                "Write the id that stood there.",
                value,
            )
        return Finding("malformed-id", f"“{shown(value)}” is not written as an id.", tip, value)
    if "㐀" in field.pattern:
        message, tip = (
            f"“{shown(value)}” is not written in Chinese characters alone.",
            "Write the characters only, without space, letters or marks.",
        )
        return Finding("malformed-value", message, tip, value)
    return Finding(
        "malformed-value",
        f"“{shown(value)}” has not the form that {field.name} takes.",
        f"Write it as in this example: {field.example}.",
        value,
    )


@cache
def _pattern(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)
