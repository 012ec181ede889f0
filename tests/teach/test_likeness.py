"""How alike two medicinals are (weighted Jaccard index; M. Levandowsky and D. Winter, Nature 234, 1971, 34-35)."""

from math import log

import pytest
from hypothesis import given, settings

from materia_data.facts.build import build_facts
from materia_data.read.package import Package
from materia_data.teach.likeness import likeness, marks
from tests.little import little_package
from tests.strategies import packages


@settings(max_examples=60, deadline=None)
@given(packages())
def test_likeness_lies_between_nothing_and_everything(package: Package) -> None:
    """0 to 1, the same both ways, 1 of itself where anything is stated, and its complement obeys the triangle
    inequality, as the Jaccard distance does."""
    facts = build_facts(package)
    known = marks(facts, range(len(facts.subjects)))
    for a in known.values():
        assert likeness(a, a) == pytest.approx(1.0 if a else 0.0)
        for b in known.values():
            assert 0 <= likeness(a, b) <= 1 + 1e-9
            assert likeness(a, b) == pytest.approx(likeness(b, a))
            if a and b:
                for c in filter(None, known.values()):
                    assert (1 - likeness(a, c)) <= (1 - likeness(a, b)) + (1 - likeness(b, c)) + 1e-9


def test_rare_facts_weigh_more_than_common_ones() -> None:
    """Of four medicinals two are pungent and one is salty: log(1 + 4/2) against log(1 + 4/1)."""
    facts = build_facts(little_package())
    herbs = [facts.number[id] for id in ("demo-kelp", "demo-leaf", "demo-root", "demo-seed")]
    known = marks(facts, herbs)
    assert known[facts.number["demo-leaf"]]["flavor", "pungent"] == pytest.approx(log(3))
    assert known[facts.number["demo-kelp"]]["flavor", "salty"] == pytest.approx(log(5))


def test_a_broader_value_is_a_mark_too_and_a_negative_none() -> None:
    """Slightly bitter is bitter; the leaf's stated not softening hardness is no likeness to the kelp."""
    facts = build_facts(little_package())
    leaf = marks(facts, [facts.number["demo-leaf"], facts.number["demo-kelp"]])[facts.number["demo-leaf"]]
    assert ("flavor", "bitter") in leaf and ("flavor", "slightly-bitter") in leaf
    assert ("action", "soften-hardness") not in leaf


def test_nothing_stated_is_like_nothing() -> None:
    """Two empty records are not alike by having nothing."""
    assert likeness({}, {}) == 0.0
