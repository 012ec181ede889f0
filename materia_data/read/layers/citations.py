"""What becomes of the citations beneath when a layer changes the cells they speak of."""

from collections.abc import Mapping

from materia_data.read.keys import row_order
from materia_data.read.schema import Field
from materia_data.read.table import Laid, Place, Table

WORD = ("basis", "source", "locator")
"""The columns that say whose word a row is."""


class Citations:
    """What becomes of the citations beneath when cells that they speak of change."""

    def __init__(self, beneath: Table) -> None:
        self._beneath = beneath
        self._gone: set[int] = set()
        self._made: list[tuple[dict[str, str], Place]] = []
        self._of: dict[tuple[str, str], list[int]] | None = None

    def of_gone(self, table: str, record: str) -> None:
        """The record is taken out: nothing speaks of it any more."""
        self._gone.update(self._about(table, record))

    def of_changed(self, table: str, record: str, field: Field, now: str) -> None:
        """The cell holds something else: what said only "so it stands" no longer speaks; what states a value does."""
        items = now.split(";") if field.is_list else [now]
        for row in self._about(table, record):
            column, value, stated = (self._beneath.columns[name][row] for name in ("column", "value", "stated"))
            if column == field.name and not stated and (not value or value not in items):
                self._gone.add(row)

    def of_staying(self, table: str, record: str, field: Field, was: Mapping[str, str], where: Place) -> None:
        """The row speaks with another's word now: a cell that stays keeps the word it had. was: the row beneath."""
        for value in self._unspoken(table, record, field, was[field.name]):
            made = dict.fromkeys(self._beneath.columns, "")
            made |= {"about_table": table, "record": record, "column": field.name, "value": value}
            self._made.append((made | {name: was[name] for name in WORD}, where))

    def table(self) -> Table:
        """The citations as they now are."""
        beneath = self._beneath
        if not self._gone and not self._made:
            return beneath
        stood = set(map(beneath.key, range(len(beneath))))
        made = {
            key: (row, place)
            for row, place in self._made
            if (key := "|".join(row[column] for column in beneath.schema.key)) not in stood
        }
        left = [row for row in range(len(beneath)) if row not in self._gone]
        columns = {
            column: [texts[row] for row in left] + [row[column] for row, _ in made.values()]
            for column, texts in beneath.columns.items()
        }
        places = [beneath.place(row) for row in left] + [place for _, place in made.values()]
        order = row_order(beneath.schema, columns)
        rows = sorted(range(len(places)), key=order.__getitem__)
        base = beneath.file
        laid = beneath.laid or Laid({}, {}, {})
        new = {row: at for at, row in enumerate(rows)}
        now = {row: new[at] for at, row in enumerate(left)}
        return Table(
            beneath.schema,
            {column: [texts[row] for row in rows] for column, texts in columns.items()},
            [places[row][1] for row in rows],
            beneath.missing,
            beneath.lost,
            beneath.readable,
            Laid(
                {at: places[row] for at, row in enumerate(rows) if places[row][0] != base},
                {(now[row], column): place for (row, column), place in laid.cells.items() if row in now},
                laid.removed,
            ),
        )

    def _about(self, table: str, record: str) -> list[int]:
        if self._of is None:
            self._of = {}
            pairs = zip(self._beneath.columns["about_table"], self._beneath.columns["record"], strict=True)
            for row, pair in enumerate(pairs):
                self._of.setdefault(pair, []).append(row)
        return self._of.get((table, record), [])

    def _unspoken(self, table: str, record: str, field: Field, text: str) -> list[str]:
        """What of a filled cell no citation speaks for: the list items, or the empty string for the whole cell."""
        if not text:
            return []
        items = set(text.split(";")) if field.is_list else {text}
        spoken: set[str] = set()
        for row in self._about(table, record):
            column, value, stated = (self._beneath.columns[name][row] for name in ("column", "value", "stated"))
            if row in self._gone or column != field.name:
                continue
            same = not stated or stated == text or (field.is_list and set(stated.split(";")) == items)
            if not value and same:
                return []
            if value and (not stated or stated == value):
                spoken.add(value)
        if field.is_list and spoken:
            return [item for item in text.split(";") if item not in spoken]
        return [] if spoken else [""]
