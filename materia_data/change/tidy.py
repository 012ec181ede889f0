"""Canonical files: columns in order, rows sorted by key, no stray space at a cell's ends, LF, no byte-order mark."""

import csv
import io
import unicodedata
from dataclasses import dataclass

from materia_data.change.write import write_all
from materia_data.read.keys import row_order
from materia_data.read.package import Package
from materia_data.read.pending import place
from materia_data.read.table import Table

MENDS = frozenset(
    {
        "reordered-columns",
        "crlf-line-ends",
        "byte-order-mark",
        "blank-line",
        "stray-space",
        "decomposed-character",
        "rows-in-order",
    }
)
"""The findings of the reader that tidying mends."""


@dataclass(frozen=True, slots=True)
class Tidied:
    """One file: changed, whether its bytes were not canonical; left_alone, why it was not touched, or the empty
    string."""

    file: str
    changed: bool
    left_alone: str = ""


def tidy(package: Package, *, write: bool = True) -> list[Tidied]:
    """Write each table in its canonical form, all files or none; with write=False only tell. Raises CannotWrite.

    A file with a line that could not be read is left alone, for nothing may be lost. List members keep their order:
    it has meaning.
    """
    troubled = {problem.file: problem for problem in reversed(package.problems) if problem.rule not in MENDS}
    results, files = [], dict[str, str]()
    for table in package.tables.values():
        path = place(package.root, table.file)
        if not path.is_file():
            continue
        if table.file in troubled:
            problem = troubled[table.file]
            results.append(Tidied(table.file, False, f"line {problem.line}: {problem.message} {problem.tip}"))
            continue
        text = canonical(table)
        changed = text.encode("utf-8") != path.read_bytes()
        if changed:
            files[table.file] = text
        results.append(Tidied(table.file, changed))
    if write:
        write_all(package.root, files)
    return results


def canonical(table: Table) -> str:
    """The text of the table's file, sorted by key; of two rows with one key the first stays first."""
    columns = {column: _clean(cells) for column, cells in table.columns.items()}
    order = row_order(table.schema, columns)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.schema.by_name)
    cells = [columns[column] for column in table.schema.by_name]
    for index in sorted(range(len(table)), key=order.__getitem__):
        writer.writerow([column[index] for column in cells])
    return out.getvalue()


def _clean(cells: list[str]) -> list[str]:
    clean = {text: unicodedata.normalize("NFC", text).strip() for text in set(cells)}
    return [clean[text] for text in cells]
