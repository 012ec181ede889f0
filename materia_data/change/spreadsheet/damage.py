"""Damage that spreadsheet programs and slips of the hand do to cells: each kind found, named and not taken over."""

import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Mapping

from materia_data.change.spreadsheet.left import Left
from materia_data.change.spreadsheet.returned import Cell, Damage, Returned, letters
from materia_data.change.spreadsheet.scan import Grid, Other
from materia_data.read.package import Package

_FEWEST = 3
_MANY = 8
_MOSTLY = 0.8
_OFFSETS = (1, -1, 2, -2, 3, -3)


def find_damage(left: Left, book: Mapping[str, Grid], back: Returned, package: Package) -> list[Damage]:
    """Every damage, those of sheets and columns first. Cells that are part of one say so in `damage`."""
    _seen_by_nobody(book, back)
    groups: dict[tuple[str, str, str], list[Cell]] = {}
    for cell in back.cells:
        groups.setdefault((cell.sheet, cell.table, cell.column), []).append(cell)
    _shifted_along_rows(left, back)
    for (sheet, table, column), cells in groups.items():
        free = [cell for cell in cells if not cell.damage and isinstance(cell.after, str)]
        if _shifted(free, left.sheets[sheet][table].columns.index(column), left, back):
            _mark(free, "shifted-cells")
        elif _sorted_apart(free):
            _mark(free, "sorted-apart")
    other_script = _scripts(package)
    for cell in (*back.cells, *(cell for row in back.new for cell in row)):
        if not cell.damage and isinstance(cell.after, Other):
            cell.damage = _TYPES.get(cell.after.kind, "numbers")
        elif not cell.damage and cell.record and cell.table in package.tables:
            cell.damage = _in_one_cell(cell, other_script, package)
    return [*back.damages, *_named(back, book)]


def _seen_by_nobody(book: Mapping[str, Grid], back: Returned) -> None:
    """Cells in merged ranges and in hidden rows."""
    for cell in (*back.cells, *(cell for row in back.new for cell in row)):
        grid = book[cell.sheet]
        if any(a <= cell.row <= c and b <= cell.at <= d for a, b, c, d in grid.merged):
            cell.damage = "merged-cells"
        elif cell.row in grid.hidden:
            cell.damage = "hidden-rows"


def _shifted_along_rows(left: Left, back: Returned) -> None:
    """Cells of one row that stand a place or two beside their own."""
    rows: dict[tuple[str, int], list[Cell]] = {}
    for cell in back.cells:
        rows.setdefault((cell.sheet, cell.row), []).append(cell)
    for cells in rows.values():
        free = [cell for cell in cells if not cell.damage]
        if len(free) < 2:
            continue
        part = left.sheets[cells[0].sheet][cells[0].table]
        base = part.rows[cells[0].record]
        for off in _OFFSETS[:4]:
            moved = 0
            for cell in free:
                at = part.columns.index(cell.column) - off
                moved += 0 <= at < len(base) and base[at] != "" and _text(cell.after) == base[at]
            blank = sum(cell.after == "" for cell in free)
            if moved >= 2 and moved + blank + 1 >= len(free):
                _mark(free, "shifted-cells")
                break


def _shifted(cells: list[Cell], at: int, left: Left, back: Returned) -> bool:
    """Whether, from the first changed cell of a column to the last, the rows mostly hold what a row above or below them
    held. Few values that repeat, as memory and common-practice do, are no sign."""
    if not _telling([cell for cell in cells if cell.after != ""]):
        return False
    sheet, table = cells[0].sheet, cells[0].table
    order, rows = back.order[sheet, table], left.sheets[sheet][table].rows
    changed = {cell.row: cell.after for cell in cells}
    places = [place for place, (_, row) in enumerate(order) if row in changed]
    before = [rows[mark][at] for mark, _ in order]
    span = range(places[0], places[-1] + 1)
    for off in _OFFSETS:
        moved = sum(
            0 <= place - off < len(order) and changed.get(order[place][1], before[place]) == before[place - off]
            for place in span
        )
        if moved >= _FEWEST and moved >= _MOSTLY * (len(span) - 2 * abs(off)):
            return True
    return False


