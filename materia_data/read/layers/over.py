"""Putting layers over a base package: rows match by key, a filled cell replaces, and every cell knows where it stands.

A cell that a layer fills takes the row's basis, source and locator with it, as a row's basis speaks for all its cells;
cells of the base that stay get a citation with the basis they had, so that nobody's word is put into another's mouth.
Source: semantics.md, 6.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from materia_data.problem import Problem
from materia_data.read.files import file_problem
from materia_data.read.keys import row_order
from materia_data.read.layers.citations import WORD, Citations
from materia_data.read.layers.layer import ABOUT, CLEAR, OP, Layer
from materia_data.read.layers.versions import inside
from materia_data.read.package import Package
from materia_data.read.shown import shown
from materia_data.read.table import Laid, Place, Table
from materia_data.suggest import did_you_mean

_STAY = ("herbs", "forms", "formulas")
_RECORDS = ("exceptions", "retired", "signoffs")
_KEPT_WHOLE = (*_RECORDS, "loosenings")
_OWN_ROWS = "Take this row out; a layer adds rows of its own."
_MOST_SEARCHED = 2000


@dataclass(frozen=True, slots=True)
class LayerCell:
    """A cell that a layer says.

    was: what lies beneath, empty where there is nothing; now: what the layer makes of it; how: changed, cleared,
    removed (with its row) or added (with its row, or to an empty cell). file, line: where the layer says it.
    """

    layer: str
    table: str
    record: str
    column: str
    was: str
    now: str
    how: str
    file: str
    line: int


def put_over(base: Package, layers: Sequence[Layer]) -> Package:
    """The base with each layer over what lies beneath it, the lowest first. Nothing is raised; what a layer may not do
    is not done, and stands in `problems`."""
    package = base
    for layer in layers:
        package = _put(package, layer)
    return package


def _put(beneath: Package, layer: Layer) -> Package:
    problems = [*beneath.problems, *_wrong_base(beneath, layer), *layer.problems]
    tables = dict(beneath.tables)
    cells: list[LayerCell] = []
    citations = Citations(beneath.tables["citations"])
    for name in sorted(layer.tables, key=lambda name: (name == "citations", name)):
        if name == "citations":
            tables[name] = citations.table()
        own = layer.tables[name]
        if own.readable and not own.missing.intersection(own.schema.key):
            made = _Over(tables[name], own, layer, citations)
            tables[name] = made.table()
            problems += made.problems
            cells += made.cells
    if "citations" not in layer.tables:
        tables["citations"] = citations.table()
    rules = beneath.rules | {f"{layer.id}:{name}": text for name, text in layer.rules.items()}
    said = (*beneath.said, *cells)
    return Package(
        beneath.root, tables, rules, beneath.version, problems, (*beneath.layers, layer), beneath, said
    )  # fmt: skip


def _wrong_base(beneath: Package, layer: Layer) -> Iterator[Problem]:
    if not inside(beneath.version, layer.base):
        message = f"The layer was made for the base {layer.base}, and this base is {beneath.version}."
        tip = "Look at what `materia check --layer` finds, then write the range that it was looked at with."
        yield file_problem(layer.file(ABOUT), "layer-base", message, tip, line=layer.base_line, column="base",
                           value=layer.base)  # fmt: skip


class _Over:
    """One table of a layer over the same table beneath."""

    def __init__(self, beneath: Table, own: Table, layer: Layer, citations: Citations) -> None:
        self._beneath, self._own, self._layer, self._citations = beneath, own, layer, citations
        self._schema = beneath.schema
        self._name = self._schema.name
        self._word = [name for name in WORD if "basis" in self._schema.by_name and name not in self._schema.key]
        self._fields = [
            name for name in self._schema.by_name if name not in self._schema.key and name not in self._word
        ]
        self._columns = {column: list(texts) for column, texts in beneath.columns.items()}
        self._laid = beneath.laid or Laid({}, {}, {})
        self._rows: dict[int, Place] = dict(self._laid.rows)
        self._cells: dict[tuple[int, str], Place] = dict(self._laid.cells)
        self._removed: dict[str, Place] = dict(self._laid.removed)
        self._lines = list(beneath.lines)
        self._gone: set[int] = set()
        self.problems: list[Problem] = []
        self.cells: list[LayerCell] = []
        index: dict[str, int] = {}
        for row in range(len(beneath)):
            index.setdefault(beneath.key(row), row)
        done: set[str] = set()
        for row in range(len(own)):
            key = own.key(row)
            if key not in done:
                done.add(key)
                self._apply(row, key, index.get(key))

    def table(self) -> Table:
        """What the two make, rows in key order."""
        order = row_order(self._schema, self._columns)
        rows = sorted((row for row in range(len(self._lines)) if row not in self._gone), key=order.__getitem__)
        place = {old: new for new, old in enumerate(rows)}
        laid = Laid(
            {place[row]: where for row, where in self._rows.items() if row in place},
            {(place[row], column): where for (row, column), where in self._cells.items() if row in place},
            self._removed,
        )
        beneath = self._beneath
        readable, lost = beneath.readable or bool(rows), beneath.lost | self._own.lost
        columns = {column: [texts[row] for row in rows] for column, texts in self._columns.items()}
        missing = frozenset() if not beneath.readable else beneath.missing
        return Table(self._schema, columns, [self._lines[row] for row in rows], missing, lost, readable, laid)

    def _apply(self, row: int, key: str, beneath: int | None) -> None:
        operation = self._own.columns[OP][row]
        if operation not in ("", "remove"):
            message = f"“{shown(operation)}” is nothing a layer does to a row."
            tip = "Write remove, or leave it empty: a row that stands is changed, any other is added."
            self._say(row, OP, "unknown-term", message, tip)
        elif operation:
            self._remove(row, key, beneath)
        elif beneath is None:
            self._add(row, key)
        else:
            self._change(row, key, beneath)

    def _remove(self, row: int, key: str, beneath: int | None) -> None:
        filled = [column for column in (*self._fields, *self._word, CLEAR) if self._own.columns[column][row]]
        if self._name in _STAY:
            tip = "Leave it out of your units, or give it the status historical; its cautions must stay."
            self._say(row, OP, "layer-remove", "A layer takes out no medicinal, form or formula.", tip)
        elif self._is_term():
            self._say(row, OP, "layer-term", "A layer never takes out a term of the base.", "Take this row out.")
        elif self._name in _KEPT_WHOLE:
            self._say(row, OP, "layer-record", f"What stands in {self._schema.path} beneath stays there.", _OWN_ROWS)
        elif beneath is None:
            first = self._schema.key[0]
            beside = self._beneath.rows_of(first).get(self._own.columns[first][row], [])
            keys = ", ".join(map(self._beneath.key, beside[:5]))
            tip = f"Beneath stand {keys}." if keys else "Correct the key, or take this row out."
            self._say(row, OP, "layer-nothing-there", f"There is no record {shown(key)} beneath to take out.", tip)
        elif filled:
            tip = f"Empty {', '.join(filled)}, or empty {OP} to change the row."
            self._say(row, OP, "layer-remove", "A row that takes out another says nothing beside its key.", tip)
        else:
            self._gone.add(beneath)
            self._removed[key] = self._own.place(row)
            self._citations.of_gone(self._name, key)
            for column in self._fields:
                if was := self._columns[column][beneath]:
                    self._note(row, key, column, was, "", "removed")

    def _add(self, row: int, key: str) -> None:
        if self._own.columns[CLEAR][row]:
            message = f"There is no record {shown(key)} beneath to clear cells of."
            self._say(row, CLEAR, "layer-nothing-there", message, "Correct the key, or empty this cell.")
            return
        if self._schema.key == ("id",) and self._name != "retired" and not self._is_own(key):
            right = f"x-{self._layer.id}-name" if self._name != "forms" else f"herb.x-{self._layer.id}-name"
            near = did_you_mean(key[:80], self._beneath.rows_of("id")) if len(self._beneath) < _MOST_SEARCHED else ""
            message = f"There is no {shown(key)} beneath, and a new id of this layer has the layer's name in it."
            self._say(row, "id", "layer-id", message, f"{near} A new id is written {right}.".strip())
        number = len(self._lines)
        for column, texts in self._columns.items():
            texts.append(self._own.columns[column][row])
        self._lines.append(self._own.lines[row])
        self._rows[number] = self._own.place(row)
        for column in self._fields:
            if now := self._own.columns[column][row]:
                self._note(row, key, column, "", now, "added")

    def _change(self, row: int, key: str, beneath: int) -> None:
        filled = {column: text for column in self._fields if (text := self._own.columns[column][row])}
        cleared = list(self._clearable(row, filled))
        word = {column: self._own.columns[column][row] for column in self._word}
        first = next(iter((*filled, *cleared, *(column for column, text in word.items() if text))), "")
        if not first:
            if not self._own.columns[CLEAR][row]:
                message, tip = (
                    "The row stands beneath, and this one fills no cell.",
                    "Fill what differs, or take it out.",
                )
                self._say(row, "", "layer-says-nothing", message, tip)
        elif self._is_term():
            tip = f"Add a term of your own, x-{self._layer.id}-name, with this one as broader."
            message = f"{shown(key)} is a term of the base, and a layer never changes one."
            self._say(row, first, "layer-term", message, tip)
        elif self._name in _RECORDS:
            self._say(row, first, "layer-record", f"What stands in {self._schema.path} beneath stays there.", _OWN_ROWS)
        else:
            self._fill(row, key, beneath, filled, cleared, word)

    def _fill(
        self, row: int, key: str, beneath: int, filled: dict[str, str], cleared: list[str], word: dict[str, str]
    ) -> None:
        was = {column: texts[beneath] for column, texts in self._columns.items()}
        for column, text in (filled | dict.fromkeys(cleared, "")).items():
            self._set(row, beneath, column, text)
            if text != was[column]:
                self._citations.of_changed(self._name, key, self._schema.by_name[column], text)
            how = "cleared" if column in cleared else "changed" if was[column] else "added"
            self._note(row, key, column, was[column], text, how)
        if filled and any(word[column] != was[column] for column in word):
            staying = [column for column in self._fields if column not in filled and column not in cleared]
            for column in staying:
                where = self._beneath.place(beneath, column)
                self._citations.of_staying(self._name, key, self._schema.by_name[column], was, where)
        for column, text in word.items():
            if filled or text:
                self._set(row, beneath, column, text)

    def _clearable(self, row: int, filled: Mapping[str, str]) -> Iterator[str]:
        """The columns that the row may clear; says why it may not clear the others."""
        for column in filter(None, self._own.columns[CLEAR][row].split(";")):
            rule, tip = "layer-clear", "Take it out of this cell."
            if column in self._schema.key or column in (OP, CLEAR):
                message = f"{column} names the row and cannot be cleared."
            elif column not in self._schema.by_name:
                rule, message = "unknown-column", f"{self._name} has no column “{shown(column)}”."
                tip = did_you_mean(column[:80], self._fields) or f"Write one of: {', '.join(self._fields)}."
            elif column in filled:
                message, tip = f"{column} is filled in the same row.", "Fill the cell or clear it, not both."
            elif column in self._word:
                message, tip = f"{column} speaks for the whole row and cannot be cleared.", "Fill it instead."
            else:
                yield column
                continue
            self._say(row, CLEAR, rule, message, tip, column)

    def _set(self, row: int, beneath: int, column: str, text: str) -> None:
        self._columns[column][beneath] = text
        self._cells[beneath, column] = self._own.place(row)

    def _note(self, row: int, key: str, column: str, was: str, now: str, how: str) -> None:
        self.cells.append(LayerCell(self._layer.id, self._name, key, column, was, now, how, *self._own.place(row)))

    def _say(self, row: int, column: str, rule: str, message: str, tip: str, value: str | None = None) -> None:
        self.problems.append(self._own.problem(row, column, rule, message, tip=tip, value=value))

    def _is_term(self) -> bool:
        return self._schema.path.startswith("terms/")

    def _is_own(self, id: str) -> bool:
        herb, _, form = id.partition(".")
        mark = f"x-{self._layer.id}-"
        return herb.startswith(mark) or (self._name == "forms" and form.startswith(mark))
