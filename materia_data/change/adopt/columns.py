"""What each column of a sheet holds: by its heading, by its cells, by what a person decided."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from materia_data.change.adopt.cells import SAFETY, Asked, read_cell, speaks_of_safety
from materia_data.change.adopt.clauses import listed
from materia_data.change.adopt.doses import Known
from materia_data.change.adopt.handling import read_handling
from materia_data.change.adopt.headings import NAMES, Headed, understand
from materia_data.change.adopt.identity import Identifier
from materia_data.change.adopt.result import Column, Place, Question
from materia_data.change.adopt.sheets import Cell, Sheet
from materia_data.change.adopt.tables import word_rows
from materia_data.change.adopt.trouble import AdoptError
from materia_data.suggest import did_you_mean

_SAMPLE = 30
_ENOUGH = 0.6
_TELLING = 3
_AMOUNT = re.compile(r"\d\s*(?:[-–—~～至]|to)\s*\d|\d\s*(?:g|mg|ml|克|毫克|毫升)", re.IGNORECASE)
_BY_CONTENT = (
    "nature",
    "flavors",
    "channels",
    "properties",
    "toxicity",
    "part",
    "category",
    "actions",
    "dose",
    "handling",
    "cautions",
    "name",
    "antagonisms",
)
_CHECKED = ("nature", "flavors", "channels", "properties", "toxicity", "part")


@dataclass(frozen=True, slots=True)
class Decided:
    """What a person decided about the column with this heading."""

    heading: str
    means: str
    strictness: str
    unit: str


def roles_known() -> tuple[str, ...]:
    """Every role a column may have."""
    return (*dict.fromkeys(row[0] for row in word_rows("headings.tsv")), "properties")


def decide(
    identifier: Identifier, sheet: Sheet, heading_row: int, decided: Mapping[tuple[str, int], Decided]
) -> tuple[list[Column], list[Question]]:
    """The columns left to right, and what is to be asked about them."""
    fold = identifier.lexicon.fold
    rows = [sheet.rows[number] for number in sorted(sheet.rows) if number > heading_row]
    above = [sheet.rows[number] for number in sorted(sheet.rows) if number == heading_row - 1]
    width = max(len(cells) for cells in (sheet.rows[heading_row], *rows))
    columns: list[Column] = []
    questions: list[Question] = []
    for at in range(width):
        heading = _cell(sheet.rows[heading_row], at)
        texts = [text for cells in rows if (text := _cell(cells, at))]
        if not heading and not texts:
            continue
        told = _told(decided, sheet.name, at + 1, heading)
        headed = understand(fold(heading))
        if not headed.roles and above and (over := _over(above[0], at)):
            headed = understand(fold(f"{over} {heading}"))
        means, why, asked = _weighed(identifier, headed, texts)
        unit, state = headed.unit, ""
        if (means, headed.roles) == ("name", ()) and _others(identifier, columns, rows, at):
            means, asked, why = "", "antagonisms", "its cells are names of other medicinals than the row's"
        if told is not None:
            _known(sheet.name, heading, told.means)
            why = why if told.means == means else "decided in the mapping"
            means, unit, state = told.means, told.unit, told.strictness
        if asked and not means:
            questions.append(_question(sheet.name, heading_row, heading, at, asked, why))
        columns.append(Column(sheet.name, at + 1, heading, means, why, unit, state))
    return columns, questions


def _others(identifier: Identifier, columns: list[Column], rows: list[tuple[Cell, ...]], at: int) -> bool:
    """Whether the names in a column are mostly not those of the rows that they stand in."""
    named = next((column.number - 1 for column in columns if column.means in NAMES), None)
    if named is None:
        return False
    pairs = [(identifier.text(_cell(cells, named)), identifier.text(_cell(cells, at))) for cells in rows]
    herbs = [
        [{id.partition(".")[0] for id in one.subjects} for one in pair] for pair in pairs if all(o.stated for o in pair)
    ]
    return sum(not own & other for own, other in herbs) > 0.5 * len(herbs)


def _told(decided: Mapping[tuple[str, int], Decided], sheet: str, number: int, heading: str) -> Decided | None:
    """What was decided about the column of this heading, where it stands now or where it stood then."""
    here = decided.get((sheet, number))
    if here and here.heading == heading:
        return here
    alike = [one for (name, _), one in decided.items() if name == sheet and one.heading == heading]
    return alike[0] if len(alike) == 1 and heading else None


def _known(sheet: str, heading: str, means: str) -> None:
    known = roles_known()
    for role in filter(None, means.split("+")):
        if role not in known:
            tip = did_you_mean(role, known) or f"A column may be {', '.join(known)}."
            raise AdoptError(f"The mapping says that the column {heading} of {sheet} holds {role}. {tip}")


def _weighed(identifier: Identifier, headed: Headed, texts: list[str]) -> tuple[str, str, str]:
    """Roles, the reason, and the role to be asked about, if any."""
    sample = texts[:_SAMPLE]
    if headed.roles:
        doubtful = [role for role in headed.roles if role in _CHECKED]
        few = len(headed.roles) == 1 and doubtful and len(sample) >= 3
        if few and _share(identifier, doubtful[0], sample) < 0.3:
            other = next((role for role in _BY_CONTENT if _share(identifier, role, sample) >= _ENOUGH), "")
            if other and other not in SAFETY:
                return other, f"{headed.why} names something else, but the cells read as {other}", ""
            return headed.roles[0], f"{headed.why}, though few cells read so", ""
        return "+".join(headed.roles), headed.why, ""
    shares = {role: _share(identifier, role, sample) for role in _BY_CONTENT if len(sample) > 1}
    role = max(shares, key=lambda role: shares[role], default="")
    if role and shares[role] >= _ENOUGH:
        why = f"no heading that we know, but {shares[role]:.0%} of its cells read as {role}"
        certain = role not in SAFETY or (role == "handling" and _cooks(identifier, sample))
        return (role, why, "") if certain else ("", why, role)
    if any(speaks_of_safety(identifier, text) for text in dict.fromkeys(texts)):
        return "", "no heading that we know, and some of its cells speak of safety", "note"
    if len(sample) < 2:
        return "", "no heading that we know, and too few cells to tell", ""
    return "", "neither its heading nor its cells are anything of ours", ""


def _cooks(identifier: Identifier, sample: list[str]) -> bool:
    """Whether several cells say different ways of cooking in words that are no way of taking a medicinal too."""
    routes = identifier.lexicon.terms("routes")
    told = [text for text in sample if not routes.get(identifier.lexicon.fold(text))]
    sure = [one for text in told if (one := read_handling(identifier.lexicon, text)) and all(each.sure for each in one)]
    return len(sure) >= _TELLING and len({str(one[0].says) for one in sure}) > 1


def _share(identifier: Identifier, role: str, sample: list[str]) -> float:
    """How many of the cells can be read in that role."""
    if role == "name":
        return sum(identifier.text(text).stated for text in sample) / len(sample)
    asked = [Asked(text, (role,), "g", "caution", "", Known(())) for text in sample]
    good = 0
    for one in asked:
        readings = read_cell(identifier, one)
        if role == "dose":
            good += bool(_AMOUNT.search(one.text)) and any(
                each.role == "dose" and each.choices and not each.why.startswith("not understood") for each in readings
            )
        elif role == "category":
            good += len(listed(one.text)) == 1 and bool(readings) and readings[0].sure
        elif role == "antagonisms":
            good += bool(readings) and all(reading.choices for reading in readings)
        else:
            good += bool(readings) and sum(reading.sure for reading in readings) >= 0.5 * len(readings)
    return good / len(sample) if sample else 0.0


def _question(sheet: str, row: int, heading: str, at: int, role: str, why: str) -> Question:
    looks = "It has" if role == "note" else f"Its cells look like {role}:"
    asks = f"What does the column {heading or at + 1} hold? {looks} {why}."
    return Question(
        f"column: {sheet}, {at + 1}",
        "column",
        True,
        asks,
        (role, "leave"),
        "",
        "",
        "",
        "",
        (Place(sheet, row, heading),),
    )


def _cell(cells: tuple[object, ...], at: int) -> str:
    return getattr(cells[at], "text", "") if at < len(cells) else ""


def _over(cells: tuple[object, ...], at: int) -> str:
    """The heading above, which a merged cell gives to the columns right of it too."""
    return next((text for place in range(at, -1, -1) if (text := _cell(cells, place))), "")
