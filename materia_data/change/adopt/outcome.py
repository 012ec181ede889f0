"""From everything read to the answer: what is placed, what differs, the layer and the other files."""

import csv
import io
from collections.abc import Iterable
from dataclasses import replace

from materia_data.change.adopt.desk import Desk, Laid
from materia_data.change.adopt.layer import layer_files
from materia_data.change.adopt.mapping import FILE, mapping_text
from materia_data.change.adopt.result import Adopted, Difference, LeftOver, Place, Placed, Question, Term
from materia_data.change.adopt.say import Say, told
from materia_data.check.run import today

_KINDS = ("looser", "against", "stricter", "adds", "differs")
_DIFFERENCE = ("kind", "subject", "name", "table", "record", "column", "base", "school", "safety", "written")
_LEFT = ("text", "why", "question")
_PLACED = ("table", "record", "column", "value", "safety", "verdict", "written", "base", "why")
_KEYS = frozenset(
    {"action", "site", "cause", "route", "per", "population", "purpose", "topic", "target", "handling", "with"}
    | {"list", "name", "lang"}
)
_OF_FORMS = frozenset({"nature", "flavors", "channels", "parts", "toxicity"})
_BASED = frozenset({"herbs", "forms", "herb_actions", "doses", "cautions", "handling", "antagonisms"})


def outcome(desk: Desk, file: str, title: str) -> Adopted:
    """The answer to a whole file."""
    laid = _once(desk)
    rows: dict[tuple[str, str], dict[str, str]] = {}
    for id, cells in desk.new.items():
        rows["herbs", id] = dict(cells, basis="common-practice")
    placed: list[Placed] = []
    differences: list[Difference] = []
    for one in laid:
        written = _written(desk, one)
        if written:
            _write(desk, rows, one)
        placed += _placed(desk, one, written)
        if one.verdict.verdict != "same" and (not one.question or desk.questions[one.question].kind == "looser"):
            differences += _difference(desk, one, written)
    differences = sorted(dict.fromkeys(differences), key=_order)
    questions = sorted(desk.questions.values(), key=lambda one: (bool(one.answer), _rank(one)))
    package = desk.identifier.lexicon.materia.package
    files = {
        FILE: mapping_text(file, desk.layer, title, desk.sheets, desk.columns, _terms(desk), questions),
        "differences.csv": _table(_DIFFERENCE, ((*_cells(one, _DIFFERENCE), *_at(one.place)) for one in differences)),
        "left-over.csv": _table(_LEFT, ((*_cells(one, _LEFT), *_at(one.place)) for one in desk.kept)),
        "placed.csv": _table(_PLACED, ((*_cells(one, _PLACED), *_at(one.place)) for one in placed)),
        **{f"layer/{path}": text for path, text in layer_files(desk.layer, title, package.version, rows).items()},
    }
    return Adopted(
        file=file,
        id=desk.layer,
        title=title,
        base=desk.identifier.lexicon.materia.release_id,
        read_as=tuple(how if name == file else f"{name}, {how}" for name, how, _ in desk.sheets),
        subjects=tuple(desk.subjects),
        columns=tuple(desk.columns),
        terms=tuple(_terms(desk)),
        questions=tuple(questions),
        placed=tuple(placed),
        left_over=tuple(desk.kept),
        differences=tuple(differences),
        files=files,
    )


def _once(desk: Desk) -> list[Laid]:
    """Each saying once. Where two rows say different things for one place, the first stands and the other is kept; of
    safety both wait for an answer."""
    first: dict[tuple[str, str, str], Laid] = {}
    found: list[Laid] = []
    for one in desk.laid:
        if one.verdict.verdict == "same" or one.says.table in ("herb_actions", "names"):
            found.append(one)
            continue
        column = one.says.cells[0][0] if one.says.table in ("herbs", "forms") else ""
        place = one.says.table, one.verdict.record, column
        old = first.setdefault(place, one)
        if str(old.says) == str(one.says) or (old.question and old.question == one.question):
            found.append(one)
        elif one.says.safety:
            key = f"twice: {' '.join(place).strip()}"
            asks = f"{desk.shown(one.subject)}: the file says it twice and otherwise. Which stands?"
            may = tuple(dict.fromkeys((str(old.says), str(one.says))))
            desk.pose(key, "term", asks, may, one.place, safety=True)
            desk.pose(key, "term", asks, may, old.place, safety=True)
            answer = desk.questions[key].answer
            found.append(one if answer == str(one.says) else replace(one, question=one.question or key))
            found = [
                replace(each, question=each.question or key) if each is old and answer != str(old.says) else each
                for each in found
            ]
        else:
            desk.kept.append(LeftOver(one.place, str(one.says), f"the file says otherwise in row {old.place.row}", ""))
    return found


