"""What a contrast needs beside the package: the same facts, sides and words as the package itself gives."""

from itertools import combinations

import pytest

from materia_data.facts.match import match
from materia_data.facts.pattern import parse
from materia_data.materia import Materia
from materia_data.teach.askable import Asked, askable
from materia_data.teach.contrast import contrast
from tests.little import little_package

HERBS = ("demo-root", "demo-leaf", "demo-seed", "demo-kelp")


@pytest.fixture(scope="module")
def little() -> Materia:
    return Materia(little_package())


@pytest.fixture(scope="module")
def asked(little: Materia) -> Asked:
    return askable(little, HERBS)


def test_each_fact_is_true_of_whom_its_pattern_matches(little: Materia, asked: Asked) -> None:
    """Its text, read as a pattern, gives the same subjects, true and stated-false."""
    assert len(asked.facts) > 20
    for fact in asked.facts:
        truth = match(parse(fact.pattern, little.facts), little.facts)
        assert (fact.true, fact.false) == (truth.true, truth.false), fact.pattern


def test_every_fact_of_a_contrast_is_among_them(little: Materia, asked: Asked) -> None:
    """With the same words; and what two share is what is true of both and left something to say by no other."""
    labels = {fact.pattern: fact.label for fact in asked.facts}
    for pair in combinations(range(len(HERBS)), 2):
        ids = [HERBS[at] for at in pair]
        found = contrast(little, ids)
        assert all(labels[one.pattern] == one.label for one in found.apart)
        numbers = {little.facts.number[id] for id in ids}
        own = {place for at in pair for place in asked.own[at]}
        both = {place for place in own if numbers <= asked.facts[place].true}
        said = {asked.facts[place].label for place in both if not both & set(asked.facts[place].under)}
        assert said == set(found.shared)


def test_an_unknown_subject_is_refused(little: Materia) -> None:
    """KeyError."""
    with pytest.raises(KeyError):
        askable(little, ["no-such"])
