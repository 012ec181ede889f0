"""Rows as a whole: what they say of their source, of each other and of other tables."""

from collections.abc import Iterator
from itertools import islice

from materia_data.problem import Problem
from materia_data.read.package import Package
from materia_data.read.shown import shown
from materia_data.read.table import Table
from materia_data.suggest import did_you_mean

_MOST_CIRCLES = 100
_CLAIM = ("basis", "source", "locator")


def check_records(package: Package) -> Iterator[Problem]:
    """Problems of rows that claim to be collated, of circles of broader terms, of shared ids, and of citations."""
    for table in package.tables.values():
        yield from _collated(table)
        yield from _circles(table)
    yield from _shared_ids(package)
    yield from _citations(package)


def _collated(table: Table) -> Iterator[Problem]:
    """Collated requires source and locator. Source: semantics.md §1."""
    columns = table.columns
    if not columns.keys() >= set(_CLAIM) or table.missing.intersection(_CLAIM) or "collated" not in columns["basis"]:
        return
    for i, (basis, source, locator) in enumerate(zip(*(columns[name] for name in _CLAIM), strict=True)):
        for column, value in (("source", source), ("locator", locator)):
            if basis == "collated" and not value:
                message = f"The row says it was read in a source (collated), and {column} is empty."
                tip = f"Fill {column}, or write memory or common-practice as basis."
                yield table.problem(i, column, "collated-without-source", message, tip=tip)


def _circles(table: Table) -> Iterator[Problem]:
    """One problem for each circle of broader terms, at its first row; after a hundred of a table the rest must wait."""
    if "broader" not in table.columns or not any(table.columns["broader"]):
        return
    row = {id: i for i, id in reversed(list(enumerate(table.columns["id"])))}
    above = {id: [up for up in table.columns["broader"][i].split(";") if up and up in row] for id, i in row.items()}
    for circle in islice(_walk(above), _MOST_CIRCLES):
        first = min(circle, key=row.__getitem__)
        turned = circle[circle.index(first) :] + circle[: circle.index(first)]
        steps = [shown(id) for id in turned[:5]] + ["…"] * (len(turned) > 5) + [shown(first)]
        message = f"Broader leads in a circle: {' → '.join(steps)}."
        tip = "Take out the step that is not truly broader."
        yield table.problem(row[first], "broader", "broader-cycle", message, tip=tip)


def _walk(above: dict[str, list[str]]) -> Iterator[list[str]]:
    """The circles met when each step upward is walked once."""
    done: set[str] = set()
    for start in above:
        if start in done:
            continue
        path, waiting = {start: None}, [iter(above[start])]
        while path:
            up = next(waiting[-1], None)
            if up is None:
                done.add(path.popitem()[0])
                waiting.pop()
            elif up in path:
                steps = list(path)
                yield steps[steps.index(up) :]
            elif up not in done:
                path[up] = None
                waiting.append(iter(above[up]))


def _shared_ids(package: Package) -> Iterator[Problem]:
    """An id stands in one of herbs, forms and formulas only. Source: semantics.md §1."""
    seen: dict[str, str] = {}
    for name in ("herbs", "forms", "formulas"):
        table = package.tables[name]
        for id in sorted(seen.keys() & set(table.columns["id"]) - {""}):
            message = f"The id {shown(id)} stands in {seen[id]} too; herbs, forms and formulas share one set of ids."
            for i in table.rows_of("id")[id]:
                yield table.problem(i, "id", "shared-id", message, tip="Give one of the two another id.")
        seen |= dict.fromkeys(set(table.columns["id"]) - seen.keys(), table.file)


def _citations(package: Package) -> Iterator[Problem]:
    """What a citation is about must exist: table, column and record."""
    citations = package.tables["citations"]
    if citations.missing.intersection({"about_table", "record", "column"}):
        return
    records: dict[str, set[str]] = {}
    for i, (name, record, column) in enumerate(
        zip(*(citations.columns[part] for part in ("about_table", "record", "column")), strict=True)
    ):
        about = package.tables.get(name)
        if about is None:
            tip = did_you_mean(name[:80], package.tables) or "Write the name of a table, as herbs or doses."
            if name:
                yield citations.problem(
                    i, "about_table", "dangling-reference", f"There is no table “{shown(name)}”.", tip=tip
                )
            continue
        if column and column not in about.schema.by_name:
            tip = (
                did_you_mean(column[:80], about.schema.by_name)
                or f"Write one of its columns: {', '.join(about.schema.by_name)}."
            )
            yield citations.problem(
                i, "column", "dangling-reference", f"{name} has no column “{shown(column)}”.", tip=tip
            )
        if not about.readable or about.lost or about.missing.intersection(about.schema.key):
            continue
        if name not in records:
            records[name] = {about.key(row) for row in range(len(about))}
        if record and record not in records[name]:
            tip = f"Write the record's key, its values joined by “|”: {'|'.join(about.schema.key)}."
            yield citations.problem(
                i, "record", "dangling-reference", f"{name} has no record “{shown(record)}”.", tip=tip
            )
