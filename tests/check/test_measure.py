"""How far rules hold (semantics.md §4)."""

from pathlib import Path
from typing import Any

from materia_data import load
from materia_data.check.measure import Measure, measure_all
from materia_data.check.rules import read_rules
from tests.little import little
from tests.ruletext import rule


def measured(tmp_path: Path, *texts: str, **tables: Any) -> list[Measure]:
    materia = load(little(tmp_path / "package", rules={"demo.toml": "".join(texts)}, **tables))
    rules, problems = read_rules(materia.package, materia.facts)
    assert not problems
    return measure_all(rules, materia.facts)


def test_sentence_counts_holds_contradicted_and_not_stated(tmp_path: Path) -> None:
    """`when` true: applicable; `expect` true, stated-false, unstated: holds, contradicted, unstated."""
    one = measured(
        tmp_path,
        rule(
            when="nature",
            expect="action:soften-hardness",
            explains="nature",
            holds=["nature:warm and action:soften-hardness"],
            breaks=["nature:warm"],
        ),
    )[0]
    assert one.sentence == "of 4: 1 holds, 1 contradicted, 2 not stated"
    assert one.base == (1, 4)


def test_a_not_expectation_has_no_share(tmp_path: Path) -> None:
    """A `not` expectation prints how many are not contradicted."""
    one = measured(
        tmp_path,
        rule(
            when="nature:warm..",
            expect="not flavor:pungent",
            explains="nature:warm..",
            holds=["nature:warm"],
            breaks=["nature:warm and flavor:pungent"],
        ),
    )[0]
    assert one.sentence == "of 2: 1 not contradicted, 1 contradicted"


def test_a_rule_that_applies_to_nothing_says_so(tmp_path: Path) -> None:
    """A rule that applies to nothing has no numbers."""
    assert (
        measured(
            tmp_path,
            rule(
                when="trait:oily and flavor:salty",
                holds=["trait:oily and flavor:salty and action:soften-hardness"],
                breaks=["trait:oily and flavor:salty"],
            ),
        )[0].sentence
        == "applies to nothing"
    )


def test_a_form_counts_only_if_its_own_rows_state_what_the_rule_reads(tmp_path: Path) -> None:
    """A form is counted only if its own rows state a predicate the rule reads; in safety rules every form counts."""
    plain = rule(
        over=["herbs", "forms"],
        when="flavor:pungent",
        expect="nature",
        explains="flavor:pungent",
        holds=["flavor:pungent and nature:hot"],
        breaks=["flavor:pungent"],
    )
    safety = rule(
        id="second",
        over=["herbs", "forms"],
        when="toxicity:toxic",
        expect="caution[topic:pregnancy]",
        without="explains",
        safety=True,
        holds=["toxicity:toxic and caution:avoid[topic:pregnancy]"],
        breaks=["toxicity:toxic"],
    )
    for_flavor, for_toxicity = measured(tmp_path, plain, safety)
    assert len(for_flavor.applies) == 2
    assert len(for_toxicity.applies) == 3
    stated = measured(tmp_path / "again", plain, forms=[{"id": "demo-root.zhi", "flavors": "pungent;sweet"}])[0]
    assert len(stated.applies) == 3


def test_a_definition_is_found_by_evaluating(tmp_path: Path) -> None:
    """A definition: `expect` is already true of a subject that states only what `when` says, with the category's
    defining action."""
    by_category = rule(
        when="category:clear-heat",
        expect="action:clear-heat",
        without="explains",
        holds=["category:clear-heat and action:clear-heat"],
        breaks=["category:clear-heat"],
    )
    by_action = rule(
        id="second",
        when="action:drain-fire or action:clear-heat",
        expect="action:clear-heat",
        without="explains",
        holds=["action:clear-heat"],
        breaks=["action:clear-heat"],
    )
    by_range = rule(
        id="third",
        when="nature:warm..",
        expect="nature:slightly-warm..",
        without="explains",
        holds=["nature:warm"],
        breaks=["nature:warm"],
    )
    no = rule(
        id="fourth",
        when="category:clear-heat or nature:hot",
        expect="action:clear-heat",
        without="explains",
        holds=["category:clear-heat and action:clear-heat"],
        breaks=["nature:hot"],
    )
    tables = {"actions": [{"id": "drain-fire", "broader": "clear-heat", "name_en": "drain fire"}]}
    assert [one.definition for one in measured(tmp_path, by_category, by_action, by_range, no, **tables)] == [
        True,
        True,
        True,
        False,
    ]


def test_a_rule_tells_only_above_its_base_rate(tmp_path: Path) -> None:
    """A rule explains only if it applies to at least three subjects, holds for half of those that state the matter,
    more often than the base rate."""
    few = rule(
        when="trait:seaweed", expect="flavor:salty", holds=["trait:seaweed and flavor:salty"], breaks=["trait:seaweed"]
    )
    base = rule(
        id="second",
        when="nature",
        expect="flavor",
        without="explains",
        holds=["nature:warm and flavor:sweet"],
        breaks=["nature:warm"],
    )
    more = [{"id": f"weed-{name}", "traits": "seaweed", "flavors": "salty", "name_hans": "示例"} for name in "ab"]
    before = measured(tmp_path / "a", few, base)
    after = measured(tmp_path / "b", few, base, herbs=more)
    assert [one.tells for one in before] == [False, False]
    assert after[0].tells and after[0].lift > 1 and not after[1].tells
