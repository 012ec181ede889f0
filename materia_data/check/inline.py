"""Inline subjects: what a rule's own rows, or its `when`, would state of a subject that states nothing else."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import product

from materia_data.facts.build import build_facts
from materia_data.facts.facts import Facts
from materia_data.facts.pattern import And, Atom, Or, Pattern, StatesNot
from materia_data.facts.predicates import predicates
from materia_data.read.package import Package
from materia_data.read.schema import TableSchema, table_schemas
from materia_data.read.table import Table, empty_table

Rows = dict[str, dict[tuple[str, ...], dict[str, str]]]
"""By table and key the row."""
Statement = tuple[Atom, bool]
"""An atom with one value, and whether it is stated (true) or stated not to be."""

_SUBJECTS = ("herbs", "forms", "formulas")
_HERB = "inline-herb"
_MOST = 400


def inline_facts(subjects: Sequence[tuple[str, Sequence[Statement]]], package: Package) -> Facts:
    """Facts about made-up subjects, which share the package's vocabularies.

    subjects: for each its kind (herbs, forms, formulas) and what it states. Their numbers in the result follow
    `inline_ids`.
    """
    rows: Rows = {}
    if any(kind == "forms" for kind, _ in subjects):
        _put(rows, "herbs", {"id": _HERB, "status": "current"})
    for place, (kind, statements) in enumerate(subjects):
        _state(rows, kind, inline_id(kind, place), statements)
    tables = {name: _kept(package, schema) for name, schema in table_schemas().items()}
    for name, entries in rows.items():
        tables[name] = _table(table_schemas()[name], list(entries.values()))
    return build_facts(replace(package, tables=tables, rules={}, problems=[], _kinds=None))


def inline_id(kind: str, place: int) -> str:
    """The id of the subject in this place."""
    return f"{_HERB}.s{place}" if kind == "forms" else f"inline-{place}"


def kind_of(over: Sequence[str], statements: Iterable[Statement]) -> str:
    """The kind of subject that can state these: what only forms or only formulas can state makes it one."""
    for atom, _ in statements:
        tables = {table for table, _ in predicates()[atom.predicate].sources}
        for kind in ("forms", "formulas"):
            if kind in over and tables & set(_SUBJECTS) == {kind}:
                return kind
        if "formulas" in over and "formula_items" in tables:
            return "formulas"
    return over[0]


def stated_by(pattern: Pattern) -> list[Statement]:
    """What a rule's inline row states: its atoms, joined by `and`."""
    if isinstance(pattern, And):
        return [statement for part in pattern.parts for statement in stated_by(part)]
    if isinstance(pattern, StatesNot):
        return [(pattern.part, False)]
    return [(pattern, True)] if isinstance(pattern, Atom) else []


def stated_by_branches(pattern: Pattern, facts: Facts) -> list[list[Statement]]:
    """What each branch of a pattern states: a list for each way of choosing one side of every `or` and one value of
    every range."""
    if isinstance(pattern, And):
        parts = [stated_by_branches(part, facts) for part in pattern.parts]
        return [[statement for branch in chosen for statement in branch] for chosen in _some(product(*parts))]
    if isinstance(pattern, Or):
        return [branch for part in pattern.parts for branch in stated_by_branches(part, facts)]
    if isinstance(pattern, StatesNot):
        return [[(pattern.part, False)]]
    if isinstance(pattern, Atom):
        if pattern.test == "=":
            return [[(replace(pattern, test=":", values=(value,)), True) for value in pattern.values]]
        return [[(replace(pattern, test=":", values=(value,)), True)] for value in _values(pattern, facts)] or [[]]
    return [[]]


def single_value(atom: Atom) -> str:
    """The one value that the atom names, or the empty string."""
    return atom.values[0] if len(atom.values) == 1 else ""


def _values(atom: Atom, facts: Facts) -> Sequence[str]:
    """The values that a range or a plain atom takes in; none of a bare predicate."""
    words = predicates()[atom.predicate].values
    if atom.test != "..":
        return atom.values
    if words.kind == "number":
        return [end for end in (atom.low, atom.high) if end]
    terms = facts.vocabularies[words.name]
    ends = [terms.rank(end) if end else None for end in (atom.low, atom.high)]
    low, high = (float("-inf") if ends[0] is None else ends[0]), (float("inf") if ends[1] is None else ends[1])
    return [term for term in terms if (rank := terms.rank(term)) is not None and low <= rank <= high]


def _some(branches: Iterable[tuple[list[Statement], ...]]) -> Iterable[tuple[list[Statement], ...]]:
    for count, branch in enumerate(branches):
        if count == _MOST:
            return
        yield branch


def _state(rows: Rows, kind: str, subject: str, statements: Sequence[Statement]) -> None:
    home = {"id": subject, "status": "current"} if kind == "herbs" else {"id": subject}
    if kind == "forms":
        home |= {"herb": _HERB, "inherits": "all"}
    if kind == "formulas":
        home |= {"items_complete": "yes"}
    _put(rows, kind, home)
    for place, (atom, stated) in enumerate(statements, 1):
        predicate = predicates()[atom.predicate]
        found = _home_of(predicate.sources, kind)
        if found is None:
            continue
        table, column = found
        value = single_value(atom)
        if table == kind:
            _add(home, table_schemas()[table], column, value)
            continue
        entry = {predicate.subject_column(table, column): subject, column: value}
        for asked in atom.qualifiers:
            entry[predicate.qualifier_column(table, asked.key)] = asked.value
        if table == "formula_items":
            entry |= {"formula": subject, "subject": value, "position": str(place)}
        if table == "antagonisms":
            entry = {"a": subject, "b": value} | {key: given for key, given in entry.items() if key not in ("a", "b")}
        for negative, cell in predicate.negative.items():
            entry[negative] = entry.get(negative, "") if stated else cell
        if predicate.values.unit_column:
            entry.setdefault(predicate.values.unit_column, predicate.values.unit)
        _put(rows, table, entry)


def _home_of(sources: Sequence[tuple[str, str]], kind: str) -> tuple[str, str] | None:
    """The table and column in which a subject of this kind states it: its own table's before another's."""
    own = [source for source in sources if source[0] == kind]
    others = [(table, column) for table, column in sources if table not in _SUBJECTS]
    fitting = [source for source in others if source[0] != "formula_items" or kind == "formulas"]
    return next(iter(own + fitting), None)


def _add(row: dict[str, str], schema: TableSchema, column: str, value: str) -> None:
    row[column] = f"{row[column]};{value}" if schema.by_name[column].is_list and row.get(column) else value


def _put(rows: Rows, table: str, entry: dict[str, str]) -> None:
    """Add the row, or fill the empty cells of one with the same key."""
    key = tuple(entry.get(column, "") for column in table_schemas()[table].key)
    there = rows.setdefault(table, {}).setdefault(key, entry)
    if there is not entry:
        there |= entry


def _table(schema: TableSchema, entries: Sequence[dict[str, str]]) -> Table:
    columns = {column: [entry.get(column, "") for entry in entries] for column in schema.by_name}
    return Table(schema, columns, range(2, len(entries) + 2))


def _kept(package: Package, schema: TableSchema) -> Table:
    """The package's own table if it holds terms, categories, groups, units or sources; else an empty one."""
    shared = schema.path.startswith("terms/") or schema.name in ("categories", "groups", "units", "sources")
    return package.tables[schema.name] if shared else empty_table(schema)
