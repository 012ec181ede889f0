"""Who matches, in teaching order."""

from pathlib import Path

import pytest

from materia_data import PatternError, load
from materia_data.materia import Materia
from materia_data.teach.match import Matches, match
from tests.little import little


@pytest.fixture
def school(tmp_path: Path) -> Materia:
    """A course of three units: the root comes before the leaf, the leaf comes back in the second, the kelp is last."""
    units = [
        {"id": "demo-unit", "course": "demo-course", "position": "2", "title": "Second"},
        {"id": "first-unit", "course": "demo-course", "position": "1", "title": "First"},
        {"id": "last-unit", "course": "demo-course", "position": "3", "title": "Last"},
        {"id": "other-unit", "course": "other-course", "position": "1", "title": "Elsewhere"},
    ]
    taught = [
        {"unit": "first-unit", "subject": "demo-root", "position": "1", "depth": "core"},
        {"unit": "first-unit", "subject": "demo-leaf", "position": "2", "depth": "aware"},
        {"unit": "last-unit", "subject": "demo-kelp", "position": "1", "depth": "core"},
        {"unit": "other-unit", "subject": "demo-seed", "position": "1", "depth": "core"},
    ]
    return load(little(tmp_path / "package", units=units, unit_subjects=taught))


def ids(matches: Matches) -> list[str]:
    return [one.id for one in matches.subjects]


def test_a_course_gives_the_order_of_teaching(school: Materia) -> None:
    """By unit and place, a form beside its herb, what is not taught at the end."""
    found = match(school, "nature:..very-hot", course="demo-course")
    assert ids(found) == ["demo-root", "demo-root.zhi", "demo-leaf", "demo-kelp", "demo-seed"]
    assert [one.unit for one in found.subjects] == ["first-unit", "first-unit", "first-unit", "last-unit", ""]


def test_without_a_course_each_category_stands_together(school: Materia) -> None:
    """By the categories' own order, formulas after medicinals."""
    found = match(school, "basis:common-practice")
    categories = list(dict.fromkeys(one.category for one in found.subjects))
    assert categories == ["clear-heat", "warm-interior", "f-clear-heat"]
    assert [one.category for one in found.subjects] == sorted(
        (one.category for one in found.subjects), key=categories.index
    )


def test_through_a_unit_tells_what_was_taught_by_its_end(school: Materia) -> None:
    """So far, later, not taught; new is what no earlier unit had."""
    found = match(school, "nature:..very-hot", through="demo-unit")
    assert {one.id: (one.when, one.new) for one in found.subjects} == {
        "demo-root": ("so-far", False),
        "demo-root.zhi": ("so-far", False),
        "demo-leaf": ("so-far", False),
        "demo-kelp": ("later", False),
        "demo-seed": ("not-taught", False),
    }
    assert found.course == "demo-course"


def test_what_comes_back_in_a_unit_is_not_new(school: Materia) -> None:
    """Of the second unit the formula is new; the leaf was taught before and names the unit it came in."""
    found = match(school, "taught-in:demo-unit", through="demo-unit")
    assert {one.id: (one.new, one.unit) for one in found.subjects} == {
        "demo-leaf": (False, "first-unit"),
        "demo-tang": (True, "demo-unit"),
    }


def test_true_stated_false_and_unstated_add_up(school: Materia) -> None:
    """Everyone is one of the three."""
    found = match(school, "action:soften-hardness")
    assert (ids(found), found.stated_false) == (["demo-kelp"], 1)
    assert len(found.subjects) + found.stated_false + found.unstated == len(school)


def test_the_strength_of_the_action_asked_about_goes_along(tmp_path: Path) -> None:
    """The greatest strength stated of it or of a narrower action, and none where none is stated."""
    actions = [
        {"subject": "demo-seed", "action": "stop-bleeding", "polarity": "does", "strength": "mild"},
        {"subject": "demo-seed", "action": "warm-channels-stop-bleeding", "polarity": "does", "strength": "strong"},
        {"subject": "demo-root", "action": "stop-bleeding", "polarity": "does"},
    ]
    found = match(load(little(tmp_path / "package", herb_actions=actions)), "action:stop-bleeding")
    strengths = {one.id: one.strength for one in found.subjects}
    assert strengths == {"demo-seed": "strong", "demo-root": "", "demo-root.zhi": ""}


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"through": "demo-unti"}, "Did you mean demo-unit"),
        ({"course": "demo-corse"}, "Did you mean demo-course"),
        ({"through": "other-unit", "course": "demo-course"}, "belongs to the course other-course"),
    ],
)
def test_an_unknown_unit_or_course_is_answered_with_the_nearest(
    school: Materia, asked: dict[str, str], says: str
) -> None:
    """Nothing is guessed."""
    with pytest.raises(KeyError, match=says):
        match(school, "nature:cold", **asked)


def test_a_pattern_that_cannot_be_read_raises(school: Materia) -> None:
    """With the place and the nearest words."""
    with pytest.raises(PatternError, match="salty"):
        match(school, "flavor:salti")
