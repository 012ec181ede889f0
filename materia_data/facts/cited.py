"""What `record/citations` says of cells: which are disputed, and whose word a value is.

A cell is disputed when a citation of the whole cell from a standard, law or textbook states another value. An empty
cell is disputed too if something is so stated: for a form, the value it inherits is then not beyond doubt. A citation
speaks for a cell (or list item) unless it states something else; it then stands in place of the row's own source and
basis.
"""

from collections.abc import Iterator
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from materia_data.facts.amount import number

if TYPE_CHECKING:
    from materia_data.read.package import Package
    from materia_data.read.schema import Field
    from materia_data.read.table import Table

_DECIDING = ("standard", "law", "textbook")
_BASES = ("collated", "memory", "common-practice")
_LAST = 1_000_000


class Word(NamedTuple):
    """Whose word a value is, and why it was chosen."""

    source: str
    locator: str
    basis: str
    reason: str


class Cited:
    """The citations of a package by the cell they are about."""

    def __init__(self, package: "Package") -> None:
        self._package = package
        self._cited = package.tables["citations"].columns
        sources = package.tables["sources"].columns
        self._deciding = {id for id, kind in zip(sources["id"], sources["kind"], strict=True) if kind in _DECIDING}
        precedence = zip(sources["id"], sources["precedence"], strict=True)
        self._precedence = {id: int(text) for id, text in precedence if text.isdecimal() and len(text) < 7}
        self._by_cell: dict[tuple[str, str, str, str], list[int]] = {}
        cells = zip(*(self._cited[column] for column in ("about_table", "record", "column", "value")), strict=True)
        for row, cell in enumerate(cells):
            self._by_cell.setdefault(cell, []).append(row)
        self._records: dict[tuple[str, str], set[str]] = {}
        for table, record, column, _ in self._by_cell:
            self._records.setdefault((table, column), set()).add(record)
        self._disputed = self._find_disputed()

    def disputed(self, table: str, column: str) -> dict[int, int]:
        """Rows of the table whose cell in this column is disputed, each with the row of a citation that does."""
        return self._disputed.get((table, column), {})

    def word(self, table: "Table", row: int, column: str, item: str) -> Word:
        """Whose word the value is: the citation of the list item or the cell from the source that takes precedence,
        else the row itself. A classic that agrees with the standard makes the standard's value no more certain."""
        words = self._citing(table, row, column, item)
        return min(words, key=self._weight) if words else _own_word(table, row)

    def confirmed(self, table: "Table", row: int, columns: tuple[str, ...], item: str) -> bool:
        """Whether the value was collated from a standard, law or textbook, with a reason in the row or the citation."""
        own = _own_word(table, row)
        words = [word for column in columns for word in self._citing(table, row, column, item)] or [own]
        return any(
            word.basis == "collated"
            and word.source in self._deciding
            and bool(word.reason.strip() or own.reason.strip())
            for word in words
        )

    def _weight(self, word: Word) -> tuple[int, int]:
        certainty = _BASES.index(word.basis) if word.basis in _BASES else len(_BASES)
        return self._precedence.get(word.source, _LAST), certainty

    def _citing(self, table: "Table", row: int, column: str, item: str) -> list[Word]:
        name, record = table.schema.name, table.key(row)
        if record not in self._records.get((name, column), ()):
            return []
        field = table.schema.by_name[column]
        text = table.columns[column][row]
        found = [(cited, item) for cited in self._by_cell.get((name, record, column, item), ()) if item]
        found += [(cited, text) for cited in self._by_cell.get((name, record, column, ""), ())]
        columns = [self._cited[each] for each in ("stated", "source", "locator", "basis", "reason")]
        words = []
        for cited, value in found:
            stated, *word = (texts[cited] for texts in columns)
            if not stated or _same(field, stated, value):
                words.append(Word(*word))
        return words

    def _find_disputed(self) -> dict[tuple[str, str], dict[int, int]]:
        disputed: dict[tuple[str, str], dict[int, int]] = {}
        rows: dict[str, dict[str, int]] = {}
        for (name, record, column, _), cited in self._against():
            table = self._package.tables.get(name)
            if table is None or column not in table.schema.by_name:
                continue
            if name not in rows:
                rows[name] = {table.key(row): row for row in reversed(range(len(table)))}
            row = rows[name].get(record)
            if row is None:
                continue
            if not _same(table.schema.by_name[column], self._cited["stated"][cited], table.columns[column][row]):
                disputed.setdefault((name, column), {}).setdefault(row, cited)
        return disputed

    def _against(self) -> Iterator[tuple[tuple[str, str, str, str], int]]:
        for cell, cited in self._by_cell.items():
            if not cell[3]:
                for row in cited:
                    if self._cited["stated"][row] and self._cited["source"][row] in self._deciding:
                        yield cell, row


def _own_word(table: "Table", row: int) -> Word:
    cells = (
        table.columns[column][row] if column in table.columns else ""
        for column in ("source", "locator", "basis", "reason")
    )
    return Word(*cells)


def _same(field: "Field", stated: str, value: str) -> bool:
    if field.is_list:
        return set(filter(None, stated.split(";"))) == set(filter(None, value.split(";")))
    numbers: tuple[Decimal | None, Decimal | None] = (number(stated), number(value))
    return stated == value or (None not in numbers and numbers[0] == numbers[1] and field.type in ("number", "integer"))
