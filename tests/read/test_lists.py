"""Lists joined with `;`, and `-` that states none."""

from pathlib import Path

import pytest

from tests.little import little
from tests.read.damage import line_of, only, place, set_cell, verdict

HERBS = "herbs/herbs.csv"
FORMS = "herbs/forms.csv"


@pytest.mark.parametrize(
    ("column", "value", "rule", "tip"),
    [
        ("flavors", "sweet;;bitter", "empty-member", "too many"),
        ("flavors", ";sweet", "empty-member", "too many"),
        ("flavors", "sweet;", "empty-member", "too many"),
        ("flavors", ";", "empty-member", "too many"),
        ("flavors", "sweet;bitter;sweet", "repeated-member", "once"),
        ("flavors", "sweet; bitter", "stray-space", "bitter"),
        ("flavors", "sweet ;bitter", "stray-space", "sweet"),
        ("flavors", "-;sweet", "none-with-others", "alone"),
        ("flavors", "sweet;biter", "unknown-term", "Did you mean bitter"),
        ("flavors", "sweet；bitter", "unknown-term", "“;”"),
        ("flavors", "sweet、bitter", "unknown-term", "“;”"),
        ("flavors", "sweet/bitter", "unknown-term", "“;”"),
        ("flavors", "甘", "unknown-term", "Write sweet."),
        ("flavors", "Sweet", "unknown-term", "Write sweet."),
        ("channels", "large_intestine", "unknown-term", "Write large-intestine."),
        ("also_in", "-", "dangling-reference", "empty"),
        ("traits", "-aromatic", "unknown-term", "aromatic"),
    ],
)
def test_a_list_that_is_not_sound_is_said(little_package: Path, column: str, value: str, rule: str, tip: str) -> None:
    """At its cell, with what to do."""
    line = line_of(little_package, HERBS, "demo-leaf")
    set_cell(little_package, HERBS, line, column, value)
    problem = only(little_package)
    assert place(problem) == (HERBS, line, column, rule)
    assert tip in problem.tip


@pytest.mark.parametrize(
    ("file", "column", "value"),
    [
        (HERBS, "flavors", "-"),
        (HERBS, "method", "-"),
        (HERBS, "flavors", "sour;sweet"),
        (FORMS, "traits", "-"),
        (FORMS, "traits", "-aconitine"),
        (FORMS, "traits", "-aconitine;aromatic"),
        (FORMS, "traits", "-;aromatic"),
    ],
)
def test_a_sound_list_passes(little_package: Path, file: str, column: str, value: str) -> None:
    """`-` states none; a form drops one trait with `-name`."""
    line = line_of(little_package, file, "demo-leaf" if file == HERBS else "demo-root.zhi")
    set_cell(little_package, file, line, column, value)
    assert verdict(little_package) == []


def test_a_form_cannot_drop_a_trait_that_does_not_exist(little_package: Path) -> None:
    """`-name` names a term as well."""
    line = line_of(little_package, FORMS, "demo-root.zhi")
    set_cell(little_package, FORMS, line, "traits", "-aconitin")
    problem = only(little_package)
    assert place(problem) == (FORMS, line, "traits", "unknown-term")
    assert "aconitine" in problem.tip


def test_every_bad_member_is_said(little_package: Path) -> None:
    """Two wrong words in one cell are two problems."""
    set_cell(little_package, HERBS, 2, "flavors", "swet;biter")
    assert [problem.value for problem in verdict(little_package)] == ["swet", "biter"]


def test_a_list_of_an_enumeration_takes_its_words_only(tmp_path: Path) -> None:
    """Roles in a formula are four."""
    items = [{"formula": "demo-tang", "position": "1", "roles": "chief;chef"}]
    problem = only(little(tmp_path, formula_items=items))
    assert place(problem) == ("formulas/formula_items.csv", 2, "roles", "unknown-term")
    assert problem.tip == "Did you mean chief?"