def _sorted_apart(cells: list[Cell]) -> bool:
    """Whether the changed cells of a column hold what they held before, in another order."""
    if not _telling(cells):
        return False
    before, after = Counter(cell.before for cell in cells), Counter(_text(cell.after) for cell in cells)
    kept = sum((before & after).values())
    nearly = kept >= 2 * _FEWEST and kept >= _MOSTLY * len(cells) and 2 * len(before) > len(cells)
    return kept == len(cells) or nearly


def _telling(cells: list[Cell]) -> bool:
    """Whether the cells are enough, and different enough, to tell moved values from new ones."""
    values = {_text(cell.after) for cell in cells}
    return len(values) >= _FEWEST or (len(values) == 2 and len(cells) >= _MANY)


def _in_one_cell(cell: Cell, other_script: Callable[[str, str, bool], bool], package: Package) -> str:
    before, after = cell.before, _text(cell.after)
    if not before or not after:
        return ""
    if _bare(before) == after and before != after:
        return "lost-tone-marks"
    if other_script(before, after, _traditional(cell, package)):
        return "converted-script"
    dropped = before[: len(before) - len(after)] if before.endswith(after) else ""
    if dropped and len(dropped) <= 2:
        field = package.tables[cell.table].schema.by_name.get(cell.column)
        signs = not any(char.isalnum() for char in dropped) and not dropped.isspace()
        of_id = field is not None and bool(field.pattern) and not field.is_list and dropped.isascii()
        if signs or (of_id and dropped.isalpha()) or set(dropped) == {"0"}:
            return "dropped-characters"
    return ""


def _traditional(cell: Cell, package: Package) -> bool:
    """Whether the column is one of traditional characters."""
    if cell.column == "name_hant":
        return True
    return cell.table == "names" and cell.record.rpartition("|")[2].startswith("zh-Hant")


def _scripts(package: Package) -> Callable[[str, str, bool], bool]:
    """Whether a text is another in the other script, by the pairs of characters that the package's names show."""
    pairs: set[tuple[str, str]] = set()
    for table in package.tables.values():
        if {"name_hans", "name_hant"} <= table.columns.keys():
            for hans, hant in zip(table.columns["name_hans"], table.columns["name_hant"], strict=True):
                if len(hans) == len(hant) and hans != hant:
                    pairs.update(pair for pair in zip(hans, hant, strict=True) if pair[0] != pair[1])

    def converted(before: str, after: str, traditional: bool) -> bool:
        if len(before) != len(after) or before.isascii():
            return False
        differing = [pair for pair in zip(before, after, strict=True) if pair[0] != pair[1]]
        if traditional:
            differing = [(new, old) for old, new in differing]
        known = sum(pair in pairs for pair in differing)
        return bool(known) and 2 * known >= len(differing) and all(min(pair) > "⺀" for pair in differing)

    return converted


def _bare(text: str) -> str:
    """The text without tone marks; the two dots of ü may go with them."""
    parts = unicodedata.normalize("NFD", text)
    return unicodedata.normalize("NFC", "".join(char for char in parts if not unicodedata.combining(char)))


def _text(value: "str | Other") -> str:
    return value if isinstance(value, str) else value.shown


def _mark(cells: Iterable[Cell], kind: str) -> None:
    for cell in cells:
        cell.damage = kind


