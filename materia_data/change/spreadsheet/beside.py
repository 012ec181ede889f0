"""A copy of the spreadsheet with the verdict beside each changed cell: a word in colour, and a note that says why."""

from collections.abc import Mapping, Sequence
from io import BytesIO
from pathlib import Path
from typing import Any

from materia_data.change.spreadsheet.judge import Verdict
from materia_data.change.spreadsheet.left import TITLE, Left
from materia_data.change.spreadsheet.out import OPTIONS, not_collecting
from materia_data.change.spreadsheet.returned import Cell, Damage
from materia_data.change.spreadsheet.scan import Grid, Other
from materia_data.change.spreadsheet.swap import write_file
from materia_data.change.spreadsheet.trouble import SpreadsheetError, need
from materia_data.notice import TEACHING

FIRST = "verdicts"
WORDS = {
    "accepted": ("ACCEPTED", "#1B5E20", "#DFF0D8"),
    "refused": ("REFUSED", "#8B0000", "#F8D7DA"),
    "needs-source": ("NEEDS A SOURCE", "#7A4B00", "#FFE8C2"),
    "both-changed": ("CHANGED ON BOTH SIDES", "#4A148C", "#E6DAF2"),
    "loosens-safety": ("LOOSENS SAFETY", "#FFFFFF", "#B00020"),
    "other-type": ("CAME BACK AS ANOTHER TYPE", "#0D3C75", "#D6E6F7"),
}
_HEADS = ("verdict", "sheet", "cell", "table", "record", "column", "as it left", "as it came back", "why", "what to do")
_WIDTHS = (32, 20, 12, 14, 30, 16, 30, 30, 60, 60)
_NOTE = {"author": "materia-data", "x_scale": 2.2, "y_scale": 1.8}


def write_beside(
    path: Path,
    book: Mapping[str, Grid],
    left: Left,
    judged: Sequence[tuple[Cell, Verdict]],
    damages: Sequence[Damage],
) -> bool:
    """Write the copy, over an older one; not if there is nothing to say. Returns whether it was written.

    It holds a sheet of all verdicts and damages, and every sheet in which a cell was changed, whole, with a column for
    the verdict right of each column with a changed cell. Raises SpreadsheetError if it cannot be written.
    """
    if not judged and not damages:
        return False
    try:
        import xlsxwriter
    except ImportError:
        raise need("XlsxWriter") from None
    held = BytesIO()
    workbook = xlsxwriter.Workbook(held, OPTIONS)
    with not_collecting():
        writer = _Writer(workbook)
        writer.list(judged, damages, left)
        by_sheet: dict[str, list[tuple[Cell, Verdict]]] = {}
        for cell, verdict in judged:
            if cell.row and cell.sheet in book:
                by_sheet.setdefault(cell.sheet, []).append((cell, verdict))
        for name, some in by_sheet.items():
            writer.sheet(name, book[name], some)
        workbook.close()
    try:
        write_file(path, held.getvalue())
    except OSError as error:
        raise SpreadsheetError(
            f"the verdicts could not be written to {path} ({(error.strerror or str(error)).lower()}). The package is "
            "as it was. Copy the spreadsheet into a folder that can be written to, and bring it in from there."
        ) from None
    return True


