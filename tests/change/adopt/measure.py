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
_TOLD_WITH = frozenset({"unit", "reading"})
"""Columns that stand beside a value and that nobody wrote a line for."""
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


def measure(materia: Materia, sheet: str, folder: Path = BLIND) -> Measured:
    """Adopt the sheet of the folder and compare line by line."""
    result = adopt(materia, folder / sheet)
    lines = _expected(folder, sheet)
    outcomes = [(_outcome(materia, result, line, lines), line) for line in lines]
    misses = tuple(f"{outcome}: {' '.join(line.values())}" for outcome, line in outcomes if outcome != "right")
    return Measured(
        Counter(outcome for outcome, _ in outcomes), tuple(_wrong_safety(materia, result, lines)), misses
    )  # fmt: skip


def _expected(folder: Path, sheet: str) -> list[Line]:
    with (folder / "expected.csv").open(encoding="utf-8-sig", newline="") as file:
        return [line for line in csv.DictReader(file) if line["sheet"] == sheet]


def _outcome(materia: Materia, result: Adopted, line: Line, lines: list[Line]) -> str:
    here = [one for one in result.placed if _at(one, line)]
    asked = [one for one in result.questions if one.kind != "looser" and _is_at(one, line["row"], line["heading"])]
    whose = any(one.kind == "name" and _is_at(one, line["row"]) for one in result.questions)
    if line["table"] == "ask":
        held = whose and held_back(result, line["row"])
        return "right" if asked or held else "missed"
    if line["table"] == "unplaced":
        others = [one for one in lines if _same_cell(one, line) and one["table"] != "unplaced"]
        strange = [
            one for one in here
            if one.table != "names"
            and one.column not in _TOLD_WITH
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
        inherited = one.verdict == "same" and mine[0] == theirs[0].partition(".")[0]
        return (mine[0] == theirs[0] or inherited) and theirs[1] in materia.facts.vocabularies["actions"].up(mine[1])
    if (mine, one.column) != (theirs, line["column"]):
        return False
    if one.column in _LISTS:
        return set(one.value.split(";")) == set(line["value"].split(";"))
    return one.value == line["value"]


def held_back(result: Adopted, row: str) -> bool:
    """Whether nothing of a row stands in the layer, or is taken for said by the base, before it is known whose it is:
    everything read of it waits for the question of its name."""
    here = [one for one in result.placed if str(one.place.row) == row]
    named = [one for one in result.questions if one.kind == "name" and _is_at(one, row)]
    return bool(named) and all(one.verdict == "held" and not one.written for one in here)


def _only_milder(result: Adopted, one: Placed) -> bool:
    """Whether all that it waits for is whether a milder value than the base's is meant."""
    start = f"looser: {one.record.split('|')[0]} "
    return any(question.key.startswith(start) and one.place in question.places for question in result.questions)


def _wrong_safety(materia: Materia, result: Adopted, lines: list[Line]) -> Iterable[str]:
    for one in result.placed:
        if not one.safety or one.verdict == "held" or one.column in _TOLD_WITH:
            continue
        if not any(_at(one, line) and _same(materia, one, line) for line in lines):
            yield f"{one.place}: {one.table} {one.record} {one.column}={one.value} ({one.verdict})"


def _at(one: Placed, line: Line) -> bool:
    return (str(one.place.row), one.place.column) == (line["row"], line["heading"])


def _is_at(question: Question, row: str, heading: str | None = None) -> bool:
    return any(str(place.row) == row and heading in (None, place.column) for place in question.places)


def _same_cell(one: Line, other: Line) -> bool:
    return (one["row"], one["heading"]) == (other["row"], other["heading"])
