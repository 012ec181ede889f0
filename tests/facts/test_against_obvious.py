"""The facts and the matching agree with code that is too plain to be wrong in the same way."""

import os

from hypothesis import given, settings
from hypothesis import strategies as st

from materia_data.facts.build import build_facts
from materia_data.facts.fact import Fact
from materia_data.facts.match import match, supports
from materia_data.facts.pattern import parse
from materia_data.read.package import Package
from tests.facts.obvious import Obvious
from tests.strategies import many_atoms, packages, patterns

Shape = tuple[str, str, tuple[tuple[str, str], ...], bool]


def shape(fact: Fact) -> Shape:
    return fact.predicate, fact.value, tuple(sorted(fact.qualifiers)), fact.stated


DEEP = bool(os.environ.get("MATERIA_DEEP"))


@given(packages())
@settings(max_examples=360 if DEEP else 40, deadline=None)
def test_effective_own_and_looser_facts(package: Package) -> None:
    """Every subject has the same effective facts, the same own facts and the same unconfirmed looser ones."""
    facts, obvious = build_facts(package), Obvious(package)
    for subject in facts.subjects:
        assert sorted(map(shape, facts.own(subject))) == sorted(said.shape() for said in obvious.own(subject))
        assert sorted(map(shape, facts.of(subject))) == sorted(said.shape() for said in obvious.effective(subject))
        looser = [shape(fact) for fact in facts.looser if fact.subject == subject]
        assert sorted(looser) == sorted(said.shape() for said in obvious.unconfirmed(subject))


def agree(package: Package, texts: list[str]) -> None:
    facts, obvious = build_facts(package), Obvious(package)
    for text in texts:
        pattern = parse(text, facts, safety_rule=True)
        truth = match(pattern, facts)
        for number, subject in enumerate(facts.subjects):
            found = True if number in truth.true else False if number in truth.false else None
            assert found == obvious.truth(pattern, subject), (str(pattern), subject)


@given(packages(), many_atoms(60))
@settings(max_examples=360 if DEEP else 40, deadline=None)
def test_truth_of_atoms(package: Package, texts: list[str]) -> None:
    """Every atom is true, stated-false or unstated of the same subjects."""
    agree(package, texts)


@given(packages(), st.lists(patterns(), min_size=5, max_size=5))
@settings(max_examples=120 if DEEP else 15, deadline=None)
def test_truth_of_patterns(package: Package, texts: list[str]) -> None:
    """And, or, not and states-not put atoms together in the same way."""
    agree(package, texts)


@given(packages(), patterns())
@settings(max_examples=120 if DEEP else 15, deadline=None)
def test_supports(package: Package, text: str) -> None:
    """A positive atom is supported by facts exactly where it is true, and each of them is an effective fact."""
    facts = build_facts(package)
    for atom in parse(text, facts, safety_rule=True).atoms():
        true = match(atom, facts).true
        for number, subject in enumerate(facts.subjects):
            found = supports(atom, subject, facts)
            assert bool(found) == (number in true), (str(atom), subject)
            assert all(fact in facts.of(subject, atom.predicate) for fact in found)


@given(packages(), patterns())
@settings(max_examples=120 if DEEP else 15, deadline=None)
def test_no_subject_is_both(package: Package, text: str) -> None:
    """Nothing is both true and stated-false."""
    facts = build_facts(package)
    truth = match(parse(text, facts, safety_rule=True), facts)
    assert truth.true.isdisjoint(truth.false)
    assert truth.true | truth.false <= set(range(len(facts.subjects)))
