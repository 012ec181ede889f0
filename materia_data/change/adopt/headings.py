"""The row of headings, and what each column holds, with the reason."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from materia_data.change.adopt.sheets import Cell, Sheet
from materia_data.change.adopt.tables import word_rows
from materia_data.change.adopt.words import Words, tokens

_LOOK, _NAMES_BELOW = 25, 10
_SIGNS = re.compile(r"[()\[\]{}:：?!*_\"“”|]+|\s+-\s+")
_JOINS = re.compile(r"\s*(?:&|/|\+|,|;|、|\band\b|及|和|与)\s*")
_UNITS = (("mg", r"\bmg\b|毫克"), ("ml", r"\bml\b|毫升"), ("g", r"\bg\b|\bgm\b|\bgrams?\b|克|\bgrammes?\b"))
NAMES = ("name", "pinyin", "name_en", "latin", "alias", "id")


@dataclass(frozen=True, slots=True)
class Headed:
    """A heading understood. roles: what a column under it may hold, empty if unknown; unit: of amounts, if it says."""

    roles: tuple[str, ...]
    unit: str
    why: str


@cache
def _words() -> Words[str]:
    found: Words[str] = Words()
    for role, words in word_rows("headings.tsv"):
        found.add(words.split(";"), role)
    return found


def heading_row(sheet: Sheet, fold: Callable[[str], str]) -> int | None:
    """The row, among the first, in which most cells are headings that we know and one of them is for names."""
    best: tuple[float, int] | None = None
    for number in sorted(sheet.rows)[:_LOOK]:
        cells = [cell.text for cell in sheet.rows[number] if cell.text]
        known = [headed for cell in cells if (headed := understand(fold(cell))).roles]
        named = any(role in NAMES for headed in known for role in headed.roles)
        if len(known) >= 2 and named and len(known) >= 0.4 * len(cells):
            score = (len(known) / len(cells) + 0.2 * len(known), -number)
            best = max(best, score) if best else score
    return -best[1] if best else None


def row_above_names(sheet: Sheet, is_name: Callable[[str], bool]) -> int | None:
    """The row right above the first of several names that stand in one column, where no headings are known."""
    numbers = sorted(sheet.rows)[: _LOOK + _NAMES_BELOW]
    for at, number in enumerate(numbers[1:], 1):
        for column, cell in enumerate(sheet.rows[number]):
            if not cell.text or not is_name(cell.text):
                continue
            below = [row[column].text for each in numbers[at:] if len(row := sheet.rows[each]) > column]
            below = [text for text in below if text][:_NAMES_BELOW]
            if len(below) >= 3 and sum(map(is_name, below)) >= 0.6 * len(below):
                above = (n for n in reversed(numbers[:at]) if sum(bool(c.text) for c in sheet.rows[n]) > 1)
                return next(above, None)
    return None


def understand(folded: str) -> Headed:
    """What a heading in folded form says a column holds."""
    unit = next((unit for unit, pattern in _UNITS if re.search(pattern, folded)), "")
    whole = _SIGNS.sub(" ", folded).strip()
    if not whole or len(whole) > 80 or whole.isdigit():
        return Headed((), unit, "no heading")
    exact = _words().get(whole) or _words().get(folded)
    if exact:
        return Headed((exact,), unit, f"the heading {folded}")
    roles: list[str] = []
    strange = 0
    for part in _JOINS.split(whole):
        pieces, at = tokens(part), 0
        known = _words().get(part)
        if known:
            roles.append(known)
            continue
        while at < len(pieces):
            hit = _words().at(pieces, at)
            if hit:
                roles.append(hit[1])
                at += hit[0]
            else:
                strange += 1
                at += 1
    roles = _sensible(list(dict.fromkeys(roles)))
    if not roles or strange > 2 * len(roles) + 1:
        return Headed((), unit, "no heading that we know")
    return Headed(tuple(roles), unit, f"the heading {folded}")


def _sensible(roles: list[str]) -> list[str]:
    """`Herb (pinyin)` is the reading, `English name` the English one; a unit beside something else is no column."""
    if "leave" in roles and len(roles) > 1:
        roles = [role for role in roles if role != "leave"]
    narrower = [role for role in roles if role in ("pinyin", "name_en", "latin", "alias")]
    if "name" in roles and narrower:
        roles = [role for role in roles if role != "name"] if len(narrower) == 1 and roles[0] != "name" else roles
    if "number" in roles and len(roles) > 1:
        roles = [role for role in roles if role != "number"]
    return [role for role in roles if role != "note"] or roles if "cautions" in roles or len(roles) > 1 else roles


def repeated(cells: tuple[Cell, ...], headings: tuple[str, ...]) -> bool:
    """Whether a row says the headings again."""
    same = sum(bool(cell.text) and cell.text == heading for cell, heading in zip(cells, headings, strict=False))
    return same >= 2 and same >= 0.6 * sum(bool(cell.text) for cell in cells)
