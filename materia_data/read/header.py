"""The header of a file against the columns of its schema."""

from materia_data.problem import Problem
from materia_data.read.files import file_problem
from materia_data.read.schema import TableSchema
from materia_data.read.shown import shown
from materia_data.suggest import did_you_mean


def read_header(header: list[str], schema: TableSchema) -> tuple[dict[str, int], list[Problem]]:
    """Where in a row each column of the schema stands, and a problem for each that is missing, unknown, repeated or
    out of order.

    A name that differs only in case, space or `-` for `_` is a problem and is read as the column it means. Empty if
    nothing is a header.
    """
    if header == list(schema.by_name):
        return {name: position for position, name in enumerate(header)}, []
    place: dict[str, int] = {}
    problems: list[Problem] = []
    means = {_plain(name): name for name in schema.by_name}
    strange: list[str] = []
    for position, name in enumerate(header):
        known = name if name in schema.by_name else means.get(_plain(name), "")
        if not known:
            strange.append(name)
        elif known in place:
            tip = "Take one of the two out, with its cells."
            problems.append(
                _problem(
                    schema,
                    known,
                    "repeated-column",
                    f"The column {known} stands in the header more than once.",
                    tip,
                    name,
                )
            )
        else:
            place[known] = position
            if known != name:
                message = f"The header says “{shown(name)}” for the column {known}."
                problems.append(_problem(schema, known, "unknown-column", message, f"Write {known}.", name))
    if not place:
        return {}, [_no_header(schema)]
    missing = [name for name in schema.by_name if name not in place]
    for name in strange:
        tip = (
            did_you_mean(name[:80], missing)
            or "Take the column out with its cells, or move them to a column that the table has."
        )
        message = f"{schema.name} has no column “{shown(name)}”." if name else "A column in the header has no name."
        problems.append(_problem(schema, name, "unknown-column", message, tip, name))
    problems.extend(_missing(schema, name) for name in missing)
    stands = sorted(place, key=place.__getitem__)
    wanted = [name for name in schema.by_name if name in place]
    if stands != wanted:
        first = next(name for name, right in zip(stands, wanted, strict=True) if name != right)
        message = f"The columns are not in the order of the schema; {first} is the first out of place."
        tip = f"Put them in this order: {', '.join(schema.by_name)}; `materia tidy` does so."
        problems.append(_problem(schema, first, "reordered-columns", message, tip, first))
    return place, problems


def _plain(name: str) -> str:
    return "".join(char for char in name if char.isprintable() and not char.isspace()).lower().replace("-", "_")


def _missing(schema: TableSchema, name: str) -> Problem:
    names = list(schema.by_name)
    before = names.index(name)
    where = f"after {names[before - 1]}" if before else "as the first column"
    return _problem(
        schema,
        name,
        "missing-column",
        f"The column {name} is missing.",
        f"Add {name} {where}; leave a cell empty where nothing is known.",
        "",
    )


def _no_header(schema: TableSchema) -> Problem:
    tip = f"Make this the first line: {','.join(schema.by_name)}"
    return _problem(schema, "", "missing-header", "The first line names none of the table's columns.", tip, "")


def _problem(schema: TableSchema, column: str, rule: str, message: str, tip: str, value: str) -> Problem:
    return file_problem(schema.path, rule, message, tip, line=1, column=column, value=value)