_TYPES = {"number": "numbers", "date": "dates", "formula": "formulas", "boolean": "truth-values", "error": "errors"}
_SAID = {
    "sorted-apart": (
        "{n} cells of the column {column} hold each other's values.",
        "The column was sorted apart from the rest of the rows, so each value stands beside another record.",
        "None is taken over. Undo the sorting, or sort whole rows, the grey first column among them.",
    ),
    "shifted-cells": (
        "{n} cells of the column {column} hold what stood beside, above or below them.",
        "A cell was put in or taken out, and the others moved up to fill its place.",
        "None is taken over. Undo the shift, then change the one cell that was meant.",
    ),
    "merged-cells": (
        "{n} changed cells of the column {column} lie in merged cells.",
        "Merging keeps one value and throws the others away.",
        "None is taken over. Split the merged cells and fill each again.",
    ),
    "hidden-rows": (
        "{n} changed cells of the column {column} lie in hidden rows.",
        "What nobody saw while correcting nobody can have meant.",
        "None is taken over. Show the rows, look at the cells, and bring the file in again.",
    ),
    "dates": (
        "{n} cells of the column {column} came back as dates.",
        "The spreadsheet program made a date of the text, as it does of 3-9 or 1/2, and the text is lost.",
        "None is taken over. Format the cells as text and type the values again.",
    ),
    "numbers": (
        "{n} cells of the column {column} came back as numbers.",
        "A number loses what the text had: zeros in front, an exponent, the digits after the fifteenth.",
        "None is taken over. Format the cells as text and type the values again.",
    ),
    "truth-values": (
        "{n} cells of the column {column} came back as TRUE or FALSE.",
        "The spreadsheet program read the text as a truth value of its own.",
        "None is taken over. Format the cells as text and type the values again.",
    ),
    "errors": (
        "{n} cells of the column {column} came back as errors of the spreadsheet program.",
        "It wrote its error where the value was.",
        "None is taken over. Type the values again.",
    ),
    "formulas": (
        "{n} cells of the column {column} came back as formulas.",
        "A formula's result depends on other cells and is nobody's word.",
        "None is taken over. Type the value itself, in a cell formatted as text.",
    ),
    "dropped-characters": (
        "{n} cells of the column {column} lost the characters in front.",
        "Spreadsheet programs drop zeros and signs at the beginning of a cell; a sign such as - has a meaning here.",
        "None is taken over. If it was meant, change it in the CSV file.",
    ),
    "lost-tone-marks": (
        "{n} cells of the column {column} lost their tone marks.",
        "Letters with marks were turned into plain ones on the way.",
        "None is taken over. Save in a program that keeps all of Unicode, as .xlsx.",
    ),
    "converted-script": (
        "{n} cells of the column {column} came back in the other Chinese script.",
        "Simplified and traditional names are kept apart, and converting by machine errs.",
        "None is taken over. Turn the conversion off; names in the other script have a column of their own.",
    ),
}


def _named(back: Returned, book: Mapping[str, Grid]) -> list[Damage]:
    """One damage a kind and column, and one for hidden rows and merged cells in which nothing was changed."""
    groups: dict[tuple[str, str, str, str], list[Cell]] = {}
    for cell in (*back.cells, *(cell for row in back.new for cell in row)):
        if cell.damage:
            groups.setdefault((cell.damage, cell.sheet, cell.table, cell.column), []).append(cell)
    found = []
    for (kind, sheet, _, column), cells in groups.items():
        what, why, todo = _SAID[kind]
        said = what.format(n=len(cells), column=column)
        if len(cells) == 1:
            said = f"One{said[1:]}" if said.startswith("1 ") else said
            for many, one in _ONE:
                said = said.replace(many, one)
            todo = todo.replace("None is taken over", "It is not taken over")
        found.append(Damage(kind, sheet, _places(cells), len(cells), said, why, todo))
    touched = {(damage.kind, damage.sheet) for damage in found}
    for name, grid in book.items():
        if grid.merged and ("merged-cells", name) not in touched:
            ranges = ", ".join(f"{letters(b)}{a}:{letters(d)}{c}" for a, b, c, d in grid.merged[:8])
            said = f"{len(grid.merged)} merged cells." if len(grid.merged) > 1 else "One range of cells is merged."
            what, why, todo = _SAID["merged-cells"]
            found.append(Damage("merged-cells", name, ranges, 0, said, why, "Split them."))
        if grid.hidden and ("hidden-rows", name) not in touched:
            rows = ", ".join(map(str, sorted(grid.hidden)[:8]))
            said = f"{len(grid.hidden)} rows are hidden; nothing in them was changed."
            found.append(Damage("hidden-rows", name, f"rows {rows}", 0, said,
                "Rows out of sight are easily forgotten.", "Nothing need be done."))  # fmt: skip
    return found


_ONE = ((" cells ", " cell "), (" hold ", " holds "), (" lie ", " lies "), ("each other's values", "another's value"))


def _places(cells: list[Cell]) -> str:
    some = ", ".join(cell.place for cell in cells[:8])
    return some + (f" … ({len(cells)} in all)" if len(cells) > 8 else "")
