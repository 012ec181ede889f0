"""The ids that a package has, and the right one for a text that is none of them."""

from collections.abc import Iterable

from materia_data.read.cells import Finding
from materia_data.read.package import Package
from materia_data.read.shown import shown
from materia_data.suggest import did_you_mean

_LABELS = ("name_hans", "name_hant", "name_en", "name_latin", "pinyin", "latin")
_MOST_SEARCHED = 300
_MOST_SEARCHES = 60


class Known:
    """Ids by table, with a way to suggest. Searching is bounded: a file full of unknown words costs no more than a
    few hundred."""

    def __init__(self, package: Package) -> None:
        self._tables = package.tables
        self._ids: dict[str, frozenset[str]] = {}
        self._labels: dict[str, dict[str, str]] = {}
        self._searches = 0

    def ids(self, table: str) -> frozenset[str]:
        """The ids that stand in the table, those of lines that could not be read among them."""
        if table not in self._ids:
            held = self._tables[table]
            self._ids[table] = frozenset(held.columns["id"]) | held.lost
        return self._ids[table]

    def judges(self, tables: Iterable[str]) -> bool:
        """Whether all the tables could be read, so that an id that stands in none is truly unknown."""
        return all(self._tables[name].readable and "id" not in self._tables[name].missing for name in tables)

    def unknown(self, values: Iterable[str], tables: tuple[str, ...]) -> set[str]:
        """The values that are ids of none of the tables."""
        left = set(values)
        for name in tables:
            left -= self.ids(name)
        return left

    def finding(self, value: str, tables: tuple[str, ...]) -> Finding:
        """What is wrong with an unknown value, with the right id if the text names one in another way, else the
        nearest."""
        terms = all(self._tables[name].file.startswith("terms/") for name in tables)
        files = [self._tables[name].file for name in tables]
        where = files[0] if len(files) == 1 else f"{', '.join(files[:-1])} or {files[-1]}"
        rule = "unknown-term" if terms else "dangling-reference"
        if value == "-":
            return Finding(
                rule,
                "“-” states that there is none, which this column does not hold.",
                "Leave the cell empty where nothing is stated.",
                value,
            )
        return Finding(rule, f"“{shown(value)}” is not in {where}.", self._tip(value, tables, where, terms), value)

    def _tip(self, value: str, tables: tuple[str, ...], where: str, terms: bool) -> str:
        plain = value.strip().lower().replace("_", "-").replace(" ", "-")
        for name in tables:
            if plain != value and plain.isprintable() and plain in self.ids(name):
                return f"Write {plain}."
        for name in tables:
            if value.strip() in self._by_label(name):
                return f"Write {self._by_label(name)[value.strip()]}."
        for mark in ("；", "、", ",", "，", "/"):
            if mark in value:
                return (
                    "Join the members of a list with “;”."
                    if terms
                    else "Name one record; where a list is allowed, join with “;”."
                )
        near = self._nearest(plain[:80], tables)
        if terms:
            return (
                f"{near} Or add the term to {where} first.".strip()
                if near
                else f"Write an id that stands in {where}, or add the term there first."
            )
        return near or f"Write an id that stands in {where}, or add the record there first."

    def _nearest(self, value: str, tables: tuple[str, ...]) -> str:
        if self._searches >= _MOST_SEARCHES or not value:
            return ""
        self._searches += 1
        words = [
            word
            for name in tables
            for word in self.ids(name)
            if abs(len(word) - len(value)) <= 6 and word.isprintable()
        ]
        if len(words) > _MOST_SEARCHED:
            words = [word for word in words if word[:1] == value[0]]
        return did_you_mean(value, sorted(words)[:_MOST_SEARCHED])

    def _by_label(self, table: str) -> dict[str, str]:
        if table not in self._labels:
            columns = self._tables[table].columns
            self._labels[table] = {
                label: id
                for column in _LABELS
                if column in columns
                for label, id in zip(columns[column], columns["id"], strict=True)
                if label and id.isprintable()
            }
        return self._labels[table]
