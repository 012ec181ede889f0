"""What is wrong with the cells, keys and references of a package that was read, and with its descriptor."""

from materia_data.problem import Problem
from materia_data.read.column import column_findings
from materia_data.read.descriptor import check_descriptor
from materia_data.read.keys import check_keys
from materia_data.read.known import Known
from materia_data.read.package import Package
from materia_data.read.records import check_records
from materia_data.read.schema import Field
from materia_data.read.table import Table


def check_structure(package: Package) -> list[Problem]:
    """Every problem of cells, keys, references and the descriptor, in file and line order.

    Each is an error; nothing is raised. With `package.problems` it is the reader's whole verdict.
    """
    known = Known(package)
    problems: list[Problem] = []
    for table in package.tables.values():
        for field in table.schema.fields:
            if field.name not in table.missing:
                problems += _located(table, field, known)
        problems += check_keys(table)
    problems += check_records(package)
    problems += check_descriptor(package.root)
    place = {(table.file, name): i for table in package.tables.values() for i, name in enumerate(table.schema.by_name)}

    def order(problem: Problem) -> tuple[str, int, int, str]:
        return problem.file, problem.line, place.get((problem.file, problem.column), -1), problem.rule

    return sorted(problems, key=order)


def _located(table: Table, field: Field, known: Known) -> list[Problem]:
    """A problem for each cell that holds a value which is wrong in its column."""
    wrong = column_findings(table, field, known)
    if not wrong:
        return []
    return [
        table.problem(i, field.name, finding.rule, finding.message, tip=finding.tip, value=finding.value)
        for i, value in enumerate(table.columns[field.name])
        if value in wrong
        for finding in wrong[value]
    ]
