"""Actions: what is implied, what a negative bars, and what a form's own rows replace (semantics.md §2)."""

import pytest

from tests.facts.ask import facts_of, truth, values
from tests.strategies import Row


def act(action: str, subject: str = "a", polarity: str = "does", **cells: str) -> Row:
    return {"subject": subject, "action": action, "polarity": polarity, "basis": "memory"} | cells


def test_a_positive_supports_every_broader_action() -> None:
    """Cooling the blood to stop bleeding is stopping bleeding, and clearing heat, but not the other way round."""
    facts = facts_of(herb_actions=[act("cool-blood-stop-bleeding")])
    assert truth(facts, "action:stop-bleeding") is True
    assert truth(facts, "action:clear-heat") is True
    assert truth(facts_of(herb_actions=[act("clear-heat")]), "action:cool-blood-stop-bleeding") is None


def test_a_negative_bars_every_narrower_action() -> None:
    """What does not free the stool does not purge; what does not purge may free the stool."""
    facts = facts_of(herb_actions=[act("free-stool", polarity="does-not")])
    assert truth(facts, "action:purge") is False
    assert truth(facts, "states-not action:purge") is True
    assert truth(facts_of(herb_actions=[act("purge", polarity="does-not")]), "action:free-stool") is None


def test_a_negative_bars_every_more_specific_qualifier() -> None:
    """A plain negative denies the action of every cause; one with a cause, of that cause and narrower ones only."""
    plain = facts_of(herb_actions=[act("stop-bleeding", polarity="does-not")])
    assert truth(plain, "action:stop-bleeding[cause:heat]") is False
    of_heat = facts_of(herb_actions=[act("stop-bleeding", polarity="does-not", cause="heat")])
    assert truth(of_heat, "action:stop-bleeding") is None
    assert truth(of_heat, "action:stop-bleeding[cause:wind]") is None
    assert truth(of_heat, "action:stop-bleeding[cause:blood-heat]") is False
    assert truth(of_heat, "action:cool-blood-stop-bleeding") is False, "it implies heat in the blood"


def test_a_negative_takes_no_implied_values() -> None:
    """Clearing heat implies heat, but what does not clear heat does not clear it of any cause."""
    facts = facts_of(herb_actions=[act("clear-heat", polarity="does-not")])
    assert truth(facts, "action:clear-heat[cause:wind]") is False


def test_causes_and_sites_asked_about() -> None:
    """A fact has the causes it states, those its own action implies, and those the asked action implies."""
    facts = facts_of(herb_actions=[act("cool-blood-stop-bleeding", site="lung")])
    assert truth(facts, "action:stop-bleeding[cause:blood-heat]") is True
    assert truth(facts, "action:stop-bleeding[cause:heat]") is True
    assert truth(facts, "action:stop-bleeding[cause=heat]") is None
    assert truth(facts, "action:clear-heat[cause=heat]") is True, "the asked action implies heat itself"
    assert truth(facts, "action:stop-bleeding[cause:heat,site:lung]") is True
    assert truth(facts, "action:stop-bleeding[site:lower-burner]") is None


def test_all_qualifiers_hold_of_one_fact() -> None:
    """One row with the cause and another with the site are not one with both."""
    rows = [act("stop-bleeding", cause="heat"), act("stop-bleeding", site="lung")]
    assert truth(facts_of(herb_actions=rows), "action:stop-bleeding[cause:heat,site:lung]") is None
    both = [act("stop-bleeding", cause="heat", site="lung")]
    assert truth(facts_of(herb_actions=both), "action:stop-bleeding[cause:heat,site:lung]") is True


@pytest.mark.parametrize(
    ("theirs", "own", "weights"),
    [
        ({}, {"cause": "heat"}, ["minor"]),
        ({"cause": "heat"}, {}, ["minor"]),
        ({}, {"cause": "blood-heat"}, ["chief", "minor"]),
        ({"site": "lung"}, {}, ["chief", "minor"]),
    ],
)
def test_own_row_replaces_the_same_action(theirs: Row, own: Row, weights: list[str]) -> None:
    """An own row replaces the herb's row of the same action with the same site and cause, implied values filled in."""
    rows = [act("clear-heat", weight="chief", **theirs), act("clear-heat", "a.x", weight="minor", **own)]
    facts = facts_of({}, {}, herb_actions=rows)
    assert [dict(fact.qualifiers)["weight"] for fact in facts.of("a.x", "action")] == weights


def test_a_broader_own_row_replaces_nothing() -> None:
    """Another action, be it broader, leaves the herb's row standing."""
    facts = facts_of({}, {}, herb_actions=[act("purge"), act("free-stool", "a.x")])
    assert values(facts, "action") == ["purge", "free-stool"]


def test_an_own_negative_removes_every_positive_it_bars() -> None:
    """A form that does not free the stool no longer purges, whatever the herb does; its other actions stay."""
    rows = [act("purge", cause="heat"), act("clear-heat"), act("free-stool", "a.x", "does-not")]
    assert values(facts_of({}, {}, herb_actions=rows), "action") == ["clear-heat", "-free-stool"]
    narrow = [act("free-stool"), act("purge", "a.x", "does-not")]
    assert values(facts_of({}, {}, herb_actions=narrow), "action") == ["free-stool", "-purge"]


def test_a_narrower_own_negative_leaves_the_wider_one() -> None:
    """What the herb does not do of any cause its form does not do either, though its own row names one cause only."""
    rows = [act("clear-heat", polarity="does-not"), act("clear-heat", "a.x", "does-not", cause="heat")]
    assert values(facts_of({}, {}, herb_actions=rows), "action") == ["-clear-heat", "-clear-heat"]
    again = [act("clear-heat", polarity="does-not"), act("clear-heat", "a.x", "does-not")]
    assert values(facts_of({}, {}, herb_actions=again), "action") == ["-clear-heat"]


def test_an_own_positive_removes_only_the_negative_that_bars_it() -> None:
    """A form that purges lifts the herb's "does not free the stool", and no other negative."""
    rows = [act("free-stool", polarity="does-not"), act("stop-bleeding", polarity="does-not"), act("purge", "a.x")]
    facts = facts_of({}, {}, herb_actions=rows)
    assert values(facts, "action") == ["-stop-bleeding", "purge"]
    broader = [act("purge", polarity="does-not"), act("free-stool", "a.x")]
    assert values(facts_of({}, {}, herb_actions=broader), "action") == ["-purge", "free-stool"]


def test_a_standing_negative_is_inherited() -> None:
    """What the herb is stated not to do, its form is stated not to do."""
    facts = facts_of({}, {}, herb_actions=[act("stop-bleeding", polarity="does-not")])
    assert truth(facts, "action:stop-bleeding", "a.x") is False


def test_a_positive_under_its_own_negative_is_true() -> None:
    """Where own rows contradict each other a fact still supports the atom; to report that is a check's business."""
    facts = facts_of(herb_actions=[act("free-stool", polarity="does-not"), act("purge")])
    assert truth(facts, "action:purge") is True


def test_indications_of_a_negative_row_say_nothing() -> None:
    """What a row that denies an action lists as indications is no indication."""
    facts = facts_of(herb_actions=[act("clear-heat", polarity="does-not", indications="cough")])
    assert facts.of("a", "indication") == []
