"""The whole check of a package: structure, rules, checks in Python, exceptions, and safety against an older package."""

import os
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime

from materia_data.check.exceptions import Exceptions
from materia_data.check.measure import measure_all
from materia_data.check.registry import Check, checks
from materia_data.check.report import Report
from materia_data.check.rows import rows
from materia_data.check.rules import Rule, read_rules
from materia_data.check.signoffs import release_problems, signoffs_gone
from materia_data.check.verdict import example_problems, verdicts
from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.problem import Problem
from materia_data.read.structure import check_structure


def check(
    materia: Materia,
    *,
    against: Materia | None = None,
    on: date | None = None,
    structure_only: bool = False,
    release: str = "",
) -> Report:
    """Check a package.

    against: an older package, whose effective safety facts are compared; on: the day to judge dates by, by default
    that of SOURCE_DATE_EPOCH, else today; structure_only: leave out rules, checks and safety; release: the version
    under which the data are to be released, if they are. Of data with layers each layer is compared with what lies
    beneath it, and the base alone with the older package. Never raises for what stands in the data.
    """
    day = on or today()
    package = materia.package
    problems = [*package.problems, *check_structure(package)]
    if package.layers:
        from materia_data.check.layers.judge import check_layers, structure_beneath

        problems += structure_beneath(package)
    subjects = len(materia)
    if structure_only:
        return Report(_in_order(problems), 0, subjects, day, materia.release_id)
    facts = materia.facts
    rules, rule_problems = read_rules(package, facts)
    problems += rule_problems
    problems += check_rules_and_rows(facts, rules, day)
    base = materia
    if package.layers:
        problems += check_layers(materia, day)
        while base.beneath is not None:
            base = base.beneath
    if against is not None:
        from materia_data.check.ledger import unrecorded_loosenings

        problems += unrecorded_loosenings(against, base)
        problems += signoffs_gone(against, base)
    if release:
        problems += release_problems(materia, release)
    return Report(_in_order(problems), len(rules), subjects, day, materia.release_id, len(checks()))


def check_rules_and_rows(facts: Facts, rules: list[Rule], day: date) -> list[Problem]:
    """What rules and checks find, with exceptions applied, and what is wrong with the exceptions themselves."""
    exceptions = Exceptions(facts.package, facts)
    problems = list(example_problems(rules, facts))
    measures = measure_all(rules, facts)
    for rule, measured in zip(rules, measures, strict=True):
        exceptions.needed_by(rule, measured)
        problems += (exceptions.soften(problem, safety=rule.safety) for problem in verdicts(rule, measured, facts))
    for declared in checks().values():
        problems += (exceptions.soften(problem, safety=declared.safety) for problem in _run(declared, facts, day))
    layer = facts.package.layers[-1].id if facts.package.layers else ""
    problems += exceptions.problems({rule.id: rule for rule in rules}, checks(), day, layer)
    return problems


def today() -> date:
    """The day of SOURCE_DATE_EPOCH if it is set, else today."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    return datetime.fromtimestamp(int(epoch), UTC).date() if epoch.isdigit() else date.today()


def run_check(declared: Check, facts: Facts, day: date) -> Iterator[Problem]:
    """What one check finds in the package, its id and severity filled in."""
    if declared.scope == "facts":
        subject: object = facts
    elif declared.scope == "package":
        subject = facts.package
    else:
        subject = rows(facts.package.tables[declared.scope])
    takes_day = "on" in declared.function.__code__.co_varnames[: declared.function.__code__.co_argcount]
    found: Iterable[Problem] = declared.function(subject, on=day) if takes_day else declared.function(subject)
    for problem in found:
        yield replace(problem, rule=declared.id, severity=declared.severity)


def _run(declared: Check, facts: Facts, day: date) -> list[Problem]:
    """As run_check; a check that breaks becomes a problem of its own, and the others go on."""
    try:
        return list(run_check(declared, facts, day))
    except Exception as error:
        message = f"the check {declared.id} broke off: {type(error).__name__}: {error}"
        return [
            Problem(
                ".",
                0,
                "",
                "",
                "",
                declared.id,
                "error",
                message,
                "Mend what else is reported first; if it stays, please send the report.",
            )
        ]


def _in_order(problems: list[Problem]) -> list[Problem]:
    return sorted(problems, key=lambda problem: (problem.file, problem.line, problem.column, problem.rule))
