"""A new record: every question its table asks, and the row written in its place once all answers are right."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from materia_data.change.tidy import canonical
from materia_data.change.write import write_all
from materia_data.problem import Problem
from materia_data.read.package import Package
from materia_data.read.schema import Field
from materia_data.read.structure import check_structure
from materia_data.read.table import Table


@dataclass(frozen=True, slots=True)
class Question:
    """One column as a question. answers: the values that may be given, as far as they are few; required: whether it
    may stay empty."""

    column: str
    title: str
    asks: str
    example: str
    required: bool
    answers: tuple[str, ...]


def questions(package: Package, table: str) -> list[Question]:
    """The questions of a table, in column order. KeyError where there is no such table."""
    return [_question(package, field) for field in package.tables[table].schema.fields]


def new(package: Package, table: str, answers: Mapping[str, str], *, write: bool = True) -> list[Problem]:
    """Add a row. Returns what is wrong with it, and writes it, in its sorted place, only if nothing is.

    answers: text by column, a column left out staying empty. KeyError where there is no such table or column.
    """
    old = package.tables[table]
    strange = sorted(set(answers) - set(old.schema.by_name))
    if strange:
        raise KeyError(", ".join(strange))
    line = len(old) + 2
    columns = {column: [*cells, answers.get(column, "")] for column, cells in old.columns.items()}
    grown = Table(old.schema, columns, [*old.lines, line])
    key = grown.key(len(old))
    problems = [
        problem
        for problem in check_structure(replace(package, tables=package.tables | {table: grown}, _kinds=None))
        if problem.file == old.file and problem.record == key and problem.rule != "rows-in-order"
    ]
    if not problems and write:
        write_all(package.root, {old.file: canonical(grown)})
    return problems


def _question(package: Package, field: Field) -> Question:
    answers = field.enum
    if not answers and len(field.refers) == 1:
        answers = tuple(package.tables[field.refers[0]].columns["id"])
    asks = f"{field.description} Several, joined by `;`." if field.is_list else field.description
    return Question(field.name, field.title, asks, field.example, field.required, answers)
