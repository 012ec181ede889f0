"""Every check by its own rows: what it lets pass, what it finds, and that nothing else would find it."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from materia_data.check.registry import Check, checks
from materia_data.check.run import run_check
from materia_data.facts.build import build_facts
from materia_data.problem import SEVERITIES, Problem
from materia_data.read.schema import table_schemas
from tests.little import little_package

DAY = date(2026, 1, 1)
DECLARED = checks()
PASSES = [
    pytest.param(check, case, id=f"{id}-{n}") for id, check in DECLARED.items() for n, case in enumerate(check.passes)
]
FAILS = [
    pytest.param(check, case, id=f"{id}-{n}") for id, check in DECLARED.items() for n, case in enumerate(check.fails)
]


@pytest.mark.parametrize(("check", "case"), PASSES)
def test_it_finds_nothing_in_its_passing_rows(check: Check, case: Mapping[str, Any]) -> None:
    """Nothing is found in a row that the check says it lets pass, nor in the package around it."""
    assert found(check, case) == []


@pytest.mark.parametrize(("check", "case"), FAILS)
def test_it_finds_its_failing_rows(check: Check, case: Mapping[str, Any]) -> None:
    """What a check says it finds it finds, at a place, in words, with what to do."""
    finds_something_well_said(check, case)


@pytest.mark.parametrize(("check", "case"), FAILS)
def test_a_check_that_finds_nothing_fails_its_own_test(check: Check, case: Mapping[str, Any]) -> None:
    """With the check's function silenced its failing rows are no longer found, so the test above can fail."""
    with pytest.raises(AssertionError):
        finds_something_well_said(replace(check, function=silent), case)


@pytest.mark.parametrize("check", DECLARED.values(), ids=DECLARED)
def test_it_declares_all_that_is_asked_of_it(check: Check) -> None:
    """A check has an id that reads well, a known scope and severity, a reason, and rows both ways."""
    assert re.fullmatch(r"[a-z]+(-[a-z]+)+", check.id)
    assert not check.id.startswith(("no-", "check-", "avoid-", "banned-"))
    assert check.scope in {"package", "facts", *table_schemas()}
    assert check.severity in SEVERITIES
    assert check.why.endswith(".")
    assert check.function.__doc__
    assert check.passes
    assert check.fails


def found(check: Check, case: Mapping[str, Any]) -> list[Problem]:
    """What the check finds in the small package with these rows."""
    tables = case if check.scope in ("package", "facts") else {check.scope: [case]}
    return list(run_check(check, build_facts(little_package(**tables)), DAY))


def finds_something_well_said(check: Check, case: Mapping[str, Any]) -> None:
    """Assert that there is at least one problem, and that each can be read and acted on."""
    problems = found(check, case)
    assert problems
    for problem in problems:
        assert (problem.rule, problem.severity) == (check.id, check.severity)
        assert problem.file in {schema.path for schema in table_schemas().values()}
        assert problem.message.strip()
        assert problem.tip[:1].isupper()
        assert problem.tip.endswith((".", "?"))
        assert "  " not in problem.message + problem.tip


def silent(*_: object, **__: object) -> Iterator[Problem]:
    """A check that finds nothing."""
    return iter(())
