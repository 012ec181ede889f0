"""Atoms over cautions, doses and antagonisms, and the three values (semantics.md §2 and §3)."""

import pytest

from materia_data.facts.match import match, supports
from materia_data.facts.pattern import parse
from tests.facts.ask import DOSE, HERB, facts_of, truth
from tests.strategies import Row


def caution(state: str, topic: str = "drug", target: str = "") -> Row:
    return {"subject": "a", "topic": topic, "target": target, "state": state, "basis": "memory"}


def test_a_caution_on_a_broad_target_covers_the_narrower() -> None:
    """Asked about warfarin, a caution on anticoagulants answers, and one on the whole topic, but not on another."""
    question = "caution:avoid..[target:warfarin]"
    assert truth(facts_of(cautions=[caution("avoid", target="anticoagulants")]), question) is True
    assert truth(facts_of(cautions=[caution("avoid")]), question) is True
    assert truth(facts_of(cautions=[caution("avoid", "pregnancy")]), question) is None
    assert truth(facts_of(cautions=[caution("avoid")]), "caution[target=warfarin]") is None


def test_a_caution_on_a_narrow_target_answers_the_broader() -> None:
    """Asked about anticoagulants, a caution on warfarin answers, unless `=` asks for anticoagulants themselves."""
    facts = facts_of(cautions=[caution("avoid", target="warfarin")])
    assert truth(facts, "caution[target:anticoagulants]") is True
    assert truth(facts, "caution[target=anticoagulants]") is None


def test_a_ranked_value_outside_is_a_stated_no() -> None:
    """A milder state for the same topic denies the stricter ones; no row at all denies nothing."""
    facts = facts_of(cautions=[caution("caution", "pregnancy")])
    assert truth(facts, "caution:avoid..[topic:pregnancy]") is False
    assert truth(facts, "caution:contraindicated[topic:pregnancy]") is False
    assert truth(facts, "caution:..avoid[topic:pregnancy]") is True
    assert truth(facts, "caution:avoid..[topic:drug]") is None
    assert truth(facts, "caution:avoid..") is None, "other topics are not checked"


def test_a_narrow_ranked_value_does_not_deny_the_broad() -> None:
    """A mild caution on one drug says nothing of drugs; one on the topic or a broader target says it of each."""
    narrow = facts_of(cautions=[caution("caution", target="warfarin")])
    assert truth(narrow, "caution:avoid..[topic:drug]") is None
    assert truth(narrow, "caution:avoid..[target:anticoagulants]") is None
    assert truth(narrow, "caution:avoid..[target:warfarin]") is False
    assert truth(facts_of(cautions=[caution("caution")]), "caution:avoid..[target:warfarin]") is False


def test_none_stated_matches_only_when_named() -> None:
    """`none-stated` answers its own name; no range and no bare predicate takes it in."""
    facts = facts_of(cautions=[caution("none-stated")])
    assert truth(facts, "caution:none-stated[topic:drug]") is True
    for question in (
        "caution[topic:drug]",
        "caution:..[topic:drug]",
        "caution:..avoid[topic:drug]",
        "caution:caution[topic:drug]",
    ):
        assert truth(facts, question) is None, question


def test_empty_is_absent() -> None:
    """An empty cell is no value: nothing matches it, and nothing is denied by it."""
    facts = facts_of({"nature": "", "toxicity": ""})
    for question in ("nature", "nature:..cool", "toxicity", "toxicity:unmarked"):
        assert truth(facts, question) is None, question


def test_ranks() -> None:
    """A range takes in what ranks inside it: slightly cold and cool are one rank."""
    facts = facts_of({"nature": "slightly-cold"})
    assert truth(facts, "nature:..cool") is True
    assert truth(facts, "nature:cool..warm") is True
    assert truth(facts, "nature:..cold") is False
    assert truth(facts, "nature:cool") is False


