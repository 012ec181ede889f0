"""Why it does not: each kind of no, worked by hand."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from materia_data import PatternError, load
from materia_data.facts.match import match
from materia_data.facts.pattern import parse
from materia_data.materia import Materia
from materia_data.read.package import Package
from materia_data.teach.why_not import why_not
from tests.little import little
from tests.strategies import packages


@pytest.fixture
def school(tmp_path: Path) -> Materia:
    """The little package, with a word beside the leaf's negative and a disputed flavour of the seed."""
    actions = [
        {
            "subject": "demo-leaf",
            "action": "soften-hardness",
            "source": "demo-book",
            "locator": "p. 7",
            "basis": "memory",
        }
    ]
    cited = [
        {"about_table": "herbs", "record": "demo-seed", "column": "flavors", "value": "", "stated": "sour",
         "source": "demo-book", "basis": "collated", "locator": "p. 9"}
    ]  # fmt: skip
    return load(little(tmp_path / "package", herb_actions=actions, citations=cited))


def test_a_stated_negative_names_its_source(school: Materia) -> None:
    """The leaf is stated not to soften hardness."""
    found = why_not(school, "demo-leaf", "action:soften-hardness")
    (ground,) = found.parts[0].grounds
    assert (found.verdict, ground.kind, ground.text) == ("stated-false", "negative", "soften hardness")
    assert (ground.source, ground.locator, ground.basis) == ("demo-book", "p. 7", "memory")
    assert ground.place.startswith("herbs/herb_actions.csv:")


def test_a_complete_list_without_it_is_shown(school: Materia) -> None:
    """The kelp's flavours are listed, and sweet is not among them."""
    found = why_not(school, "demo-kelp", "flavor:sweet")
    assert (found.verdict, [one.text for one in found.parts[0].grounds]) == ("stated-false", ["salty"])
    assert found.parts[0].grounds[0].kind == "closed"


def test_another_value_of_a_scale_is_shown(school: Materia) -> None:
    """The root is hot, so it is not cool or colder."""
    (ground,) = why_not(school, "demo-root", "nature:..cool").parts[0].grounds
    assert (ground.kind, ground.text) == ("outside", "hot")


def test_nothing_stated_is_no_no(school: Materia) -> None:
    """Of the seed nobody says whether it frees the stool."""
    found = why_not(school, "demo-seed", "action:free-stool")
    assert (found.verdict, found.parts[0].grounds) == ("unstated", ())


def test_what_comes_near_is_shown_as_neither_yes_nor_no(school: Materia) -> None:
    """It stops bleeding, which is broader; it clears heat from the lung, not from the head."""
    (broader,) = why_not(school, "demo-seed", "action:warm-channels-stop-bleeding").parts[0].grounds
    assert (broader.kind, broader.text) == ("broader", "stop bleeding")
    (otherwise,) = why_not(school, "demo-leaf", "action:clear-heat[site:head]").parts[0].grounds
    assert (otherwise.kind, otherwise.text) == ("otherwise", "clear heat (site: lung)")


def test_a_disputed_list_denies_nothing(school: Materia) -> None:
    """Where sources disagree on its flavours, the seed is not stated not to be sour."""
    found = why_not(school, "demo-seed", "flavor:sour")
    assert (found.verdict, [one.kind for one in found.parts[0].grounds]) == ("unstated", ["disputed"])


def test_what_is_true_is_said_to_be(school: Materia) -> None:
    """Asked why it does not do what it does, the answer is the fact."""
    found = why_not(school, "demo-leaf", "action:clear-heat[site:lung]")
    assert found.verdict == "true"
    assert [(one.kind, one.text) for one in found.parts[0].grounds] == [("states", "clear heat (site: lung)")]


def test_each_part_has_its_own_verdict(school: Materia) -> None:
    """Two parts, one true and one not, and the whole is what the weaker says."""
    found = why_not(school, "demo-kelp", "flavor:salty and flavor:sweet")
    assert [(part.pattern, part.verdict) for part in found.parts] == [
        ("flavor:salty", "true"),
        ("flavor:sweet", "stated-false"),
    ]
    assert found.verdict == "stated-false"


def test_what_cannot_be_read_or_is_not_there_raises(school: Materia) -> None:
    """A subject nobody knows and a pattern nobody can read."""
    with pytest.raises(KeyError):
        why_not(school, "demo-lief", "flavor:sweet")
    with pytest.raises(PatternError):
        why_not(school, "demo-leaf", "flavor:sweat")


@settings(max_examples=60, deadline=None)
@given(packages(), st.sampled_from(["flavor:sour", "action:stop-bleeding", "toxicity:slight..", "caution[topic:drug]"]))
def test_the_verdict_is_that_of_matching_and_every_no_has_a_ground(package: Package, pattern: str) -> None:
    """What matching says stated-false always has a ground that says so, and only that has one."""
    materia = Materia(package)
    truth = match(parse(pattern, materia.facts), materia.facts)
    for number, subject in enumerate(materia.facts.subjects):
        found = why_not(materia, subject, pattern)
        right = "true" if number in truth.true else "stated-false" if number in truth.false else "unstated"
        assert found.verdict == right
        denying = [one for one in found.parts[0].grounds if one.kind in ("negative", "closed", "outside")]
        assert bool(denying) is (right == "stated-false")
