"""Tables as a spreadsheet that colleagues correct, and the way back with a verdict for every changed cell.

materia spreadsheet out FILE.xlsx            write the tables, a sheet a table
materia spreadsheet in FILE.xlsx             judge what came back; the verdicts stand beside the cells in a copy
materia spreadsheet in FILE.xlsx --apply     and put the accepted cells into the package, all or none
Exit 0 when nothing is refused or questioned, 1 when something is, 2 when the file cannot be read or written.
"""

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from materia_data.change.spreadsheet.inward import CameBack, Judged, spreadsheet_in
from materia_data.change.spreadsheet.layout import WAYS
from materia_data.change.spreadsheet.out import WentOut, spreadsheet_out
from materia_data.change.spreadsheet.trouble import SpreadsheetError
from materia_data.check.report import visible
from materia_data.cli.answer import answer, data_options, open_data, writable
from materia_data.cli.trouble import Trouble
from materia_data.materia import Materia
from materia_data.notice import TEACHING

_MOST = 40
_WORDS = {
    "accepted": "accepted",
    "refused": "REFUSED",
    "needs-source": "NEEDS A SOURCE",
    "both-changed": "CHANGED ON BOTH SIDES",
    "loosens-safety": "LOOSENS SAFETY",
    "other-type": "CAME BACK AS ANOTHER TYPE",
}


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("way", choices=("out", "in"), help="out to a colleague, or in again")
    parser.add_argument("file", metavar="FILE", help="the spreadsheet, an .xlsx file")
    parser.add_argument("--by", choices=WAYS, default="table", help="out: a sheet a table, or a sheet a category")
    parser.add_argument("--apply", action="store_true", help="in: write the accepted cells into the package")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    if args.way == "out" and args.apply:
        raise Trouble("--apply goes with `spreadsheet in`: going out changes nothing.")
    materia = open_data(args, kept=args.way == "in")
    if materia.layers:
        raise Trouble("a spreadsheet carries the shared data and not a layer's. Leave --layer out.")
    if args.apply:
        writable(materia)
    try:
        if args.way == "out":
            went = spreadsheet_out(materia, Path(args.file), args.by)
            answer(args, lambda: asdict(went), lambda: _went(went))
            return 0
        back = spreadsheet_in(materia, Path(args.file), apply=args.apply)
    except SpreadsheetError as error:
        raise Trouble(str(error)) from None
    except OSError as error:
        raise Trouble(f"{error.filename or args.file}: {(error.strerror or str(error)).lower()}.") from None
    answer(args, lambda: asdict(back), lambda: _back(back, materia, applied=args.apply))
    return 0 if back.settled else 1


def _went(went: WentOut) -> str:
    kind = "a sheet a category" if went.by == "category" else "a sheet a table"
    return (
        f"{went.file}: {went.rows} rows in {len(went.sheets)} sheets, {kind}, release {went.release}.\n"
        f"Send it out; bring it back with `materia spreadsheet in {Path(went.file).name}`.\n{TEACHING}\n"
    )


def _back(back: CameBack, materia: Materia, *, applied: bool) -> str:
    return "\n".join(visible(line) for line in _lines(back, materia, applied)) + "\n"


def _lines(back: CameBack, materia: Materia, applied: bool) -> Iterator[str]:
    yield f"{back.file} left with release {back.left}; the package is release {back.release}"
    for damage in back.damages:
        where = ", ".join(filter(None, (damage.sheet, damage.cells)))
        yield f"DAMAGE {damage.kind.replace('-', ' ')}{': ' + where if where else ''}"
        yield f"    {damage.what} {damage.why}"
        of = [cell for cell in back.cells if _lost(cell) and (cell.rule, cell.sheet) == (damage.kind, damage.sheet)]
        for cell in of[:_MOST]:
            yield f"    {cell.cell} is {_called(cell, materia)}: {cell.column}. {cell.reason}"
        yield f"    tip: {damage.todo}"
    named = {damage.kind for damage in back.damages}
    said: dict[tuple[str, str, str], int] = {}
    for cell in back.cells:
        if cell.rule in named and cell.verdict in ("refused", "other-type"):
            continue
        group = (cell.verdict, cell.rule, cell.table)
        said[group] = said.get(group, 0) + 1
        if said[group] <= _MOST:
            yield from _cell(cell, materia)
    for (verdict, rule, table), count in said.items():
        if count > _MOST:
            yield f"… and {count - _MOST} more {_WORDS[verdict]} in {table}{f' [{rule}]' if rule else ''}"
    yield _counts(back)
    if back.beside:
        yield f"Verdicts beside the cells: {back.beside}"
    accepted = any(cell.verdict == "accepted" for cell in back.cells)
    if back.written:
        yield f"Written: {', '.join(back.written)}"
    elif accepted and not applied:
        yield "Nothing was written; --apply writes what is accepted."
    elif applied:
        yield "Nothing was to be written."


def _lost(cell: Judged) -> bool:
    """Whether the spreadsheet program put something else in the place of the text."""
    return cell.verdict == "other-type" and bool(cell.column and cell.cell)


def _cell(cell: Judged, materia: Materia) -> Iterator[str]:
    place = f"{cell.sheet}!{cell.cell}" if cell.cell else cell.sheet
    yield f"{_WORDS[cell.verdict]}  {place}  {_called(cell, materia)}: {_change(cell)}"
    if cell.reason:
        rule = f" [{cell.rule}]" if cell.rule else ""
        yield f"    {cell.reason}{rule}"
    if cell.tip:
        yield f"    tip: {cell.tip}"


def _called(cell: Judged, materia: Materia) -> str:
    """The name of the subject that the row speaks of, and the row's key."""
    subject = cell.record.split("|")[0]
    kind = materia.package.subject_table(subject)
    key = cell.record.strip("|").replace("|", ", ")
    if kind is None:
        return f"{cell.table} {key}"
    table = materia.package.tables[kind]
    return f"{table.columns['name_hans'][table.rows_of('id')[subject][0]]} {key}"


def _change(cell: Judged) -> str:
    if not cell.column:
        return f"row of {cell.table} taken out: {cell.before}"
    return f"{cell.column}, {cell.before or 'empty'} → {cell.after or 'empty'}"


def _counts(back: CameBack) -> str:
    if not back.cells:
        return "Nothing was changed." if not back.damages else "No cell was changed."
    counts = Counter(cell.verdict for cell in back.cells)
    told = [f"{counts[verdict]} {word.lower()}" for verdict, word in _WORDS.items() if counts[verdict]]
    total = len(back.cells)
    return f"{total} changed cell{'' if total == 1 else 's'}: {', '.join(told)}"