def _written(desk: Desk, one: Laid) -> bool:
    if one.verdict.verdict == "same":
        return False
    if not one.question:
        return True
    question = desk.questions[one.question]
    return question.kind == "looser" and question.answer == "school"


def _write(desk: Desk, rows: dict[tuple[str, str], dict[str, str]], one: Laid) -> None:
    cells = dict(_row(one.verdict.says, one.subject))
    if one.says.table in _BASED:
        cells |= {"basis": "memory" if one.source else "common-practice", "source": one.source}
    rows.setdefault((one.says.table, one.verdict.record), {}).update(cells)
    question = desk.questions.get(one.question)
    if question and question.kind == "looser":
        verdict = one.verdict
        key = one.subject, verdict.predicate, verdict.qualifiers, verdict.was, verdict.now
        rows["loosenings", "|".join(key)] = dict(
            zip(("subject", "predicate", "qualifiers", "was", "now"), key, strict=True),
            reason=question.reason, source=question.source, by=question.by, on_date=today().isoformat(),
        )  # fmt: skip


def _placed(desk: Desk, one: Laid, written: bool) -> Iterable[Placed]:
    verdict = "held" if one.question and not written else one.verdict.verdict
    says = one.says if one.verdict.verdict == "same" else one.verdict.says
    if says.table == "herbs" and one.verdict.says.table == "forms" and says.cells[0][0] in _OF_FORMS:
        says = one.verdict.says
    record = one.verdict.record
    for column, value in _filled(says):
        yield Placed(
            one.place, says.table, record, column, value, says.safety, verdict, written, one.verdict.base, one.why
        )


def _filled(says: Say) -> list[tuple[str, str]]:
    """The cells of ours that a saying fills, those of the key left out; of a way of cooking which it is."""
    found = [(column, value) for column, value in says.cells if value and column not in _KEYS]
    return [("handling", says.get("handling")), *found] if says.table == "handling" else found


def _row(says: Say, subject: str) -> dict[str, str]:
    """The row that a saying makes, with the columns that name its subject."""
    cells = dict(says.cells)
    if says.table in ("herbs", "forms"):
        return {"id": subject, **cells}
    if says.table == "antagonisms":
        a, b = sorted((subject, cells.pop("with")))
        return {"a": a, "b": b, **cells}
    return {"subject": subject, **cells}


def _difference(desk: Desk, one: Laid, written: bool) -> Iterable[Difference]:
    says = one.verdict.says
    school = says.cells[0][1] if says.table in ("herbs", "forms") else says.get("state") or told(says)
    column = (
        says.cells[0][0]
        if says.table in ("herbs", "forms")
        else {"doses": "max", "cautions": "state", "herb_actions": "action"}.get(says.table, "")
    )
    yield Difference(one.verdict.verdict, one.subject, desk.shown(one.subject), says.table, one.verdict.record, column,
                     one.verdict.base, school, says.safety, written, one.place)  # fmt: skip


def _order(one: Difference) -> tuple[bool, int, str, str]:
    return not one.safety, _KINDS.index(one.kind), one.subject, one.record


def _rank(one: Question) -> tuple[bool, int, str]:
    kinds = ("column", "name", "looser", "term")
    return not one.safety, kinds.index(one.kind), one.key


def _terms(desk: Desk) -> list[Term]:
    return sorted(desk.terms.values(), key=lambda term: (term.role, term.text))


def _table(heading: tuple[str, ...], rows: Iterable[Iterable[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*heading, "sheet", "row", "heading"])
    writer.writerows(rows)
    return out.getvalue()


def _cells(one: object, columns: tuple[str, ...]) -> list[str]:
    found = [getattr(one, column) for column in columns]
    return [("yes" if cell else "no") if isinstance(cell, bool) else _plain(cell) for cell in found]


def _at(place: Place) -> tuple[str, int, str]:
    return _plain(place.sheet), place.row, _plain(place.column)


def _plain(text: str) -> str:
    """A text that no spreadsheet program takes for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") and len(text) > 1 else text
