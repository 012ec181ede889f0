"""Facts as numbers: what is stated (a kind, kept once) and where (an origin: a row of a column), in one integer."""

from bisect import bisect_right
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from materia_data.read.table import Table

_BITS = 32
_MASK = (1 << _BITS) - 1


class Kind(NamedTuple):
    """What any number of subjects may share. `firm`: false if the cell is disputed, so that it denies nothing."""

    predicate: str
    value: str
    qualifiers: tuple[tuple[str, str], ...]
    stated: bool
    firm: bool


class Place(NamedTuple):
    """The cell an entry was read from."""

    table: "Table"
    row: int
    column: str


class Entries:
    """Every kind of fact met so far, and every column that facts were read from."""

    def __init__(self) -> None:
        self.kinds: list[Kind] = []
        self._numbers: dict[Kind, int] = {}
        self._starts: list[int] = []
        self._columns: list[tuple[Table, str]] = []
        self._end = 0

    def number(self, kind: Kind) -> int:
        """The number of the kind, the same each time."""
        found = self._numbers.get(kind)
        if found is None:
            found = self._numbers[kind] = len(self.kinds)
            self.kinds.append(kind)
        return found

    def begin(self, table: "Table", column: str) -> int:
        """What to add a row's number to, to have its origin in this column."""
        start = self._end
        self._starts.append(start)
        self._columns.append((table, column))
        self._end += len(table)
        return start

    def kind(self, entry: int) -> Kind:
        """What the entry states."""
        return self.kinds[entry & _MASK]

    def place(self, entry: int) -> Place:
        """Where the entry was read."""
        origin = entry >> _BITS
        found = bisect_right(self._starts, origin) - 1
        while origin - self._starts[found] >= len(self._columns[found][0]):
            found -= 1
        table, column = self._columns[found]
        return Place(table, origin - self._starts[found], column)

    def origin(self, entry: int) -> int:
        """The number of the row and column the entry was read from, whatever it states."""
        return entry >> _BITS

    def soften(self, entry: int) -> int:
        """The same entry as one that denies nothing."""
        return entry & ~_MASK | self.number(self.kind(entry)._replace(firm=False))


def pack(origin: int, kind: int) -> int:
    """The entry for a kind at an origin."""
    return origin << _BITS | kind


def kind_number(entry: int) -> int:
    """The number of the entry's kind."""
    return entry & _MASK
