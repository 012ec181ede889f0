"""A sheet gone through row by row: whose row it is, and each cell read by what its column may hold."""

from collections.abc import Sequence
from dataclasses import replace

from materia_data.change.adopt.against import Verdict, against, dose_rows
from materia_data.change.adopt.cells import SAFETY, Asked, read_cell, says_nothing
from materia_data.change.adopt.clauses import listed
from materia_data.change.adopt.columns import decide
from materia_data.change.adopt.desk import LEAVE, STRICTNESS, Desk, Laid
from materia_data.change.adopt.doses import Known
from materia_data.change.adopt.headings import NAMES, repeated
from materia_data.change.adopt.identity import Meant
from materia_data.change.adopt.laying import lay, lay_answer
from materia_data.change.adopt.result import Column, Place
from materia_data.change.adopt.say import say
from materia_data.change.adopt.sheets import Cell, Sheet
from materia_data.change.adopt.whose import language, meant_by, whose

_FOREIGN = ("name_en", "latin")


def take(desk: Desk, sheet: Sheet, heading_row: int) -> None:
    """Go through a sheet row by row."""
    desk.headed = True
    desk.sheets.append((sheet.name, sheet.read_as, heading_row))
    columns, asked = decide(desk.identifier, sheet, heading_row, desk.decisions.columns)
    for question in asked:
        desk.ask(question)
    columns = [_answered(desk, column) for column in columns]
    desk.columns += columns
    headings = tuple(cell.text for cell in sheet.rows[heading_row])
    by_number = {column.number: column for column in columns}
    for row, number, text in sheet.notes:
        column = by_number.get(number)
        desk.keep(Place(sheet.name, row, column.heading if column else str(number)), text, "a note on the cell")
    section = ""
    for row in sorted(sheet.rows):
        cells = sheet.rows[row]
        if row < heading_row:
            for number, cell in enumerate(cells, 1):
                if cell.text:
                    desk.keep(Place(sheet.name, row, str(number)), cell.text, "stands above the headings")
        elif row > heading_row and not repeated(cells, headings):
            section = _row(desk, sheet.name, row, cells, columns, section)


def keep_sheet(desk: Desk, sheet: Sheet) -> None:
    """A sheet without headings is kept whole."""
    desk.sheets.append((sheet.name, sheet.read_as, 0))
    for row, cells in sheet.rows.items():
        for number, cell in enumerate(cells, 1):
            if cell.text:
                desk.keep(Place(sheet.name, row, str(number)), cell.text, "the sheet has no row of headings")


def _answered(desk: Desk, column: Column) -> Column:
    """A column that was asked about, as it was answered."""
    answer = desk.decisions.answers.get(f"column: {column.sheet}, {column.number}")
    if answer and not column.means and answer.answer != LEAVE:
        column = replace(column, means=answer.answer, why="answered")
    told = desk.decisions.answers.get(f"strictness: {column.sheet}, {column.heading}")
    if told and told.answer in STRICTNESS:
        column = replace(column, strictness=told.answer)
    return column


def _row(desk: Desk, sheet: str, row: int, cells: tuple[Cell, ...], columns: Sequence[Column], section: str) -> str:
    """Read one row; the heading of a section is remembered for the rows below it."""
    filled = [(column, cells[column.number - 1]) for column in columns if column.number <= len(cells)]
    filled = [(column, cell) for column, cell in filled if cell.text or cell.damage]
    strays = [
        (number, cell)
        for number, cell in enumerate(cells, 1)
        if cell.text and number not in {c.number for c in columns}
    ]
    for number, cell in strays:
        desk.keep(Place(sheet, row, str(number)), cell.text, "stands outside the columns with headings")
    if not filled:
        return section
    if len({cell.text for _, cell in filled}) == 1 and not meant_by(desk, sheet, row, filled)[0].stated:
        text = filled[0][1].text
        category = read_cell(desk.identifier, Asked(text, ("category",), "", "", "", Known(())))
        if category and category[0].sure:
            return text
        if len(filled) == 1 and len(columns) > 2:
            desk.keep(Place(sheet, row, filled[0][0].heading), text, "a line with one cell, and no name on record")
            return section
    desk.pending = ""
    subject, source = whose(desk, sheet, row, filled), _source(desk, filled)
    for column, cell in filled:
        place = Place(sheet, row, column.heading or str(column.number))
        roles = tuple(filter(None, column.means.split("+")))
        if "number" in roles:
            continue
        if cell.text and says_nothing(desk.identifier.lexicon.fold(cell.text)):
            if any(char.isalnum() for char in cell.text):
                desk.keep(place, cell.text, "says that there is nothing to say")
            continue
        _cell(desk, place, column, cell, roles, subject, source)
    if section and subject and not any("category" in column.means for column, _ in filled):
        said = read_cell(desk.identifier, Asked(section, ("category",), "", "", subject, Known(())))
        for reading in said:
            lay(desk, Place(sheet, row, "(section heading)"), subject, reading, source)
    return section


