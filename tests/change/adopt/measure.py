"""How rightly a sheet was adopted, against what someone wrote down who had not seen the code."""

import csv
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from materia_data.change.adopt.adopt import adopt
from materia_data.change.adopt.result import Adopted, Placed
from materia_data.materia import Materia

BLIND = Path(__file__).parent / "blind"
_LISTS = frozenset({"flavors", "channels", "parts"})


@dataclass(frozen=True)
class Measured:
    """outcomes: of the expected lines (right, asked, missed, wrong); wrong_safety: safety placed that nobody expected,
    without a question; misses: expected lines that are not right, with what became of them."""

    outcomes: Counter[str]
    wrong_safety: tuple[str, ...]
    misses: tuple[str, ...]

    @property
    def rate(self) -> float:
        """Right ones among all."""
        return self.outcomes["right"] / sum(self.outcomes.values())


def expected(sheet: str) -> list[dict[str, str]]:
    """The lines written down for one sheet."""
    with (BLIND / "expected.csv").open(encoding="utf-8-sig", newline="") as file:
        return [line for line in csv.DictReader(file) if line["sheet"] == sheet]


def measure(materia: Materia, sheet: str) -> Measured:
    """Adopt the sheet and compare line by line."""
    result = adopt(materia, BLIND / sheet)
    lines = expected(sheet)
    outcomes: Counter[str] = Counter()
    misses = []
    for line in lines:
        outcome = _outcome(result, line)
        outcomes[outcome] += 1
        if outcome != "right":
            misses.append(f"{outcome}: row {line['row']} {line['heading']}: {line['table']} {line['record']} {line['column']}={line['value']}")
    return Measured(outcomes, tuple(_wrong_safety(result, lines)), tuple(misses))


def _outcome(result: Adopted, line: dict[str, str]) -> str:
    here = [one for one in result.placed if (str(one.place.row), one.place.column) == (line["row"], line["heading"])]
    asked = [
        question for question in result.questions if question.kind != "looser"
        and any((str(place.row), place.column) == (line["row"], line["heading"]) for place in question.places)
    ]  # fmt: skip
    on_row = any(q.kind == "name" and any(str(p.row) == line["row"] for p in q.places) for q in result.questions)
    match line["table"]:
        case "ask":
            return "right" if asked or (on_row and line["heading"] in _names(result)) else "missed"
        case "unplaced":
            return "right" if all(one.table == "names" for one in here) or _others_expected(here, line) else "wrong"
        case "subject":
            found = {one.record.split("|")[0] for one in result.placed if str(one.place.row) == line["row"] and one.table == "names"}
            return "asked" if on_row else "right" if found == {line["record"]} else "wrong" if found else "missed"
        case _:
            matching = [one for one in here if _same(one, line)]
            if any(one.verdict != "held" or _only_looser(result, one) or on_row for one in matching):
                return "right"
            if matching or asked:
                return "asked"
            return "wrong" if any(one.table == line["table"] and one.column == line["column"] for one in here) else "missed"


def _names(result: Adopted) -> set[str]:
    return {column.heading for column in result.columns if set(column.means.split("+")) & {"name", "pinyin", "alias", "name_en", "latin"}}


def _others_expected(here: list[Placed], line: dict[str, str]) -> bool:
    """Where one line of a cell belongs nowhere and another somewhere, what is placed is the other's."""
    others = [one for one in expected(line["sheet"]) if (one["row"], one["heading"]) == (line["row"], line["heading"]) and one["table"] not in ("unplaced",)]
    return all(any(_same(placed, other) or placed.verdict == "held" for other in others) for placed in here if placed.table != "names")


def _same(one: Placed, line: dict[str, str]) -> bool:
    """Whether the placed value is the expected one; an action may stand on a narrower one, a pair in any list."""
    if one.table != line["table"]:
        return False
    if one.table == "antagonisms":
        return one.record.split("|")[:2] == line["record"].split("|")[:2]
    if one.table == "handling":
        return one.record == line["record"]
    if one.table == "names":
        return one.record.split("|")[0] == line["record"].split("|")[0] and (line["value"] in one.record or one.verdict == "same")
    if one.table == "herb_actions":
        return _action(one.record) == _action(line["record"]) or line["record"].split("|")[1] in one.why + one.base.replace(" ", "-") or _narrower(one.record, line["record"])
    if one.record != line["record"] or one.column != line["column"]:
        return False
    if one.column in _LISTS:
        return set(one.value.split(";")) == set(line["value"].split(";"))
    return one.value == line["value"]


def _action(record: str) -> tuple[str, ...]:
    return tuple(record.split("|")[:2])


def _narrower(mine: str, theirs: str) -> bool:
    from materia_data.materia import load

    global _TERMS
    if _TERMS is None:
        _TERMS = load().facts.vocabularies["actions"]
    a, b = _action(mine), _action(theirs)
    return a[0] == b[0] and b[1] in _TERMS.up(a[1])


_TERMS = None


def _only_looser(result: Adopted, one: Placed) -> bool:
    """Whether all that it waits for is whether a milder value than the base's is meant."""
    return any(
        question.kind == "looser" and question.key.startswith(f"looser: {one.record.split('|')[0]} ") and one.place in question.places
        for question in result.questions
    )  # fmt: skip


def _wrong_safety(result: Adopted, lines: list[dict[str, str]]) -> list[str]:
    """Safety values placed without a question where nobody wrote down such a thing."""
    found = []
    for one in result.placed:
        if not one.safety or one.verdict == "held" or one.column in ("unit", "reading"):
            continue
        here = [line for line in lines if (line["row"], line["heading"]) == (str(one.place.row), one.place.column)]
        if not any(_same(one, line) for line in here):
            found.append(f"row {one.place.row} {one.place.column}: {one.table} {one.record} {one.column}={one.value} ({one.verdict})")
    return found
