"""The words of a page: names of subjects, labels of terms, sources with their basis, and rows behind facts."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from materia_exporters.monographs.markdown import file_name, plain

if TYPE_CHECKING:
    from materia_data import Fact, Materia

Row = dict[str, str]
STATES = ("contraindicated", "avoid", "caution", "none-stated")


class Words:
    """Looks things up in one package. Every text it gives is Markdown.

    here: the page being written, to which no name is linked; cited, copies: the sources, and the
    copies of sources, named on it so far.
    """

    def __init__(self, materia: "Materia") -> None:
        self.materia = materia
        self.facts = materia.facts
        self._tables = materia.package.tables
        self.here = ""
        self.cited: dict[str, None] = {}
        self.copies: dict[str, None] = {}

    def open(self, page: str) -> None:
        """Begin the page of a subject."""
        self.here = page
        self.cited = {}
        self.copies = {}

    def rows(self, table: str, column: str, value: str) -> list[Row]:
        """Rows whose cell is the value, in file order."""
        found = self._tables[table]
        return [found.row(row) for row in found.rows_of(column).get(value, ())]

    def rows_with(self, table: str, cells: Row) -> list[Row]:
        """Rows that hold each of the cells, in file order."""
        (column, value), *others = cells.items()
        return [row for row in self.rows(table, column, value) if all(row[name] == cell for name, cell in others)]

    def all(self, table: str) -> list[Row]:
        """Every row, in file order."""
        return [self._tables[table].row(row) for row in range(len(self._tables[table]))]

    def row(self, table: str, id: str) -> Row:
        """The row with the id; where there is none, one that knows nothing but the id."""
        return next(iter(self.rows(table, "id", id)), dict.fromkeys(self._tables[table].columns, "") | {"id": id})

    def behind(self, fact: "Fact") -> Row:
        """The row that a fact was read from."""
        table = self._tables[fact.table]
        return table.row(table.row_at(fact.file, fact.line))

    def subject(self, id: str) -> Row:
        """The row of a herb, form or formula."""
        return self.row(self.materia.package.subject_table(id) or "herbs", id)

    def name(self, id: str) -> str:
        """`半夏 bàn xià`"""
        row = self.subject(id)
        return plain(f"{row['name_hans']} {row['pinyin']}".strip() or id)

    def hans(self, id: str) -> str:
        """`半夏`"""
        return plain(self.subject(id)["name_hans"] or id)

    def link(self, id: str) -> str:
        """The name, linked to the page that tells of it; a form is told of on its herb's page."""
        kind = self.materia.package.subject_table(id)
        if kind is None:
            return plain(id)
        page = self.facts.herb_of(id)
        if page == self.here:
            return self.name(id)
        folder = "formulas" if kind == "formulas" else "medicinals"
        return f"[{self.name(id)}](../{folder}/{file_name(page)})"

    def names(self, ids: Iterable[str]) -> str:
        """Names in characters, joined by commas."""
        return ", ".join(map(self.hans, ids))

    def term(self, table: str, id: str) -> str:
        """English name of a term, or its id."""
        row = self.row(table, id)
        return plain(row.get("name_en") or row.get("name_latin") or row.get("title") or id)

    def first_of(self, tables: Sequence[str], id: str) -> str:
        """The term in the first of the tables that has it; of a herb or form the characters."""
        table = next((name for name in tables if self.rows(name, "id", id)), tables[0])
        return self.hans(id) if table in ("herbs", "forms") else self.term(table, id)

    def taxon(self, id: str) -> str:
        """`*Pinellia ternata* 半夏`; a mineral's or product's name upright."""
        row = self.row("taxa", id)
        latin = plain(row["name_latin"] or id)
        named = f"*{latin}*" if row["kind"] == "organism" else latin
        return f"{named} {plain(row['name_hans'])}".strip()

    def both(self, table: str, id: str) -> str:
        """English name and characters of a term."""
        return f"{self.term(table, id)} {plain(self.row(table, id).get('name_hans', ''))}".strip()

    def terms(self, table: str, cell: str) -> str:
        """The terms of a list cell."""
        return ", ".join(self.term(table, id) for id in cell.split(";") if id and id != "-")

    def source(self, row: Row) -> str:
        """Whose word a row is, by the source's id, which the page's end explains: `chp-2020-1, 半夏, from memory`."""
        if row["source"]:
            self.cited[row["source"]] = None
        basis = {"memory": "from memory", "common-practice": "common practice"}.get(row["basis"], row["basis"])
        place, _, copy = row["locator"].partition("secondary copy ")
        if copy:
            self.copies[copy] = None
            basis = f"read in a copy, {copy}" if row["basis"] == "collated" else f"{basis} of a copy, {copy}"
        return ", ".join(plain(part) for part in (row["source"], place.rstrip("; "), basis) if part)

    def title(self, source: str) -> str:
        """A source's title, with its edition."""
        row = self.row("sources", source)
        return plain(" ".join(filter(None, (row["title"] or source, row["edition"]))))
