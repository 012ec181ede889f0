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


def instructions(tmp_path: Path, *texts: str, subject: str = "weed-a", **tables: Any) -> dict[str, list[str]]:
    """Each caution and way of cooking, with the row's own reason and the rules that ask for it."""
    explained_ = whole(tmp_path, *texts, subject=subject, **tables).subjects[0].instructions
    return {
        item.label: [*filter(None, [item.reason]), *(reason.rule for reason in item.reasons)] for item in explained_
    }


def cautious(*subjects: str, **more: str) -> list[dict[str, str]]:
    return [{"subject": subject, "topic": "pregnancy", "state": "caution", **more} for subject in subjects]


def asks_care(**changes: Any) -> str:
    """A rule that expects a caution of every seaweed; it names nothing that it explains."""
    return rule(
        "explains",
        **{
            "id": "seaweed-warns", "when": "trait:seaweed", "expect": "caution:caution..[topic:pregnancy]",
            "over": ["herbs", "forms"], "safety": True,
            "holds": ["trait:seaweed and caution:caution[topic:pregnancy]"], "breaks": ["trait:seaweed"],
        } | changes,
    )  # fmt: skip


def test_a_caution_has_its_own_reason_and_that_of_the_rule_that_asks_for_it(tmp_path: Path) -> None:
    """Both speak, and both are counted once."""
    rows = cautious("weed-a", reason="It moves downward.") + cautious("weed-b", "weed-c", "demo-kelp")
    found = instructions(tmp_path / "a", asks_care(), cautions=rows)
    assert found == {"caution in pregnancy": ["It moves downward.", "seaweed-warns"]}
    explanation = whole(tmp_path / "b", asks_care(), cautions=rows)
    assert (explanation.instructions, explanation.reasoned) == (1, 1)


def test_a_caution_without_row_or_rule_has_no_reason_recorded(tmp_path: Path) -> None:
    """It is counted as asked about and not as reasoned."""
    explanation = whole(tmp_path, cautions=cautious("weed-a"))
    assert (explanation.instructions, explanation.reasoned) == (1, 0)
    assert explanation.subjects[0].instructions[0].reasons == ()


def test_a_caution_and_what_it_rests_on_do_not_explain_each_other(tmp_path: Path) -> None:
    """A planted circle through a caution: salty because of the caution, the caution because it is salty."""
    forth = asks_care(id="salty-warns", when="flavor:salty",
                      holds=["flavor:salty and caution:caution[topic:pregnancy]"], breaks=["flavor:salty"])  # fmt: skip
    back = rule(
        id="warned-is-salty",
        when="caution:caution..[topic:pregnancy]",
        expect="flavor:salty",
        explains="flavor:salty",
        holds=["caution:caution[topic:pregnancy] and flavor:salty"],
        breaks=["caution:caution[topic:pregnancy]"],
    )
    rows = cautious("weed-a", "weed-b", "weed-c", "demo-kelp")
    assert instructions(tmp_path / "a", forth, back, cautions=rows) == {"caution in pregnancy": []}
    assert explained(tmp_path / "b", forth, back, cautions=rows)["salty"] == "together"
    assert instructions(tmp_path / "c", forth, cautions=rows) == {"caution in pregnancy": ["salty-warns"]}


def test_a_form_names_the_herb_a_caution_comes_from(tmp_path: Path) -> None:
    """The prepared root keeps the root's caution, with its reason."""
    (caution,) = (
        item
        for item in explain(load(little(tmp_path / "package")), "demo-root.zhi").subjects[0].instructions
        if item.predicate == "caution"
    )
    assert (caution.inherited_from, caution.reason) == ("demo-root", "It is toxic.")


def test_what_is_required_in_cooking_is_told_as_required(tmp_path: Path) -> None:
    """With the reason on record."""
    found = explain(load(little(tmp_path / "package")), "demo-root.zhi").subjects[0].instructions
    assert [(item.label, item.force, item.reason) for item in found if item.predicate == "handling"] == [
        ("decoct first", "required", "Long boiling lessens its toxicity.")
    ]