def _cell(
    desk: Desk, place: Place, column: Column, cell: Cell, roles: tuple[str, ...], subject: str, source: str
) -> None:
    """One cell, by what its column may hold."""
    if not subject:
        desk.keep(place, cell.text, "whose row it is, is not certain", _asked_of_row(desk, place))
    elif cell.damage:
        _damaged(desk, place, cell, roles, subject)
    elif not roles or roles == ("leave",):
        desk.keep(place, cell.text, "no table of ours for this column" if roles else column.why)
    elif roles == ("formulas",):
        desk.keep(place, cell.text, "formulas have tables of their own")
    elif roles == ("source",):
        desk.keep(place, cell.text, "named as the source of the row" if source else "no source of ours")
    elif set(roles) & set(NAMES):
        _naming(desk, place, cell.text, roles, subject)
    else:
        _read(desk, place, column, cell.text, roles, subject, source)


def _asked_of_row(desk: Desk, place: Place) -> str:
    """The key of the question whose row it is."""
    for key, question in desk.questions.items():
        if question.kind == "name" and any((p.sheet, p.row) == (place.sheet, place.row) for p in question.places):
            return key
    return ""


def _damaged(desk: Desk, place: Place, cell: Cell, roles: tuple[str, ...], subject: str) -> None:
    """A date or formula: asked about where people may be harmed, kept elsewhere."""
    if not set(roles) & SAFETY and not any(role.startswith("topic:") for role in roles):
        desk.keep(place, cell.text, cell.damage)
        return
    key = f"cell: {place.sheet}, {place.row}, {place.column}"
    asks = f"{desk.shown(subject)}: the cell holds {cell.text}, {cell.damage}. What was it?"
    desk.pose(key, "term", asks, (), place, safety=True)
    lay_answer(desk, key, place, subject, cell.text, cell.damage)


def _read(
    desk: Desk, place: Place, column: Column, text: str, roles: tuple[str, ...], subject: str, source: str
) -> None:
    facts = desk.identifier.lexicon.materia.facts
    rows = dose_rows(facts, subject) if "dose" in roles and subject in facts.number else []
    known = Known(tuple((row["route"], row["min"], row["max"], row["unit"]) for row in rows))
    asked = Asked(text, roles, column.unit, column.strictness, subject, known)
    for reading in read_cell(desk.identifier, asked):
        lay(desk, place, subject, reading, source)


def _naming(desk: Desk, place: Place, text: str, roles: tuple[str, ...], subject: str) -> None:
    """A name of the row's medicinal: the standard ones agree or are other names; each other name is looked up."""
    kind = next((role for role in roles if role in NAMES), "name")
    parts = listed(text) if "alias" in roles else [text]
    for part in parts:
        if says_nothing(desk.identifier.lexicon.fold(part)):
            continue
        meant = desk.identifier.text(part)
        if "alias" in roles and meant.stated and subject not in meant.subjects and not _kin(meant, subject):
            key = f"name: {part}, {subject}"
            others = ", ".join(desk.shown(id) for id in meant.subjects[:3])
            asks = f"The sheet calls {desk.shown(subject)} also {part}, which is a name of {others}. Is it so?"
            desk.pose(key, "name", asks, ("yes",), place, safety=True)
            if desk.questions[key].answer != "yes":
                desk.keep(place, part, "a name of another medicinal", key)
                continue
        said = say("names", {"name": part, "lang": language(desk, part, kind), "kind": "alternate"})
        verdict = against(desk.identifier.lexicon.materia.facts, subject, said)
        if verdict.verdict == "adds" and kind not in ("alias", *_FOREIGN) and meant.stated:
            verdict = Verdict("same", said, subject, meant.why)
        if verdict.verdict == "adds" and kind in _FOREIGN and meant.stated and subject not in meant.subjects:
            desk.keep(place, part, "a name of another medicinal")
            continue
        why = meant.why if meant.stated else "a name not on record"
        desk.laid.append(Laid(place, subject, said, verdict, why, "", desk.pending))


def _kin(meant: Meant, subject: str) -> bool:
    return any(id.partition(".")[0] == subject.partition(".")[0] for id in meant.subjects)


def _source(desk: Desk, filled: Sequence[tuple[Column, Cell]]) -> str:
    """The id of the source that the row names, if it is one of ours."""
    table = desk.identifier.lexicon.materia.package.tables["sources"]
    for column, cell in filled:
        if column.means == "source":
            text = desk.identifier.lexicon.fold(cell.text)
            for id, title in zip(table.columns["id"], table.columns["title"], strict=True):
                if text in (id, desk.identifier.lexicon.fold(title)):
                    return id
    return ""
