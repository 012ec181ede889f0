"""The way back: read, set against what left and against the package, judge, and put in what is accepted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from materia_data.change.spreadsheet.beside import write_beside
from materia_data.change.spreadsheet.damage import find_damage
from materia_data.change.spreadsheet.edits import Edit
from materia_data.change.spreadsheet.judge import Verdict, judge
from materia_data.change.spreadsheet.left import RECORD, Left, unpack
from materia_data.change.spreadsheet.out import not_collecting
from materia_data.change.spreadsheet.returned import Cell, Damage, Returned, set_against
from materia_data.change.spreadsheet.rewrite import rewritten
from materia_data.change.spreadsheet.scan import Grid, read_book
from materia_data.change.spreadsheet.swap import alone, write_together
from materia_data.change.spreadsheet.three_way import three_way
from materia_data.change.spreadsheet.trouble import SpreadsheetError
from materia_data.materia import Materia, load
from materia_data.read.package import Package

_OTHER_TYPES = frozenset({"numbers", "dates", "formulas", "errors", "truth-values"})
_KINDS = {"date": "the date ", "formula": "the formula ", "number": "the number "}
_NOTICES = frozenset({"other-release", "hidden-rows"})


@dataclass(frozen=True, slots=True)
class Judged:
    """One changed cell. record: the key of its row; column: empty for a row that is gone; before: as it left; after: as
    it came back; now: as the package has it; verdict: accepted, refused, needs-source, both-changed, loosens-safety
    or other-type; rule: what speaks; reason, tip: why, and what to do; sheet, cell: where it stands in the
    spreadsheet."""

    table: str
    record: str
    column: str
    before: str
    after: str
    now: str
    verdict: str
    rule: str
    reason: str
    tip: str
    sheet: str
    cell: str


@dataclass(frozen=True, slots=True)
class CameBack:
    """What came back. left: the release that the spreadsheet left with; release: that of the package; cells: every
    changed one; damages: what is named and not taken over; untouched: cells that came back as they left; beside: the
    copy with the verdicts, or empty; written: files of the package that were written."""

    file: str
    left: str
    release: str
    cells: tuple[Judged, ...]
    damages: tuple[Damage, ...]
    untouched: int
    beside: str
    written: tuple[str, ...]

    @property
    def settled(self) -> bool:
        """Whether nothing is refused or questioned."""
        held = any(damage.held or damage.kind not in _NOTICES for damage in self.damages)
        return not held and all(cell.verdict == "accepted" for cell in self.cells)


def spreadsheet_in(materia: Materia, path: Path, *, apply: bool = False, day: date | None = None) -> CameBack:
    """Judge each changed cell of a spreadsheet that left, and write the verdicts beside them in a copy.

    apply: put the accepted cells into the package, all of them or, whatever goes wrong, none. Raises SpreadsheetError
    for a file that cannot be read and a package that cannot take it, OSError where the disk fails.
    """
    _readable(materia.package)
    with not_collecting():
        book = _book(path)
        left = _left(book, path)
        back = set_against(left, book)
        damages = [*_other_release(left, materia), *find_damage(left, book, back, materia.package)]
        now: dict[Cell, str] = {}
        verdicts = _held(back, damages)
        edits = three_way(left, back, materia.package, verdicts, now)
        verdicts |= judge(materia, edits, verdicts, day)
        records = {cell: edit.record for edit in edits for cell in edit.cells.values()}
        cells = tuple(_judged(cell, verdicts[cell], now, records) for cell in back.all())
        beside = path.with_name(f"{path.stem}.verdicts.xlsx")
        shown = write_beside(beside, book, left, [(cell, verdicts[cell]) for cell in back.all()], damages)
    accepted = {cell for edit in edits for cell in edit.cells.values() if verdicts[cell].verdict == "accepted"}
    written = _apply(materia.package, edits, accepted) if apply and accepted else ()
    copy = str(beside) if shown else ""
    return CameBack(str(path), left.release, materia.release_id, cells, tuple(damages), back.same, copy, written)


def _book(path: Path) -> Mapping[str, Grid]:
    if not path.is_file():
        raise SpreadsheetError(f"there is no file {path}. Name the spreadsheet that came back.")
    return read_book(path)


def _readable(package: Package) -> None:
    if package.problems:
        problem = package.problems[0]
        raise SpreadsheetError(
            f"the package itself cannot be read whole: {problem.file}:{problem.line}: {problem.message} {problem.tip} "
            "Mend it first; `materia check` names everything."
        )


def _left(book: Mapping[str, Grid], path: Path) -> Left:
    if RECORD not in book:
        raise SpreadsheetError(
            f"{path.name} has no hidden sheet “{RECORD}” with the cells as they left, so nobody can tell what was "
            "changed in it. Make the corrections in the spreadsheet that `materia spreadsheet out` wrote (not in the "
            "copy with the verdicts); a spreadsheet of your own comes in with `materia adopt`."
        )
    cells = (cells.get(1, "") for _, cells in sorted(book[RECORD].rows.items()) if cells)
    return unpack([cell if isinstance(cell, str) else "" for cell in cells])


def _other_release(left: Left, materia: Materia) -> list[Damage]:
    if left.release == materia.release_id:
        return []
    return [Damage("other-release", "", "", 0,
        f"The spreadsheet left with release {left.release}, the package is {materia.release_id}.",
        "The package was changed since, or this is another package.",
        "Each cell was compared with what left and what stands now; where both changed, it is not taken over.",
    )]  # fmt: skip


def _held(back: Returned, damages: Sequence[Damage]) -> dict[Cell, Verdict]:
    """Verdicts of the cells that are part of a damage."""
    said = {(damage.kind, damage.sheet): damage for damage in damages}
    found = {}
    for cell in back.all():
        if cell.damage:
            damage = said[cell.damage, cell.sheet]
            verdict = "other-type" if cell.damage in _OTHER_TYPES else "refused"
            reason = damage.why
            if not isinstance(cell.after, str):
                kind = _KINDS.get(cell.after.kind, "")
                reason = f"It came back as {kind}{cell.after.shown}; as it left it was the text “{cell.before}”."
            found[cell] = Verdict(verdict, cell.damage, reason, damage.todo.replace("None is taken over. ", ""))
    return found


def _judged(cell: Cell, verdict: Verdict, now: Mapping[Cell, str], records: Mapping[Cell, str]) -> Judged:
    after = cell.after if isinstance(cell.after, str) else cell.after.shown
    record = cell.record or records.get(cell, "")
    stands = now.get(cell, "")
    return Judged(cell.table, record, cell.column, cell.before, after, stands, *verdict, cell.sheet, cell.place)


def _apply(package: Package, edits: Sequence[Edit], accepted: set[Cell]) -> tuple[str, ...]:
    """Write the accepted cells, if the package is still the one that was judged."""
    root = package.root
    with alone(root):
        stands = load(root).package
        if stands.rules != package.rules or any(
            table.columns != package.tables[name].columns for name, table in stands.tables.items()
        ):
            raise SpreadsheetError("the package was changed while this ran. Nothing was written; run it again.")
        files: dict[str, bytes] = {}
        for name, table in stands.tables.items():
            some = [e for e in edits if e.table == name and any(cell in accepted for cell in e.cells.values())]
            if some:
                files[table.file] = rewritten((root / table.file).read_bytes(), table, some, accepted)
        if len(files) > 1 and Path.cwd().is_relative_to(root.resolve()):
            raise SpreadsheetError(
                f"the folder {root.resolve()} is replaced as a whole, and you stand in it. Nothing was written; run it "
                "from outside of it."
            )
        try:
            write_together(root, files)
        except OSError as error:
            raise SpreadsheetError(
                f"{root} could not be written ({(error.strerror or str(error)).lower()}). It is as it was; make "
                "room, or ask for the right to write there."
            ) from None
    return tuple(files)
