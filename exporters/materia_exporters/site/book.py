"""What every page asks of a package: names, labels, rows, sources, addresses."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256

from materia_data import Fact, Facts, Materia

Row = dict[str, str]
ASKED_FIRST = ("internal-use", "pregnancy", "lactation", "children")
_OF_TWO = ("antagonisms", "confusions")
_ONE_LESSON = 30  # members; beyond that a page is too long to teach from


@dataclass(frozen=True, slots=True)
class Name:
    """A subject, taxon or term as it is written. href: its page from the site's root, with fragment; "" if none."""

    id: str
    hans: str
    hant: str
    pinyin: str
    en: str
    href: str = ""
    latin: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """Whose word a value is: id of the source ("" for none), where in it, and the basis."""

    source: str
    locator: str
    basis: str


class Book:
    """A package, read for pages. Rows come as they stand in the tables; facts are the effective ones."""

    def __init__(self, materia: Materia) -> None:
        self.materia = materia
        self.facts: Facts = materia.facts
        self.tables = materia.package.tables
        self._all: dict[str, list[Row]] = {}
        self._of: dict[tuple[str, str | None], list[Fact]] = {}
        self._own: dict[tuple[str, str | None], list[Fact]] = {}
        self._named: dict[str, Name] = {}
        self._rows: dict[tuple[str, str], Row] = {}
        self._keys: dict[str, dict[str, int]] = {}

    def rows(self, table: str, column: str = "", value: str = "") -> list[Row]:
        """All rows of a table, or those whose cell in the column is the value: kept once made, not to be changed."""
        held = self.tables[table]
        if table not in self._all:
            columns = list(held.columns)
            self._all[table] = [
                dict(zip(columns, cells, strict=True)) for cells in zip(*held.columns.values(), strict=True)
            ]
        made = self._all[table]
        return [made[i] for i in held.rows_of(column).get(value, ())] if column else list(made)

    def row(self, table: str, id: str) -> Row:
        """The row with this id, kept once made, not to be changed; every cell empty where there is none."""
        if (table, id) not in self._rows:
            found = self.rows(table, "id", id)
            self._rows[table, id] = found[0] if found else dict.fromkeys(self.tables[table].columns, "")
        return self._rows[table, id]

    def of(self, subject: str, predicate: str | None = None) -> list[Fact]:
        """The effective facts of a subject, kept once made."""
        key = (subject, predicate)
        if key not in self._of:
            whole = self._of.get((subject, None))
            self._of[key] = (
                self.facts.of(subject, predicate)
                if whole is None
                else [fact for fact in whole if fact.predicate == predicate]
            )
        return self._of[key]

    def own(self, subject: str, predicate: str | None = None) -> list[Fact]:
        """What a subject's own rows state, kept once made."""
        key = (subject, predicate)
        if key not in self._own:
            self._own[key] = self.facts.own(subject, predicate)
        return self._own[key]

    def row_of(self, fact: Fact) -> Row:
        """The row a fact was read from, not to be changed."""
        if fact.table not in self._all:
            self.rows(fact.table)
        return self._all[fact.table][self.tables[fact.table].row_at(fact.file, fact.line)]

    def label(self, table: str, id: str) -> str:
        """The English name of a term, category or group; the id as it stands if no row has it."""
        row = self.row(table, id)
        return row.get("name_en") or row.get("title") or id

    def labels(self, table: str, cell: str) -> list[str]:
        """The English names of a list of terms."""
        return [self.label(table, id) for id in cell.split(";") if id]

    def term(self, table: str, id: str) -> Name:
        """A term with its characters and reading."""
        row = self.row(table, id)
        return Name(
            id,
            row.get("name_hans", ""),
            row.get("name_hant", ""),
            row.get("pinyin", ""),
            self.label(table, id),
            latin=row.get("name_latin", ""),
        )

    def name(self, id: str) -> Name:
        """A subject's standard names and page; else a taxon's names; else the bare id."""
        if id not in self._named:
            self._named[id] = self._name(id)
        return self._named[id]

    def _name(self, id: str) -> Name:
        kind = self.materia.package.subject_table(id)
        if kind is None:
            return self.term("taxa", id)
        row = self.row(kind, id)
        return Name(
            id, row["name_hans"], row["name_hant"], row["pinyin"], row["name_en"], self.href(id), row.get("latin", "")
        )

    def names(self, ids: Iterable[str]) -> list[Name]:
        return [self.name(id) for id in ids]

    def href(self, subject: str) -> str:
        """Where a subject stands, from the site's root: a page, for a form a place on its herb's page."""
        kind = self.materia.package.subject_table(subject)
        if kind == "forms":
            herb = self.facts.herb_of(subject)
            return f"medicinals/{slug(herb)}.html#{slug(subject)}" if herb != subject else ""
        return f"{'formulas' if kind == 'formulas' else 'medicinals'}/{slug(subject)}.html"

    @cached_property
    def cited(self) -> dict[str, list[Row]]:
        """The citations of what the tables say of a subject, each under every subject that its record names first."""
        found: dict[str, list[Row]] = {}
        for row in self.rows("citations"):
            named = row["record"].split("|")
            for id in named[: 2 if row["about_table"] in _OF_TWO else 1]:
                found.setdefault(id, []).append(row)
        return found

    def cell(self, table: str, record: str, column: str) -> str:
        """What the row with this key has in the column; "" where there is no such row or column."""
        held = self.tables.get(table)
        if held is None or column not in held.columns:
            return ""
        if table not in self._keys:
            self._keys[table] = {held.key(i): i for i in reversed(range(len(held)))}
        row = self._keys[table].get(record)
        return held.columns[column][row] if row is not None else ""

    def told(self, row: Row) -> Told:
        return Told(row.get("source", ""), row.get("locator", ""), row.get("basis", ""))

    def word(self, fact: Fact) -> Told:
        """Whose word a fact is."""
        return Told(fact.source, fact.locator, fact.basis)

    @cached_property
    def herbs(self) -> list[str]:
        return list(dict.fromkeys(self.tables["herbs"].columns["id"]))

    @cached_property
    def formulas(self) -> list[str]:
        return list(dict.fromkeys(self.tables["formulas"].columns["id"]))

    @cached_property
    def topics(self) -> list[str]:
        """What cautions are about: what is asked first comes first."""
        ids = self.tables["topics"].columns["id"]
        return [*(id for id in ASKED_FIRST if id in ids), *(id for id in ids if id not in ASKED_FIRST)]

    @cached_property
    def pairs(self) -> dict[str, list[Row]]:
        """The pairs on record, under each of their subjects."""
        return self._listed("pairs", "subjects")

    @cached_property
    def derived(self) -> dict[str, list[Row]]:
        """The formulas made from another, under that other."""
        return self._listed("formulas", "derived_from")

    @cached_property
    def contrasted(self) -> dict[str, set[str]]:
        """The medicinals and formulas that each contrast on record tells apart."""
        found: dict[str, set[str]] = {}
        for row in self.rows("contrast_points"):
            if row["subject"] in self.facts.number:
                found.setdefault(row["contrast"], set()).add(self.facts.herb_of(row["subject"]))
        return found

    def _listed(self, table: str, column: str) -> dict[str, list[Row]]:
        found: dict[str, list[Row]] = {}
        for row in self.rows(table):
            for id in dict.fromkeys(row[column].split(";")):
                found.setdefault(id, []).append(row)
        return found

    @cached_property
    def categories(self) -> list[Row]:
        """Categories in teaching order: medicinals first, then formulas."""
        rows = self.rows("categories")
        return sorted(rows, key=lambda row: (row["scheme"] != "herbs", place(row["position"]), row["id"]))

    def groups(self, category: str) -> list[Row]:
        """The groups of a category in teaching order."""
        return sorted(self.rows("groups", "category", category), key=lambda row: (place(row["position"]), row["id"]))

    @cached_property
    def taught(self) -> dict[str, tuple[bool, float, bool, float]]:
        """Where each subject stands in the course that teaches most of them: sort key by unit, then in the unit."""
        units = {row["id"]: row for row in self.rows("units")}
        rows = [row for row in self.rows("unit_subjects") if row["unit"] in units]
        keys: dict[str, tuple[bool, float, bool, float]] = {}
        for row in rows:
            if units[row["unit"]]["course"] == self.course:
                key = (*place(units[row["unit"]]["position"]), *place(row["position"]))
                keys[row["subject"]] = min(key, keys.get(row["subject"], key))
        return keys

    @cached_property
    def course(self) -> str:
        """The course that teaches most subjects."""
        of = {row["id"]: row["course"] for row in self.rows("units")}
        count = Counter(of[row["unit"]] for row in self.rows("unit_subjects") if row["unit"] in of)
        return max(sorted(count), key=count.__getitem__, default="")

    @cached_property
    def divided(self) -> frozenset[str]:
        """The categories of medicinals too large for one lesson: a page for each group, an overview of all."""
        many = {row["id"] for row in self.categories if len(self.rows("herbs", "category", row["id"])) > _ONE_LESSON}
        return frozenset(row["category"] for row in self.rows("groups") if row["category"] in many)

    def group_href(self, group: str) -> str:
        """Where a group stands, from the site's root: a page of its own, or a place on its category's."""
        category = self.row("groups", group)["category"]
        if category in self.divided:
            return f"groups/{slug(group)}.html"
        return f"categories/{slug(category)}.html#{slug(group)}"

    def forms(self, herb: str) -> list[Row]:
        return self.rows("forms", "herb", herb)

    @cached_property
    def superseded(self) -> list[Row]:
        """The sources that a later one has taken the place of."""
        return [row for row in self.rows("sources") if row["superseded_by"]]

    def places(self, *about: tuple[str, str, str]) -> Iterator[tuple[str, list[int]]]:
        """For each (table, column, value) the files and the lines of the rows that have it, where there are any."""
        for table, column, value in about:
            held = self.tables[table]
            files: dict[str, list[int]] = {}
            for i in held.rows_of(column).get(value, ()):
                file, line = held.place(i)
                files.setdefault(file, []).append(line)
            yield from files.items()


def slug(id: str) -> str:
    """An id as a file name and fragment: characters that no id should have by their code, an endless one cut."""
    made = re.sub(r"[^a-z0-9.-]|^[.-]", lambda found: f"_{ord(found.group()):x}_", id)
    return made if len(made) <= 120 else f"{made[:80]}_{sha256(id.encode()).hexdigest()[:16]}"


def place(position: str) -> tuple[bool, float]:
    """Sort key of a position: numbers in order, the rest last."""
    return (not position.isdecimal(), float(position) if position.isdecimal() else 0.0)