@pytest.mark.parametrize(
    ("rows", "question", "found"),
    [
        ([{"max": "9"}], "dose-max:..9", True),
        ([{"max": "9"}], "dose-max:..8.5", False),
        ([{"max": "9"}, {"max": "15", "route": "powder"}], "dose-max:..9", False),
        ([{"max": "9"}, {"max": "15", "route": "powder"}], "dose-max:..9[route:decoction]", True),
        ([{"max": "9"}, {"max": "15", "route": "powder"}], "dose-max:9..15", True),
        ([{"max": "9"}, {"max": "15", "route": "powder"}], "dose-max:9", False),
        ([], "dose-max:..9", None),
        ([{"max": "9"}], "dose-max:..9[route:powder]", None),
        ([{"max": "500", "unit": "mg"}], "dose-max:0.5", True),
        ([{"max": "9.0"}], "dose-max=9", True),
        ([{"max": "3", "unit": "ml"}], "dose-max:..9", None),
        ([{"max": "3", "unit": "ml"}], "dose-max:..", None),
        ([{"max": "3", "unit": "ml"}], "dose-max", True),
        ([{"max": "3", "unit": "ml"}, {"max": "3", "route": "powder"}], "dose-max:..9", None),
        ([{"max": "3", "unit": "piece"}, {"max": "30", "route": "powder"}], "dose-max:..9", False),
        ([{"max": "3", "unit": ""}], "dose-max:..9", None),
        ([{"max": "about 3"}], "dose-max", None),
    ],
)
def test_a_dose_range_holds_only_if_every_dose_lies_in_it(rows: list[Row], question: str, found: bool | None) -> None:
    """Some dose meets the qualifiers and every such dose lies in the range, in grams; other units never compare."""
    assert truth(facts_of(doses=[DOSE | row for row in rows]), question) is found


def test_an_amount_that_does_not_convert_keeps_its_unit() -> None:
    """Milligrams become grams; millilitres and pieces stay what they are."""
    rows = [DOSE | {"max": "500", "unit": "mg"}, DOSE | {"route": "wine", "max": "3.50", "unit": "ml"}]
    assert [fact.value for fact in facts_of(doses=rows).of("a", "dose-max")] == ["0.5", "3.5 ml"]


def test_opposes_holds_both_ways_and_of_forms() -> None:
    """What opposes a herb is opposed by it; a herb covers its forms, on either side."""
    herbs = [HERB, HERB | {"id": "b"}]
    forms = [{"id": f"{herb}.x", "herb": herb, "kind": "raw", "inherits": "safety"} for herb in "ab"]
    row = {"a": "a", "b": "b", "list": "eighteen", "reading": "stated", "state": "contraindicated"}
    facts = facts_of(herbs=herbs, forms=forms, antagonisms=[row])
    for subject, other in (("a", "b"), ("b", "a"), ("a.x", "b"), ("a", "b.x"), ("b.x", "a.x")):
        assert truth(facts, f"opposes:{other}[list:eighteen]", subject) is True
    assert truth(facts, "opposes:a", "a") is None
    of_a_form = facts_of(herbs=herbs, forms=forms, antagonisms=[row | {"b": "b.x"}])
    assert truth(of_a_form, "opposes:b", "a") is True, "asked about the herb, its form answers"
    assert truth(of_a_form, "opposes:a", "b") is None, "what a form opposes is not said of its herb"


def test_three_values() -> None:
    """And, or, not and states-not follow three-valued logic; `not` knows no third value."""
    facts = facts_of({"flavors": "sweet", "nature": ""})
    true, false, unstated = "flavor:sweet", "flavor:sour", "nature:cold"
    table = {
        f"{true} and {unstated}": None,
        f"{false} and {unstated}": False,
        f"{true} or {unstated}": True,
        f"{false} or {unstated}": None,
        f"states-not {true}": False,
        f"states-not {false}": True,
        f"states-not {unstated}": None,
        f"not {true}": False,
        f"not {false}": True,
        f"not {unstated}": True,
        f"not not {unstated}": False,
        f"{false} or {true} and {unstated}": None,
        f"({false} or {true}) and {true}": True,
    }
    assert {text: truth(facts, text) for text in table} == table


def test_supporting_facts() -> None:
    """The facts that make an atom true are given, with their cell; where it is not true there are none."""
    facts = facts_of({"flavors": "sweet;slightly-sour"}, {})
    atom = parse("flavor:sour", facts).atoms()[0]
    (fact,) = supports(atom, "a.x", facts)
    assert (fact.value, fact.file, fact.line, fact.column) == ("slightly-sour", "herbs/herbs.csv", 2, "flavors")
    assert (fact.subject, fact.inherited_from) == ("a.x", "a")
    whole = parse("flavor=sweet", facts).atoms()[0]
    assert supports(whole, "a", facts) == []
    doses = facts_of(doses=[DOSE | {"max": "9"}, DOSE | {"max": "15", "route": "powder"}])
    assert supports(parse("dose-max:..9", doses).atoms()[0], "a", doses) == []
    assert len(supports(parse("dose-max:..15", doses).atoms()[0], "a", doses)) == 2


def test_every_kind_of_subject_is_judged() -> None:
    """Herbs, forms and formulas stand in one numbering, in table order."""
    formula = {"id": "tang", "category": "cold", "items_complete": "no", "basis": "memory"}
    facts = facts_of({}, {}, formulas=[formula])
    assert facts.subjects == ("a", "a.x", "tang")
    assert [facts.kind(subject) for subject in facts.subjects] == ["herbs", "forms", "formulas"]
    assert match(parse("category:cold", facts), facts).true == {2}
