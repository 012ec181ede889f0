"""Rule files: what is read, and what is said of the ones that cannot be."""

from pathlib import Path

import pytest

from materia_data import load
from materia_data.check.rules import read_rules
from materia_data.problem import Problem
from tests.little import little
from tests.ruletext import rule


def read(tmp_path: Path, text: str) -> tuple[list[str], list[Problem]]:
    materia = load(little(tmp_path / "package", rules={"demo.toml": text}))
    rules, problems = read_rules(materia.package, materia.facts)
    return [one.id for one in rules], problems


def test_a_valid_rule_is_read(tmp_path: Path) -> None:
    """A rule with every key in order is read, and nothing is said of it."""
    assert read(tmp_path, rule()) == (["seaweed-salty-softens"], [])


@pytest.mark.parametrize(
    ("text", "column", "says"),
    [
        (rule(without="because"), "because", "does not say its because"),
        (rule(without="breaks"), "breaks", "no inline row that breaks"),
        (rule(without="over"), "over", "does not say what it is over"),
        (rule(without="safety"), "safety", "does not say whether"),
        (rule(strength="always"), "strength", "always is no strength"),
        (rule(basis="hearsay"), "basis", "hearsay is no basis"),
        (rule(basis="collated"), "basis", "collated without source and locator"),
        (rule(becase="x"), "becase", "no key becase"),
        (rule(id="Sea Weed"), "id", "is no id"),
        (rule(when="trait:seawed"), "when", "seawed"),
        (rule(when="trait:seaweed and"), "when", "character"),
        (rule(explains="flavor:sweet"), "explains", "not one of the rule's positive atoms"),
        (rule(holds=["trait:seaweed or flavor:salty"]), "holds", "no inline row"),
        (rule(safety=True, over=["herbs", "forms"], strength="expected"), "strength", "a safety rule must be must"),
        (rule(safety=True), "over", "leaves out forms"),
    ],
)
def test_a_rule_that_cannot_be_used_names_the_key(tmp_path: Path, text: str, column: str, says: str) -> None:
    """Each fault of a rule is an error at its key, with the rule's line and, where it helps, the nearest word."""
    ids, problems = read(tmp_path, text)
    assert ids == []
    found = [problem for problem in problems if problem.column == column]
    assert found and says in found[0].message, problems
    assert found[0].severity == "error" and found[0].line == 1 and found[0].file == "rules/demo.toml"


def test_a_misspelt_key_gets_the_nearest(tmp_path: Path) -> None:
    """A key that no rule has is answered with the nearest one."""
    _, problems = read(tmp_path, rule(becase="x"))
    assert "because" in problems[0].tip


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("# nothing here\n", "holds no rule"),
        ("[[rule]]\nid = \n", "this is not TOML"),
        ("a.b.c.d.e = 1\n", "more than four parts"),
        (rule() + "# " + "x" * 300_000, ""),
        ("x = " + "[" * 3000 + "\n", "nested too deeply"),
    ],
)
def test_a_file_that_is_no_rule_file_is_an_error(tmp_path: Path, text: str, says: str) -> None:
    """A rule file without a rule, not TOML, too deep or too large is an error and never a traceback."""
    materia = load(little(tmp_path / "package", rules={"demo.toml": text}))
    ids, problems = read_rules(materia.package, materia.facts)
    problems = [*materia.package.problems, *problems]
    assert not ids and problems
    assert any(says in problem.message for problem in problems)


def test_one_bad_rule_costs_only_itself(tmp_path: Path) -> None:
    """The other rules of a file are read."""
    ids, problems = read(tmp_path, rule(without="because") + rule(id="second"))
    assert ids == ["second"] and problems


def test_an_id_used_twice_is_an_error(tmp_path: Path) -> None:
    """The first keeps the id; the second is reported with the place of the first."""
    ids, problems = read(tmp_path, rule() + rule())
    assert ids == ["seaweed-salty-softens"]
    assert [problem.line for problem in problems] == [14] and "line 1" in problems[0].message
