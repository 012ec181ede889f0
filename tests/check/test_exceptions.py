"""Exceptions: an excepted problem prints as a note with its reason; one not needed is an error (semantics.md §4)."""

from datetime import date
from pathlib import Path
from typing import Any

from materia_data import load
from materia_data.check.run import check
from materia_data.problem import Problem
from tests.little import little
from tests.ruletext import rule

BROKEN = {"herb_actions": [{"subject": "demo-kelp", "action": "soften-hardness", "polarity": "does-not"}]}
DAY = date(2026, 11, 25)


def found(tmp_path: Path, text: str, exception: dict[str, str] | None = None, **tables: Any) -> list[Problem]:
    rows = [{"by": "course owner", "reason": "It is invented.", **exception}] if exception else []
    return list(
        check(load(little(tmp_path / "package", rules={"demo.toml": text}, exceptions=rows, **tables)), on=DAY).problems
    )


def of(problems: list[Problem], rule_id: str) -> list[tuple[str, str]]:
    return [(problem.severity, problem.record) for problem in problems if problem.rule == rule_id]


def test_must_contradicted_is_an_error_at_the_first_fact(tmp_path: Path) -> None:
    """A rule's problem stands at the cell of the first fact that makes `when` true; the message names the other
    facts."""
    problem = next(one for one in found(tmp_path, rule(), **BROKEN) if one.rule == "seaweed-salty-softens")
    assert (problem.severity, problem.file, problem.column, problem.record, problem.value) == (
        "error",
        "herbs/herbs.csv",
        "traits",
        "demo-kelp",
        "seaweed",
    )
    assert "flavor salty" in problem.message and "Saltiness softens" in problem.message and problem.tip


def test_expected_warns_when_contradicted_and_notes_when_unstated(tmp_path: Path) -> None:
    """expected: contradicted warns, unstated notes; tends: measured only."""
    expected = rule(
        strength="expected",
        when="nature",
        explains="nature",
        holds=["nature:warm and action:soften-hardness"],
        breaks=["nature:warm"],
    )
    tends = rule(
        id="second",
        strength="tends",
        when="nature",
        explains="nature",
        holds=["nature:warm and action:soften-hardness"],
        breaks=["nature:warm"],
    )
    problems = found(tmp_path, expected + tends)
    assert of(problems, "seaweed-salty-softens") == [
        ("warning", "demo-leaf"),
        ("note", "demo-root"),
        ("note", "demo-seed"),
    ]
    assert of(problems, "second") == []


def test_an_excepted_problem_is_a_note_with_its_reason(tmp_path: Path) -> None:
    """An excepted problem prints as a note with its reason."""
    problems = found(tmp_path, rule(), {"rule": "seaweed-salty-softens", "subject": "demo-kelp", "value": ""}, **BROKEN)
    note = next(one for one in problems if one.rule == "seaweed-salty-softens")
    assert note.severity == "note" and "It is invented." in note.message
    assert not [one for one in problems if one.rule.startswith("exception")]


def test_an_exception_not_needed_is_an_error(tmp_path: Path) -> None:
    """One no longer needed is an error whose tip is to delete the line."""
    problems = found(tmp_path, rule(), {"rule": "seaweed-salty-softens", "subject": "demo-kelp", "value": ""})
    error = next(one for one in problems if one.rule == "exception-not-needed")
    assert error.severity == "error" and error.file == "record/exceptions.csv" and "Delete" in error.tip


def test_an_exception_to_a_tendency_is_needed_while_it_does_not_hold(tmp_path: Path) -> None:
    """An exception is needed while the rule doesn't hold for the subject, at any strength."""
    exception = {"rule": "seaweed-salty-softens", "subject": "demo-kelp", "value": ""}
    assert not of(found(tmp_path / "a", rule(strength="tends"), exception, **BROKEN), "exception-not-needed")
    assert of(found(tmp_path / "b", rule(strength="tends"), exception), "exception-not-needed")


def test_an_exception_names_a_rule(tmp_path: Path) -> None:
    """An exception to no rule is an error with the nearest rule."""
    problems = found(tmp_path, rule(), {"rule": "seaweed-salty-soften", "subject": "demo-kelp", "value": ""}, **BROKEN)
    assert "seaweed-salty-softens" in next(one for one in problems if one.rule == "exception-unknown-rule").tip


SAFETY = rule(
    over=["herbs", "forms"],
    when="toxicity:toxic",
    expect="caution[topic:lactation]",
    without="explains",
    safety=True,
    holds=["toxicity:toxic and caution:avoid[topic:lactation]"],
    breaks=["toxicity:toxic"],
)


def test_a_safety_exception_names_the_exact_value_and_a_review(tmp_path: Path) -> None:
    """Safety rules' exceptions name the exact value, still print, and are reviewed by date."""
    wide = found(tmp_path / "a", SAFETY, {"rule": "seaweed-salty-softens", "subject": "demo-root", "value": ""})
    assert of(wide, "seaweed-salty-softens")[0][0] == "error"
    assert of(wide, "exception-too-wide") and of(wide, "exception-without-review")
    exact = {"rule": "seaweed-salty-softens", "subject": "demo-root", "value": "toxic", "review_on": "2027-09-01"}
    right = found(tmp_path / "b", SAFETY, exact)
    assert {severity for severity, _ in of(right, "seaweed-salty-softens")} == {"note"}
    assert not [one for one in right if one.rule.startswith("exception")]
    overdue = found(tmp_path / "c", SAFETY, exact | {"review_on": "2026-01-01"})
    assert of(overdue, "exception-overdue")[0][0] == "warning"


def test_inline_rows_must_do_their_part(tmp_path: Path) -> None:
    """An inline row that holds where it should break, or the other way, is an error at the rule."""
    problems = found(
        tmp_path,
        rule(
            holds=["trait:seaweed and flavor:salty"],
            breaks=["trait:seaweed and flavor:salty and action:soften-hardness", "trait:seaweed"],
        ),
    )
    assert [problem.column for problem in problems if problem.rule == "rule-example"] == ["breaks", "breaks", "holds"]
