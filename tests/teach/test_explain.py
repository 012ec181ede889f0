"""Reasons without circles (semantics.md §4, explanation)."""

from pathlib import Path
from typing import Any

from materia_data import load
from materia_data.teach.explain import Explanation, explain, explain_all
from tests.little import little
from tests.ruletext import rule

WEEDS = [
    {"id": f"weed-{name}", "traits": "seaweed", "flavors": "salty", "nature": "cold", "channels": "kidney"}
    for name in "abc"
]
ACTIONS = [{"subject": f"weed-{name}", "action": "soften-hardness", "polarity": "does"} for name in "abc"]
SALTY = rule(when="trait:seaweed and flavor:salty", expect="action:soften-hardness", explains="flavor:salty")


def explained(tmp_path: Path, *texts: str, subject: str = "weed-a", **tables: Any) -> dict[str, str]:
    return {
        item.value: item.verdict for item in whole(tmp_path, *texts, subject=subject, **tables).subjects[0].properties
    }


def whole(tmp_path: Path, *texts: str, subject: str = "weed-a", **tables: Any) -> Explanation:
    folder = little(
        tmp_path / "package",
        rules={"demo.toml": "".join(texts)},
        herbs=[*WEEDS, *tables.pop("herbs", [])],
        herb_actions=ACTIONS,
        **tables,
    )
    return explain(load(folder), [subject])


def test_a_holding_rule_that_names_the_value_explains_it(tmp_path: Path) -> None:
    """A fact is explained if some holding rule names it and its other positive atoms are given."""
    explanation = whole(tmp_path, SALTY)
    salty = next(item for item in explanation.subjects[0].properties if item.value == "salty")
    assert salty.verdict == "explained"
    assert salty.reasons[0].by == ("trait seaweed", "action soften-hardness")
    assert salty.reasons[0].measure == "of 4: 4 hold"
    assert (
        explanation.properties
        == explanation.explained + explanation.excepted + explanation.together + explanation.unexplained
        == 3
    )


def circle(first: str, second: str, place: str) -> str:
    return rule(
        id=f"{place}-a", when=first, expect=second, explains=first, holds=[f"{first} and {second}"], breaks=[first]
    )


def test_two_facts_that_explain_each_other_are_given_together(tmp_path: Path) -> None:
    """What is left prints as given together: a planted circle explains nothing."""
    verdicts = explained(
        tmp_path, circle("flavor:salty", "nature:cold", "one"), circle("nature:cold", "flavor:salty", "two")
    )
    assert (verdicts["salty"], verdicts["cold"]) == ("together", "together")


def test_a_longer_circle_is_found_too(tmp_path: Path) -> None:
    """No explanation rests, through any chain, on what it explains."""
    rules = (
        circle("flavor:salty", "nature:cold", "one"),
        circle("nature:cold", "channel:kidney", "two"),
        circle("channel:kidney", "flavor:salty", "three"),
    )
    assert set(explained(tmp_path, *rules).values()) == {"together"}


def test_a_circle_with_one_foot_on_the_ground_stands(tmp_path: Path) -> None:
    """One given fact grounds a chain, and no reason on it leads back to what it explains."""
    rules = (circle("nature:cold", "flavor:salty", "one"), circle("flavor:salty", "nature:cold", "two"), SALTY)
    explanation = whole(tmp_path, *rules)
    items = {item.value: item for item in explanation.subjects[0].properties}
    assert items["salty"].verdict == items["cold"].verdict == "explained"
    assert [reason.rule for reason in items["salty"].reasons] == ["seaweed-salty-softens"]
    assert [reason.rule for reason in items["cold"].reasons] == ["one-a"]


def test_a_definition_explains_nothing(tmp_path: Path) -> None:
    """Definitions neither score nor explain."""
    text = rule(
        when="flavor:salty",
        expect="flavor:salty",
        explains="flavor:salty",
        holds=["flavor:salty"],
        breaks=["flavor:salty"],
    )
    assert explained(tmp_path, text)["salty"] == "unexplained"


def test_an_exception_counts_only_against_a_rule_that_explains_the_value(tmp_path: Path) -> None:
    """A value is excepted if nothing explains it and an exception stands for its subject against a rule whose
    `explains` names it."""
    exception = {
        "rule": "seaweed-salty-softens",
        "subject": "weed-d",
        "value": "",
        "reason": "It is invented.",
        "by": "course owner",
    }
    odd = {"id": "weed-d", "traits": "seaweed", "flavors": "salty", "nature": "cold", "channels": "kidney"}
    assert explained(tmp_path / "a", SALTY, subject="weed-d", herbs=[odd])["salty"] == "unexplained"
    assert (
        explained(tmp_path / "b", SALTY, subject="weed-d", herbs=[odd], exceptions=[exception])["salty"] == "excepted"
    )


def test_one_subject_may_be_named_alone(tmp_path: Path) -> None:
    """A text names one subject, not its letters."""
    materia = load(little(tmp_path / "package"))
    assert explain(materia, "demo-leaf") == explain(materia, ["demo-leaf"])


def test_all_counts_every_herb_and_what_forms_state_themselves(tmp_path: Path) -> None:
    """`explain --all` counts the values of every herb, and of a form those that its own row states."""
    plain = explain_all(load(little(tmp_path / "a")))
    stated = explain_all(load(little(tmp_path / "b", forms=[{"id": "demo-root.zhi", "nature": "warm"}])))
    assert plain.properties == 17
    assert stated.properties == plain.properties + 1
