"""What came back, set against the record of what left: changed cells, new rows, rows that are gone."""

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from materia_data.change.spreadsheet.left import ABOUT, LISTS, RECORD, TITLE, Left, Part
from materia_data.change.spreadsheet.scan import Grid, Other

Value = str | Other


@dataclass(eq=False, slots=True)
class Cell:
    """One cell that came back otherwise. record: the row's mark, empty in a new row; row, at: where it stands in the
    sheet, from 1; damage: the kind of damage that it is part of, or empty."""

    sheet: str
    table: str
    record: str
    column: str
    before: str
    after: Value
    row: int
    at: int
    damage: str = ""

    @property
    def place(self) -> str:
        """As the spreadsheet names it: `E12`; empty for a row that is gone."""
        return f"{letters(self.at)}{self.row}" if self.row else ""


@dataclass(frozen=True, slots=True)
class Damage:
    """Something that no person meant to change. kind: a word; sheet, cells: where; held: how many cells are not
    taken over because of it; what: what is; why: why it is not taken over; todo: what to do."""

    kind: str
    sheet: str
    cells: str
    held: int
    what: str
    why: str
    todo: str


@dataclass(eq=False, slots=True)
class Returned:
    """All that differs. cells: changed ones; new: the cells of each new row; gone: rows that left and did not come
    back, by table; order: of each table in each sheet the marks as they now stand, with their rows; damages: those of
    sheets, columns and marks; same: how many cells came back as they left."""

    cells: list[Cell] = field(default_factory=list)
    new: list[list[Cell]] = field(default_factory=list)
    gone: list[Cell] = field(default_factory=list)
    order: dict[tuple[str, str], list[tuple[str, int]]] = field(default_factory=dict)
    damages: list[Damage] = field(default_factory=list)
    same: int = 0

    def all(self) -> list[Cell]:
        """Changed cells, those of new rows, rows that are gone."""
        return [*self.cells, *(cell for row in self.new for cell in row), *self.gone]


def set_against(left: Left, book: Mapping[str, Grid]) -> Returned:
    """Compare each sheet that left with what came back under its name."""
    back = Returned()
    for name, parts in left.sheets.items():
        if name in book:
            _Reading(name, parts, book[name], back).read()
        else:
            rows = sum(len(part.rows) for part in parts.values())
            back.damages.append(Damage("sheet-deleted", name, "", 0, f"The sheet {name} is not there ({rows} rows).",
                "It was deleted or renamed; nobody can tell whether its rows should go.",
                "Nothing of it is taken over. Give the sheet its name back, or delete single rows in it."))  # fmt: skip
    for name in book.keys() - left.sheets.keys() - {ABOUT, LISTS, RECORD}:
        if any(book[name].rows.values()):
            back.damages.append(Damage("sheet-added", name, "", 0, f"The sheet {name} did not leave with the others.",
                "It belongs to no table.",
                "It is not read. Move its corrections into the sheets that left."))  # fmt: skip
    return back


def letters(at: int) -> str:
    """The letters of a column number from 1."""
    text = ""
    while at:
        at, low = divmod(at - 1, 26)
        text = chr(65 + low) + text
    return text


@dataclass(slots=True)
class _Header:
    """A header that was read. names: column names by column number; places: of the part's columns in order the column
    number, 0 for one that is not there; last: the last column number."""

    part: Part
    names: dict[int, str]
    places: list[int]
    last: int


