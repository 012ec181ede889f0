"""Each layer of a package judged: its exceptions, what it loosens, and whether the base has moved under it."""

from collections.abc import Iterator
from datetime import date

from materia_data.check.layers.drift import drift
from materia_data.check.layers.loosened import stages
from materia_data.check.ledger import LEDGER, judged
from materia_data.check.rules import read_rules
from materia_data.check.safety import compare, safety_facts
from materia_data.materia import Materia
from materia_data.problem import Problem
from materia_data.read.package import Package
from materia_data.read.structure import check_structure
from materia_data.read.table import layer_of


def check_layers(materia: Materia, day: date) -> Iterator[Problem]:
    """What no check of the whole can find. Exceptions are judged where their file stands: those of the base and of
    lower layers without what lies over them. Source: semantics.md, 6."""
    from materia_data.check.run import check_rules_and_rows

    for beneath, over in stages(materia):
        rules, _ = read_rules(beneath.package, beneath.facts)
        found = check_rules_and_rows(beneath.facts, rules, day)
        yield from (problem for problem in found if problem.rule.startswith("exception-"))
        before, after = safety_facts(beneath), safety_facts(over)
        changes = compare(before, after)
        yield from judged(changes, before, after, beneath, over, over.package.layers[-1].file(LEDGER))
        yield from drift(beneath, over, changes)


def structure_beneath(package: Package) -> Iterator[Problem]:
    """What is wrong in the cells of lower layers where a higher one hides it."""
    seen = set(check_structure(package))
    while package.beneath is not None and package.beneath.layers:
        package = package.beneath
        found = [problem for problem in check_structure(package) if problem not in seen]
        seen.update(found)
        yield from (problem for problem in found if layer_of(problem.file))
