"""Which weakenings `record/loosenings` accounts for, and what is said of the others."""

import os
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from materia_data.check.ledger import unrecorded_loosenings
from materia_data.check.run import check
from materia_data.materia import Materia, load
from materia_data.problem import Problem
from tests.check.edits import WEAKENING, Edit, edited, loosening_rows, seeded
from tests.check.packages import package
from tests.little import little

LOWER: dict[str, Any] = {"cautions": [{"subject": "demo-root", "topic": "pregnancy", "state": "avoid"}]}
ROW = {
    "subject": "demo-root",
    "predicate": "caution",
    "qualifiers": "topic=pregnancy",
    "was": "contraindicated",
    "now": "avoid",
    "reason": "The source was read again.",
    "source": "demo-standard",
    "by": "course owner",
    "on_date": "2026-02-01",
}


def errors(old: Materia, new: Materia) -> list[Problem]:
    return [problem for problem in unrecorded_loosenings(old, new) if problem.severity == "error"]


def test_a_loosening_that_nobody_recorded() -> None:
    """It is an error at the cell where it now stands, in a teacher's words, with the line that would record it."""
    (problem,) = errors(package(), package(**LOWER))
    assert (problem.rule, problem.file, problem.column) == ("safety-loosened", "herbs/cautions.csv", "state")
    assert problem.record == "demo-root|pregnancy|" and problem.line > 1 and problem.value == "avoid"
    assert problem.message == "示例根 demo-root: pregnancy, contraindicated → avoid: weakened"
    assert "demo-root,caution,topic=pregnancy,contraindicated,avoid," in problem.tip


def test_a_loss_that_nobody_recorded() -> None:
    """A lost fact whose row is gone is an error at the table's file, and names the record that was there."""
    (problem,) = errors(package(), package(gone={"cautions": ["demo-leaf|pregnancy|"]}))
    assert (problem.rule, problem.file, problem.line) == ("safety-lost", "herbs/cautions.csv", 0)
    assert problem.record == "demo-leaf|pregnancy|"
    assert problem.message == "示例叶 demo-leaf: pregnancy, caution → nothing: lost"


def test_a_recorded_loosening() -> None:
    """A row that names subject, predicate, qualifiers, was and now is all that is asked."""
    assert errors(package(), package(**LOWER, loosenings=[ROW])) == []


@pytest.mark.parametrize(
    ("column", "text", "rule"),
    [
        ("subject", "demo-leaf", "loosening-was-otherwise"),
        ("predicate", "toxicity", "loosening-was-otherwise"),
        ("qualifiers", "topic=lactation", "loosening-was-otherwise"),
        ("was", "caution", "loosening-was-otherwise"),
        ("now", "caution", "loosening-is-otherwise"),
        ("now", "", "loosening-is-otherwise"),
    ],
)
def test_a_row_that_names_it_otherwise(column: str, text: str, rule: str) -> None:
    """A row one of whose cells is another's licenses nothing, and is an error itself; one whose `was` is not the old
    value is said to be so."""
    found = errors(package(), package(**LOWER, loosenings=[{**ROW, column: text}]))
    assert sorted(problem.rule for problem in found) == sorted(["safety-loosened", rule])
    at_row = next(problem for problem in found if problem.rule == rule)
    assert (at_row.file, at_row.column) == ("record/loosenings.csv", "now" if column == "now" else "was")


def test_a_row_for_what_was_never_loosened() -> None:
    """A row for what is as strict as it was is an error: the record would say what never happened."""
    (problem,) = errors(package(), package(loosenings=[ROW]))
    assert problem.rule == "loosening-not-made" and "contraindicated" in problem.message


def test_history_is_not_judged_again() -> None:
    """Rows that stood already license nothing now, and are no errors."""
    old = package(**LOWER, loosenings=[ROW])
    assert errors(old, package(**LOWER, loosenings=[ROW])) == []
    tightened = package(loosenings=[ROW])
    assert [problem.rule for problem in errors(tightened, package(**LOWER, loosenings=[ROW]))] == ["safety-loosened"]
    again = {**ROW, "on_date": "2027-01-01"}
    assert errors(tightened, package(**LOWER, loosenings=[again])) == []


def test_a_herb_covers_the_forms_that_had_it_from_there() -> None:
    """A herb's row covers what its forms had from it, and nothing that a form stated itself."""
    own = {"subject": "demo-root.zhi", "topic": "lactation"}
    old = package(cautions=[{**own, "state": "avoid"}])
    new = package(cautions=[*LOWER["cautions"], {**own, "state": "caution"}], loosenings=[ROW])
    (problem,) = errors(old, new)
    assert (problem.record, problem.rule) == ("demo-root.zhi|lactation|", "safety-loosened")


def test_a_form_that_falls_further_than_its_herb() -> None:
    """What a form had from its herb and now has otherwise is recorded apart."""
    now: dict[str, Any] = {
        "herbs": [{"id": "demo-root", "traits": ""}],
        "forms": [{"id": "demo-root.zhi", "inherits": "safety"}],
    }
    found = {problem.message for problem in errors(package(), package(**now))}
    assert found == {"示例根 demo-root: constituent aconitine → nothing: lost"}


def test_an_antagonism_is_recorded_once() -> None:
    """An antagonism holds both ways: either row of the record covers both."""
    new: dict[str, Any] = {"gone": {"antagonisms": ["demo-kelp|demo-root|other"]}}
    found = errors(package(), package(**new))
    assert {problem.message.split(":")[0] for problem in found} == {"示例藻 demo-kelp", "示例根 demo-root"}
    line = found[0].tip.rpartition(": ")[2]
    (row,) = loosening_rows([line])
    assert errors(package(), package(**new, loosenings=[row])) == []


def test_tightening_is_listed_and_needs_no_record() -> None:
    """What was strengthened or gained is a note."""
    new = package(cautions=[{"subject": "demo-leaf", "topic": "pregnancy", "state": "avoid"}], doses=[
        {"subject": "demo-leaf", "route": "powder", "per": "day", "population": "adult", "max": "3"}])  # fmt: skip
    found = {(problem.rule, problem.severity) for problem in unrecorded_loosenings(package(), new)}
    assert found == {("safety-strengthened", "note"), ("safety-gained", "note")}


def test_check_against_an_older_package(tmp_path: Path) -> None:
    """`materia check --against OLD` says so, and nothing of it where nothing was loosened."""
    old, new = load(little(tmp_path / "old")), load(little(tmp_path / "new", **LOWER))
    rules = {problem.rule for problem in check(new, against=old).problems}
    assert "safety-loosened" in rules
    assert rules - {problem.rule for problem in check(new, against=new).problems} == {"safety-loosened"}


def test_the_lines_that_tips_give_are_enough(record_property: Callable[[str, object], None]) -> None:
    """Over the shipped package: the lines given, added as they are, account for everything, and none is in vain."""
    shipped = load()
    edits = list(seeded(shipped, WEAKENING, len(WEAKENING)))
    some = edits if os.environ.get("MATERIA_DEEP") else random.Random(20261125).sample(edits, 14)
    record_property("sample", f"{len(some)} of {len(edits)} edits that weaken, recorded by the lines of their tips")
    for edit in some:
        found = errors(shipped, edited(shipped, edit))
        assert any(edit.subject in problem.message or edit.subject in problem.tip for problem in found), edit.name
        rows = loosening_rows([problem.tip.partition("loosenings.csv: ")[2] for problem in found])
        recorded = Edit(edit.name, {**edit.tables, "loosenings": rows}, edit.rules)
        assert errors(shipped, edited(shipped, recorded)) == [], edit.name