class _Writer:
    def __init__(self, book: Any) -> None:
        self._book = book
        text = {"num_format": "@", "valign": "top"}
        self._text = book.add_format(text)
        self._wrap = book.add_format({**text, "text_wrap": True})
        self._head = book.add_format({**text, "bold": True, "bg_color": "#DDE8DD", "bottom": 1})
        self._band = book.add_format({**text, "bold": True, "bg_color": "#F6EBD4"})
        self._words = {
            verdict: book.add_format({**text, "bold": True, "font_color": ink, "bg_color": paper, "border": 1})
            for verdict, (_, ink, paper) in WORDS.items()
        }
        self._cells = {
            verdict: book.add_format({**text, "bg_color": paper if ink != "#FFFFFF" else "#F8D7DA", "border": 1})
            for verdict, (_, ink, paper) in WORDS.items()
        }

    def list(self, judged: Sequence[tuple[Cell, Verdict]], damages: Sequence[Damage], left: Left) -> None:
        """The first sheet: every verdict, every damage."""
        sheet = self._book.add_worksheet(FIRST)
        for at, (head, width) in enumerate(zip(_HEADS, _WIDTHS, strict=True)):
            sheet.set_column(at, at, width, self._text)
            sheet.write_string(0, at, head, self._head)
        sheet.freeze_panes(1, 1)
        row = 0
        for damage in damages:
            row += 1
            cells = (damage.sheet, damage.cells, "", "", "", "", "", f"{damage.what} {damage.why}", damage.todo)
            sheet.write_string(row, 0, f"DAMAGE: {damage.kind.replace('-', ' ')}", self._words["refused"])
            self._line(sheet, row, cells)
        for cell, verdict in judged:
            row += 1
            sheet.write_string(row, 0, WORDS[verdict.verdict][0], self._words[verdict.verdict])
            rule = f" [{verdict.rule}]" if verdict.rule else ""
            what = (cell.sheet, cell.place, cell.table, cell.record, cell.column or "(the whole row)", cell.before)
            self._line(sheet, row, (*what, _shown(cell.after), verdict.reason + rule, verdict.tip))
        sheet.autofilter(0, 0, max(row, 1), len(_HEADS) - 1)
        sheet.write_string(row + 2, 0, f"Left with release {left.release}. {TEACHING}", self._text)

    def _line(self, sheet: Any, row: int, cells: Sequence[str]) -> None:
        lines = max(-(-len(text) // (width - 4)) for text, width in zip(cells, _WIDTHS[1:], strict=True))
        sheet.set_row(row, 16 * min(max(lines, 1), 12))
        for at, text in enumerate(cells, 1):
            if text:
                sheet.write_string(row, at, text[:32767], self._wrap)

    def sheet(self, name: str, grid: Grid, judged: Sequence[tuple[Cell, Verdict]]) -> None:
        """A sheet as it came back, with a column of verdicts beside each column that has one."""
        sheet = self._book.add_worksheet(name)
        widened = sorted({cell.at for cell, _ in judged})
        last = max((max(cells) for cells in grid.rows.values() if cells), default=1)
        place = {at: at - 1 + sum(other < at for other in widened) for at in range(1, last + 1)}
        verdicts = {(cell.row, cell.at): verdict for cell, verdict in judged}
        sheet.set_column(0, last + len(widened), 16, self._text)
        for at in widened:
            sheet.set_column(place[at] + 1, place[at] + 1, 28, self._text)
        for number, cells in grid.rows.items():
            mark = cells.get(1, "")
            head = isinstance(mark, str) and mark[:1] == "["
            plain = self._head if head else self._band if mark == TITLE else self._text
            for at, value in cells.items():
                verdict = verdicts.get((number, at))
                style = self._cells[verdict.verdict] if verdict else plain
                sheet.write_string(number - 1, place[at], _shown(value)[:32767], style)
                if head and at in widened:
                    sheet.write_string(number - 1, place[at] + 1, "verdict", self._head)
        for (number, at), verdict in verdicts.items():
            word = WORDS[verdict.verdict][0]
            sheet.write_string(number - 1, place[at] + 1, word, self._words[verdict.verdict])
            sheet.write_comment(number - 1, place[at] + 1, _note(word, verdict), _NOTE)
            if at not in grid.rows.get(number, {}):
                sheet.write_blank(number - 1, place[at], None, self._cells[verdict.verdict])
        if next(iter(grid.rows.values()), {}).get(1, "") != TITLE:
            sheet.freeze_panes(1, 2)


def _note(word: str, verdict: Verdict) -> str:
    parts = [word.capitalize() + ".", verdict.reason, verdict.tip, f"[{verdict.rule}]" if verdict.rule else ""]
    return " ".join(filter(None, parts))[:2000]


def _shown(value: "str | Other") -> str:
    return value if isinstance(value, str) else value.shown
