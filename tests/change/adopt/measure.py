"""How rightly a sheet was adopted, against what someone wrote down who had not seen the code (blind/README.txt)."""

import csv
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from materia_data.change.adopt.adopt import adopt
from materia_data.change.adopt.result import Adopted, Placed, Question
from materia_data.materia import Materia

BLIND = Path(__file__).parent / "blind"
_LISTS = frozenset({"flavors", "channels", "parts"})
_NAMES = frozenset({"name", "pinyin", "alias", "name_en", "latin"})
Line = dict[str, str]


@dataclass(frozen=True)
class Measured:
    """outcomes: of the expected lines. right: placed so, asked where a question was called for, or kept aside; asked:
    not placed, a question was raised; missed, wrong: neither.
    wrong_safety: safety values placed without a question that nobody wrote down; misses: the lines that are not right.
    """

    outcomes: Counter[str]
    wrong_safety: tuple[str, ...]
    misses: tuple[str, ...]


def measure(materia: Materia, sheet: str) -> Measured:
    """Adopt the sheet and compare line by line."""
    result = adopt(materia, BLIND / sheet)
    lines = _expected(sheet)
    outcomes = [(_outcome(materia, result, line, lines), line) for line in lines]
    misses = tuple(f"{outcome}: {' '.join(line.values())}" for outcome, line in outcomes if outcome != "right")
    return Measured(
        Counter(outcome for outcome, _ in outcomes), tuple(_wrong_safety(materia, result, lines)), misses
    )  # fmt: skip


def _expected(sheet: str) -> list[Line]:
    with (BLIND / "expected.csv").open(encoding="utf-8-sig", newline="") as file:
        return [line for line in csv.DictReader(file) if line["sheet"] == sheet]


def _outcome(materia: Materia, result: Adopted, line: Line, lines: list[Line]) -> str:
    here = [one for one in result.placed if _at(one, line)]
    asked = [one for one in result.questions if one.kind != "looser" and _is_at(one, line["row"], line["heading"])]
    whose = any(one.kind == "name" and _is_at(one, line["row"]) for one in result.questions)
    if line["table"] == "ask":
        return "right" if asked or (whose and line["heading"] in _name_headings(result)) else "missed"
    if line["table"] == "unplaced":
        others = [one for one in lines if _same_cell(one, line) and one["table"] != "unplaced"]
        strange = [
            one for one in here
            if one.table != "names"
            and one.verdict != "held" and not any(_same(materia, one, other) for other in others)
        ]  # fmt: skip
        return "wrong" if strange else "right"
    if line["table"] == "subject":
        names = [one for one in result.placed if str(one.place.row) == line["row"] and one.table == "names"]
        found = {one.record.split("|")[0] for one in names}
        return "asked" if whose else "right" if found == {line["record"]} else "wrong" if found else "missed"
    matching = [one for one in here if _same(materia, one, line)]
    if any(one.verdict != "held" or _only_milder(result, one) or whose for one in matching):
        return "right"
    if matching or asked:
        return "asked"
    alike = [one for one in here if (one.table, one.column) == (line["table"], line["column"])]
    return "wrong" if alike else "missed"


def _same(materia: Materia, one: Placed, line: Line) -> bool:
    """Whether the placed value is the expected one; an action may stand on a narrower one, a pair in any list, a way
    of cooking with any force, lists in any order."""
    if one.table != line["table"]:
        return False
    mine, theirs = one.record.split("|"), line["record"].split("|")
    if one.table == "antagonisms":
        return mine[:2] == theirs[:2]
    if one.table == "handling":
        return mine == theirs
    if one.table == "names":
        return mine[0] == theirs[0] and (line["value"] in mine or one.verdict == "same")
    if one.table == "herb_actions":
        return mine[0] == theirs[0] and theirs[1] in materia.facts.vocabularies["actions"].up(mine[1])
    if (mine, one.column) != (theirs, line["column"]):
        return False
    if one.column in _LISTS:
        return set(one.value.split(";")) == set(line["value"].split(";"))
    return one.value == line["value"]


def _only_milder(result: Adopted, one: Placed) -> bool:
    """Whether all that it waits for is whether a milder value than the base's is meant."""
    start = f"looser: {one.record.split('|')[0]} "
    return any(question.key.startswith(start) and one.place in question.places for question in result.questions)


def _wrong_safety(materia: Materia, result: Adopted, lines: list[Line]) -> Iterable[str]:
    for one in result.placed:
        if not one.safety or one.verdict == "held" or one.column in ("unit", "reading"):
            continue
        if not any(_at(one, line) and _same(materia, one, line) for line in lines):
            yield f"{one.place}: {one.table} {one.record} {one.column}={one.value} ({one.verdict})"


def _at(one: Placed, line: Line) -> bool:
    return (str(one.place.row), one.place.column) == (line["row"], line["heading"])


def _is_at(question: Question, row: str, heading: str | None = None) -> bool:
    return any(str(place.row) == row and heading in (None, place.column) for place in question.places)


def _same_cell(one: Line, other: Line) -> bool:
    return (one["row"], one["heading"]) == (other["row"], other["heading"])


def _name_headings(result: Adopted) -> set[str]:
    return {column.heading for column in result.columns if set(column.means.split("+")) & _NAMES}