class _Reading:
    def __init__(self, sheet: str, parts: Mapping[str, Part], grid: Grid, back: Returned) -> None:
        self._sheet, self._parts, self._grid, self._back = sheet, parts, grid, back
        self._seen: dict[str, set[str]] = {name: set() for name in parts}
        self._lost: dict[str, list[int]] = {name: [] for name in parts}
        self._extra: dict[str, list[str]] = {}
        self._stray: list[str] = []
        self._missing: dict[str, set[str]] = {name: set() for name in parts}
        self._waiting: list[tuple[_Header, int, str, Mapping[int, Value]]] = []

    def read(self) -> None:
        header: _Header | None = None
        headed, above = set[str](), list[int]()
        for number, cells in sorted(self._grid.rows.items()):
            if not cells:
                continue
            mark = cells.get(1, "")
            if isinstance(mark, str) and mark[:1] == "[" and mark[1:-1] in self._parts:
                header = self._header(self._parts[mark[1:-1]], cells)
                headed.add(header.part.table)
            elif mark == TITLE:
                header = None
            elif header is None:
                above.append(number)
            else:
                self._row(header, number, mark, cells)
        for each in sorted(self._waiting, key=lambda each: each[2] != ""):
            self._waited(*each)
        if above:
            self._say("header-moved", f"rows {_some(map(str, above))}", len(above),
                f"{_count(len(above), 'row')} of {self._sheet} {_stand(len(above))} under no header.",
                "Without a header nobody can tell which column a cell belongs to.",
                "Put the header rows (they begin with a name in square brackets) back where they were.")  # fmt: skip
        for name, part in self._parts.items():
            if name in headed or not part.rows:
                self._gone(part, also_above=bool(above))
            elif not above:
                self._say("header-moved", "", 0, f"The header row of {name} is not there.",
                    "Without it nobody can tell which column is which.",
                    f"Put the row back that began with [{name}], or correct a fresh copy.")  # fmt: skip
        self._tell()

    def _header(self, part: Part, cells: Mapping[int, Value]) -> _Header:
        names: dict[int, str] = {}
        for at, value in cells.items():
            if at == 1:
                continue
            name = value if isinstance(value, str) else value.shown
            if name in part.columns and name not in names.values():
                names[at] = name
            else:
                self._extra.setdefault(name, []).append(letters(at))
        by_name = {name: at for at, name in names.items()}
        self._missing[part.table] |= set(part.columns) - by_name.keys()
        return _Header(part, names, [by_name.get(column, 0) for column in part.columns], max(cells))

    def _row(self, header: _Header, number: int, mark: Value, cells: Mapping[int, Value]) -> None:
        part = header.part
        base = part.rows.get(mark) if isinstance(mark, str) else None
        if max(cells) > header.last:
            self._stray += [f"{letters(at)}{number}" for at in cells if at > header.last]
        if base is not None:
            self._known(header, number, str(mark), base, cells)
        elif mark != "":
            self._lost[part.table].append(number)
        else:
            self._waiting.append((header, number, "", cells))

    def _known(
        self, header: _Header, number: int, mark: str, base: list[str], cells: Mapping[int, Value], waited: bool = False
    ) -> None:
        """A row that left, found by its mark. With another key it waits: it may be a copy of the row for a new one."""
        part = header.part
        now = [cells.get(at, "") if at else base[i] for i, at in enumerate(header.places)]
        if now != base and not waited and _key(header, cells) != mark:
            self._waiting.append((header, number, mark, cells))
            return
        if mark in self._seen[part.table]:
            self._say("row-twice", f"A{number}", len(cells) - 1, f"The record {mark} stands in more than one row.",
                "Nobody can tell which of the rows counts; the first does.",
                f"Delete row {number}, or, if it should be a record of its own, give it a key of its own.")  # fmt: skip
            return
        self._seen[part.table].add(mark)
        self._back.order.setdefault((self._sheet, part.table), []).append((mark, number))
        if now == base:
            self._back.same += len(base)
            return
        for column, before, after, at in zip(part.columns, base, now, header.places, strict=True):
            if after == before or (isinstance(after, str) and before in (_composed(after), _written_out(after))):
                self._back.same += 1
            else:
                cell = Cell(self._sheet, part.table, mark, column, before, after, number, at)
                self._back.cells.append(cell)

    def _waited(self, header: _Header, number: int, mark: str, cells: Mapping[int, Value]) -> None:
        """A row without a mark, or with the mark of another key: the record of its key or mark, if that is not there
        otherwise, else a new one."""
        rows, seen = header.part.rows, self._seen[header.part.table]
        key = _key(header, cells)
        if key in rows and key not in seen:
            self._known(header, number, key, rows[key], cells, waited=True)
        elif mark and mark not in seen:
            self._known(header, number, mark, rows[mark], cells, waited=True)
        else:
            self._new(header, number, cells)

    def _new(self, header: _Header, number: int, cells: Mapping[int, Value]) -> None:
        row = [
            Cell(self._sheet, header.part.table, "", name, "", cells[at], number, at)
            for at, name in header.names.items()
            if cells.get(at, "") != ""
        ]
        if row:
            self._back.new.append(row)

    def _gone(self, part: Part, *, also_above: bool) -> None:
        seen = self._seen[part.table]
        gone = [mark for mark in part.rows if mark not in seen]
        if not gone or also_above or any(self._lost.values()):
            return
        cells = [Cell(self._sheet, part.table, mark, "", _brief(part.rows[mark]), "", 0, 0) for mark in gone]
        if len(gone) > max(10, len(part.rows) // 20):
            for cell in cells:
                cell.damage = "many-rows-gone"
            self._say("many-rows-gone", "", len(gone),
                f"{len(gone)} of {len(part.rows)} rows of {part.table} are gone.",
                "So many at once are more often lost than deleted.",
                "None is taken out. Delete a few at a time, or take them out of the CSV file.")  # fmt: skip
        self._back.gone += cells

    def _tell(self) -> None:
        for table, columns in self._missing.items():
            for column in sorted(columns) if self._seen[table] or self._lost[table] else ():
                self._say("column-deleted", "", 0, f"The column {column} of {table} is not there.",
                    "It was deleted or its header was changed; an empty cell would mean something else.",
                    "Its values stay as they were. Give the column its header back to correct it.")  # fmt: skip
        for name, ats in self._extra.items():
            self._say("column-added", f"column {', '.join(dict.fromkeys(ats))}", 0,
                f"The column “{name}” did not leave with the others.", "No table has such a column here.",
                "It is not read. Put remarks into the column note, or send them beside the spreadsheet.")  # fmt: skip
        if self._stray:
            self._say("cells-outside", _some(self._stray), len(self._stray),
                f"{_count(len(self._stray), 'cell')} {_stand(len(self._stray))} to the right of the last column.",
                "They belong to no column; cells may have been pushed to the right.",
                "They are not read. Undo the shift, or move the remarks into the column note.")  # fmt: skip
        for table, numbers in self._lost.items():
            if numbers:
                self._say("mark-changed", _some(f"A{number}" for number in numbers), len(numbers),
                    f"The grey first cell of {_count(len(numbers), 'row')} of {table} was changed.",
                    "It says which record the row is; without it nobody can tell.",
                    "The rows are not read, and no row of the sheet counts as deleted. Put the cells back; for a "
                    "new row leave the cell empty.")  # fmt: skip

    def _say(self, kind: str, cells: str, held: int, what: str, why: str, todo: str) -> None:
        self._back.damages.append(Damage(kind, self._sheet, cells, held, what, why, todo))


def _composed(text: str) -> str:
    """The same with its marks on its letters: two ways to write one character are no change."""
    return unicodedata.normalize("NFC", text)


def _written_out(text: str) -> str:
    """The same with control characters as the file format writes them, which some programs do not write back."""
    return "".join(f"_x{ord(char):04X}_" if char < " " else char for char in text)


def _key(header: _Header, cells: Mapping[int, Value]) -> str:
    """The key that the row's cells make."""
    by_name = {name: cells.get(at, "") for at, name in header.names.items()}
    return "|".join(str(by_name.get(column, "")) for column in header.part.key)


def _brief(row: list[str]) -> str:
    return ", ".join(filter(None, row))[:160]


def _count(number: int, thing: str) -> str:
    return f"One {thing}" if number == 1 else f"{number} {thing}s"


def _stand(number: int) -> str:
    return "stands" if number == 1 else "stand"


def _some(places: Iterable[str], most: int = 8) -> str:
    found = list(places)
    return ", ".join(found[:most]) + (f" … ({len(found)} in all)" if len(found) > most else "")
