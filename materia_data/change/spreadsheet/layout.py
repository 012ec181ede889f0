"""What stands where in the spreadsheet: a sheet a table, or a sheet a category with a block a medicinal or formula."""

from collections.abc import Iterator
from dataclasses import dataclass

from materia_data.read.package import Package
from materia_data.read.table import Table

WAYS = ("table", "category")
_LONGEST_NAME = 31
_OF_HERB = ("herbs", "forms", "herb_actions", "doses", "cautions", "handling", "controls", "aids")
_OF_FORMULA = ("formulas", "formula_items", "doses", "cautions", "handling", "aids")
_FIRST = ("herbs", "relations", "formulas", "teaching", "terms", "record")


@dataclass(frozen=True, slots=True)
class Section:
    """Rows of one table under one header. rows: their numbers in the table; title: a line above, or empty."""

    table: str
    rows: tuple[int, ...]
    title: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet. name: at most 31 characters, none like another; title: what it holds; sections, first to last."""

    name: str
    title: str
    sections: tuple[Section, ...]


def sheets(package: Package, by: str) -> list[Sheet]:
    """The sheets, by `table` or by `category`, in the order of the package's folders or of teaching."""
    if by == "table":
        tables = sorted(package.tables.values(), key=lambda table: (_FIRST.index(table.file.split("/")[0]), table.file))
        return [
            Sheet(table.schema.name, table.schema.title, (Section(table.schema.name, tuple(range(len(table)))),))
            for table in tables
        ]
    return list(_by_category(package))


def _by_category(package: Package) -> Iterator[Sheet]:
    categories, taken = package.tables["categories"], set[str]()
    columns = categories.columns

    def order(row: int) -> tuple[bool, int]:
        return columns["scheme"][row] != "herbs", _place(categories, row)

    for row in sorted(range(len(categories)), key=order):
        own, tables = ("herbs", _OF_HERB) if columns["scheme"][row] == "herbs" else ("formulas", _OF_FORMULA)
        members = _members(package, own, columns["id"][row])
        if members:
            sections = [section for member in members for section in _block(package, own, member, tables)]
            title = f"{columns['name_hans'][row]} {columns['name_en'][row]}"
            yield Sheet(_name(columns["id"][row], taken), title, tuple(sections))


def _members(package: Package, own: str, category: str) -> list[int]:
    """Rows of the category's medicinals or formulas, by group, then as the file has them."""
    table, groups = package.tables[own], package.tables["groups"]
    at = {id: _place(groups, row) for row, id in enumerate(groups.columns["id"])}
    group = table.columns.get("subgroup", [""] * len(table))
    rows = table.rows_of("category").get(category, ())
    return sorted(rows, key=lambda row: (at.get(group[row], 10**6) if group[row] else 10**6, row))


def _block(package: Package, own: str, member: int, tables: tuple[str, ...]) -> Iterator[Section]:
    table = package.tables[own]
    id = table.columns["id"][member]
    forms = package.tables["forms"].rows_of("herb").get(id, ()) if own == "herbs" else ()
    subjects = [id, *(package.tables["forms"].columns["id"][row] for row in forms)]
    said = (table.columns[column][member] for column in ("name_hans", "pinyin", "name_en", "id"))
    title = "  ".join(filter(None, said))
    for name in tables:
        if name == own:
            yield Section(name, (member,), title)
        elif name == "forms":
            yield Section(name, tuple(forms))
        else:
            column = "formula" if name == "formula_items" else "subject"
            rows_of = package.tables[name].rows_of(column)
            yield Section(name, tuple(row for subject in subjects for row in rows_of.get(subject, ())))


def _place(table: Table, row: int) -> int:
    text = table.columns["position"][row]
    return int(text) if text.isdecimal() and len(text) < 7 else 10**6


def _name(id: str, taken: set[str]) -> str:
    name, number = id[:_LONGEST_NAME], 2
    while name in taken:
        name, number = f"{id[: _LONGEST_NAME - 3]}-{number}", number + 1
    taken.add(name)
    return name
