"""What the rows themselves state of a predicate, before anything is inherited."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from materia_data.facts.amount import amount
from materia_data.facts.cited import Cited
from materia_data.facts.entries import Entries, Kind, pack
from materia_data.facts.predicates import Predicate, predicates

if TYPE_CHECKING:
    from materia_data.read.package import Package
    from materia_data.read.table import Table

_SUBJECT_TABLES = ("herbs", "forms", "formulas")


@dataclass(slots=True)
class Own:
    """One predicate's facts by subject number, in row order.

    filled: subjects whose cell says something, be it `-`; disputed: subjects whose own cell is disputed; dashed: whose
    cell has `-`; dropped: the values that a subject's cell takes away (`-name`).
    """

    entries: dict[int, list[int]] = field(default_factory=dict)
    filled: set[int] = field(default_factory=set)
    disputed: set[int] = field(default_factory=set)
    dashed: set[int] = field(default_factory=set)
    dropped: dict[int, set[str]] = field(default_factory=dict)


def own_facts(
    predicate: Predicate, package: "Package", numbers: Mapping[str, int], entries: Entries, cited: Cited
) -> Own:
    """Read every column the predicate comes from. A row about no known subject gives nothing, nor does a bad number."""
    own = Own()
    for name, column in predicate.sources:
        table = package.tables[name]
        if name == "citations":
            _read_disputes(predicate, package, numbers, entries, cited, own)
        elif len(table):
            _read_column(predicate, table, column, numbers, entries, cited, own)
    return own


def _read_column(
    predicate: Predicate,
    table: "Table",
    column: str,
    numbers: Mapping[str, int],
    entries: Entries,
    cited: Cited,
    own: Own,
) -> None:
    name = table.schema.name
    disputed = cited.disputed(name, column)
    reader = _CellReader(predicate, table, column, entries)
    start = entries.begin(table, column)
    known: dict[tuple[str, ...], _Cell] = {}
    subjects = table.columns[predicate.subject_column(name, column)]
    for row, (subject, texts) in enumerate(zip(subjects, reader.texts(), strict=True)):
        number = numbers.get(subject)
        if number is None or not (texts[0] or disputed):
            continue
        cell = known.get(texts)
        if cell is None:
            cell = known[texts] = reader.read(texts, firm=True)
        if row in disputed:
            cell = reader.read(texts, firm=False)
            if name in _SUBJECT_TABLES:
                own.disputed.add(number)
        kinds, dashed, dropped = cell
        if kinds:
            own.entries.setdefault(number, []).extend([pack(start + row, kind) for kind in kinds])
            own.filled.add(number)
        if dashed:
            own.dashed.add(number)
            own.filled.add(number)
        if dropped:
            own.dropped.setdefault(number, set()).update(dropped)


_Cell = tuple[list[int], bool, list[str]]


class _CellReader:
    """From the texts of a row that matter to a predicate, to the kinds of facts they state."""

    def __init__(self, predicate: Predicate, table: "Table", column: str, entries: Entries) -> None:
        fields = table.schema.by_name
        self._predicate, self._entries, self._listed = predicate, entries, fields[column].is_list
        self._drops = predicate.inherit == "union" and fields[column].allows_none
        held = {key: predicate.qualifier_column(table.schema.name, key) for key in predicate.qualifiers}
        self._keys = [key for key, holder in held.items() if holder]
        self._lists = [fields[held[key]].is_list for key in self._keys]
        self._unit = predicate.values.unit_column if predicate.values.unit_column in fields else ""
        self._flags = [
            (holder, cell)
            for flag in (predicate.negative, predicate.skipped)
            for holder, cell in flag.items()
            if holder in fields
        ]
        names = [
            column,
            *(held[key] for key in self._keys),
            *filter(None, [self._unit]),
            *(holder for holder, _ in self._flags),
        ]
        self._columns = [table.columns[name] for name in names]

    def texts(self) -> Iterable[tuple[str, ...]]:
        """A row's value, qualifiers, unit and polarity, as they stand, for each row."""
        return zip(*self._columns, strict=True)

    def read(self, texts: tuple[str, ...], *, firm: bool) -> _Cell:
        """Numbers of the kinds stated, whether `-` stands among them, and the names taken away."""
        value, *others = texts
        if not value:
            return [], False, []
        qualifiers = tuple(
            (key, item)
            for key, text, many in zip(self._keys, others, self._lists, strict=False)
            for item in (text.split(";") if many else [text])
            if item
        )
        rest = others[len(self._keys) :]
        unit = rest.pop(0) if self._unit else ""
        flagged = any(text == cell for text, (_, cell) in zip(rest, self._flags, strict=True))
        if flagged and self._predicate.skipped:
            return [], False, []
        items = list(dict.fromkeys(filter(None, value.split(";")))) if self._listed else [value]
        dropped = [item[1:] for item in items if self._drops and item.startswith("-") and item != "-"]
        values = [item for item in items if item != "-" and not (self._drops and item.startswith("-"))]
        if self._predicate.values.kind == "number":
            values = [found for item in values if (found := amount(item, unit, self._predicate.values)) is not None]
        kinds = [
            self._entries.number(Kind(self._predicate.name, each, qualifiers, not flagged, firm)) for each in values
        ]
        return kinds, "-" in items, dropped


def _read_disputes(
    predicate: Predicate, package: "Package", numbers: Mapping[str, int], entries: Entries, cited: Cited, own: Own
) -> None:
    start = entries.begin(package.tables["citations"], "stated")
    for word in predicate.values.words:
        about = predicates()[word]
        kind = entries.number(Kind(predicate.name, word, (), True, True))
        for name, column in about.sources:
            table = package.tables[name]
            subjects = table.columns[about.subject_column(name, column)]
            for row, citation in cited.disputed(name, column).items():
                number = numbers.get(subjects[row])
                if number is not None:
                    own.entries.setdefault(number, []).append(pack(start + citation, kind))
