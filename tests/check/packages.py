"""Small packages held against one another."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from materia_data.check.safety import Change, compare, safety_facts
from materia_data.materia import Materia
from materia_data.read.table import Table
from tests.little import little_package

Row = Mapping[str, object]

RULE = """
[[rule]]
id = "toxic-in-pregnancy"
title = "What is toxic is not for the pregnant"
over = ["herbs", "forms"]
when = "toxicity:slight.."
expect = "caution:avoid..[topic:pregnancy] and caution[topic:pregnancy]"
strength = "must"
because = "It may harm the child."
basis = "common-practice"
safety = true
holds = ["toxicity:toxic and caution:avoid[topic:pregnancy]"]
breaks = ["toxicity:toxic"]
"""


def package(*, rules: str = RULE, gone: Mapping[str, Sequence[str]] | None = None, **tables: Sequence[Row]) -> Materia:
    """The little package with these rows and one rule file. gone: keys of rows left out, by table."""
    made = little_package(rules={"demo.toml": rules} if rules else {}, **tables)
    for name, keys in (gone or {}).items():
        table = made.tables[name]
        kept = [row for row in range(len(table)) if table.key(row) not in keys]
        assert len(table) - len(kept) == len(keys), f"{name} has not all of {keys}"
        columns = {column: [cells[row] for row in kept] for column, cells in table.columns.items()}
        made.tables[name] = Table(table.schema, columns, range(2, len(kept) + 2))
    return Materia(replace(made, _kinds=None))


def changes(old: Materia, new: Materia) -> list[Change]:
    """Every change of the compared set."""
    return compare(safety_facts(old), safety_facts(new))


def looser(old: Materia, new: Materia) -> set[tuple[str, str, str, str, str]]:
    """What was weakened or lost: subject, predicate, qualifiers, was, now."""
    return {
        (change.subject, change.predicate, change.qualifiers, change.was, change.now)
        for change in changes(old, new)
        if change.looser
    }


def effects(old: Materia, new: Materia) -> set[tuple[str, str, str]]:
    """Subject, predicate and effect of every change."""
    return {(change.subject, change.predicate, change.effect) for change in changes(old, new)}
