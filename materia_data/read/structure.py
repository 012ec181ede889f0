"""What is wrong with the cells, keys and references of a package that was read, and with its descriptor."""

from collections.abc import Iterator

from materia_data.problem import Problem
from materia_data.read.cells import Finding, bad_texts, value_finding
from materia_data.read.descriptor import check_descriptor
from materia_data.read.keys import check_keys
from materia_data.read.known import Known
from materia_data.read.package import Package
from materia_data.read.schema import Field
from materia_data.read.shown import shown
from materia_data.read.table import Table
from materia_data.suggest import did_you_mean

_DROPS_MEMBERS = ("forms", "traits")


def check_structure(package: Package) -> list[Problem]:
    """Every problem of cells, keys, references and the descriptor, in file and line order. Each is an error; nothing
    is raised.

    With `package.problems` it is the reader's whole verdict. A value that a column repeats is judged once, then
    located.
    """
    known = Known(package)
    problems: list[Problem] = []
    for table in package.tables.values():
        for field in table.schema.fields:
            if field.name not in table.missing:
                problems += _column(table, field, known)
        problems += check_keys(table)
        problems += _collated(table)
        problems += _circles(table)
    problems += _shared_ids(package)
    problems += _citations(package)
    problems += check_descriptor(package.root)
    place = {(table.file, name): i for table in package.tables.values() for i, name in enumerate(table.schema.by_name)}
    return sorted(
        problems,
        key=lambda problem: (problem.file, problem.line, place.get((problem.file, problem.column), -1), problem.rule),
    )


def _column(table: Table, field: Field, known: Known) -> list[Problem]:
    """Judge each value of the column once; then say where it stands."""
    cells = table.columns[field.name]
    values = set(cells)
    wrong: dict[str, list[Finding]] = {}
    if "" in values:
        values.discard("")
        if field.required:
            wrong[""] = [
                Finding(
                    "missing-value", f"{field.name} is empty.", f"Fill it, as in this example: {field.example}.", ""
                )
            ]
    if values:
        wrong |= {value: [finding] for value, finding in bad_texts(values).items()}
        values.difference_update(wrong)
        wrong |= _members(values, table, field, known) if field.is_list else _values(values, field, known)
    if not wrong:
        return []
    return [
        table.problem(i, field.name, finding.rule, finding.message, tip=finding.tip, value=finding.value)
        for i, value in enumerate(cells)
        if value in wrong
        for finding in wrong[value]
    ]


def _values(values: set[str], field: Field, known: Known) -> dict[str, list[Finding]]:
    if field.allows_none:
        values = values - {"-"}
    wrong: dict[str, list[Finding]] = {}
    if field.refers and known.judges(field.refers):
        wrong = {
            value: [known.finding(value, field.refers, none_allowed=field.allows_none)]
            for value in sorted(known.unknown(values, field.refers))
        }
    if not field.prose or field.pattern or field.enum:
        for value in values.difference(wrong):
            if finding := value_finding(value, field):
                wrong[value] = [finding]
    return wrong


def _members(values: set[str], table: Table, field: Field, known: Known) -> dict[str, list[Finding]]:
    drops = (table.schema.name, field.name) == _DROPS_MEMBERS
    split = {value: value.split(";") for value in values}
    members = {member for parts in split.values() for member in parts}
    means = {member: member[1:] if drops and member[:1] == "-" and member != "-" else member for member in members}
    texts = bad_texts(members)
    wrong = {member: [finding] for member, finding in texts.items()}
    judged = _values(
        {means[member] for member in members.difference(texts, {""}, {"-"} if field.allows_none else ())}, field, known
    )
    wrong |= {member: judged[meant] for member, meant in means.items() if meant in judged and member not in texts}
    found: dict[str, list[Finding]] = {}
    for value, parts in split.items():
        findings = (
            [finding for member in dict.fromkeys(parts) if member in wrong for finding in wrong[member]]
            if wrong
            else []
        )
        if "" in parts:
            findings.append(
                Finding(
                    "empty-member",
                    f"The list “{shown(value)}” has an empty member.",
                    "Take out the “;” too many.",
                    value,
                )
            )
        if len(set(parts)) < len(parts):
            twice = sorted({part for part in parts if part and parts.count(part) > 1})
            findings += [
                Finding(
                    "repeated-member", f"“{shown(part)}” stands in the list more than once.", "Name it once.", value
                )
                for part in twice
            ]
        if field.allows_none and len(parts) > 1 and "-" in parts and not drops:
            tip = "Write “-” alone, or take it out."
            findings.append(
                Finding("none-with-others", "“-” states that there is none, and others stand beside it.", tip, value)
            )
        if findings:
            found[value] = findings
    return found


def _collated(table: Table) -> Iterator[Problem]:
    """Collated requires source and locator. Source: semantics.md §1."""
    columns = table.columns
    if not {"basis", "source", "locator"} <= columns.keys() or table.missing.intersection(
        {"basis", "source", "locator"}
    ):
        return
    if "collated" not in columns["basis"]:
        return
    for i, (basis, source, locator) in enumerate(
        zip(columns["basis"], columns["source"], columns["locator"], strict=True)
    ):
        for column, value in (("source", source), ("locator", locator)):
            if basis == "collated" and not value:
                message = f"The row says it was read in a source (collated), and {column} is empty."
                yield table.problem(
                    i,
                    column,
                    "collated-without-source",
                    message,
                    tip=f"Fill {column}, or write memory or common-practice as basis.",
                )


def _circles(table: Table) -> Iterator[Problem]:
    """One problem for each circle of broader terms, at its first row."""
    if "broader" not in table.columns or not any(table.columns["broader"]):
        return
    row = {id: i for i, id in reversed(list(enumerate(table.columns["id"])))}
    above = {id: [up for up in table.columns["broader"][i].split(";") if up and up in row] for id, i in row.items()}
    state: dict[str, int] = {}
    for start in row:
        if start in state:
            continue
        state[start] = 1
        path, waiting = [start], [iter(above[start])]
        while path:
            up = next(waiting[-1], None)
            if up is None:
                state[path.pop()] = 2
                waiting.pop()
            elif up not in state:
                state[up] = 1
                path.append(up)
                waiting.append(iter(above[up]))
            elif state[up] == 1:
                circle = path[path.index(up) :]
                i = min(row[id] for id in circle)
                first = next(place for place, id in enumerate(circle) if row[id] == i)
                circle = circle[first:] + circle[:first]
                start_again = circle[0]
                if len(circle) > 6:
                    circle = [*circle[:5], "…"]
                message = f"Broader leads in a circle: {' → '.join(shown(id) for id in [*circle, start_again])}."
                yield table.problem(
                    i, "broader", "broader-cycle", message, tip="Take out the step that is not truly broader."
                )


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
