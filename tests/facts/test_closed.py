"""When a lack is a stated no (semantics.md §2 and §3)."""

import pytest

from tests.facts.ask import DOSE, HERB, cited, facts_of, truth, values
from tests.strategies import Row

FORMULA = {"id": "tang", "category": "heat", "items_complete": "yes", "basis": "memory"}


def item(subject: str, roles: str = "", position: str = "1") -> Row:
    return {"formula": "tang", "position": position, "subject": subject, "roles": roles, "basis": "memory"}


def test_a_filled_cell_is_closed() -> None:
    """A filled cell lacks what it does not list; an empty one says nothing; `-` lacks everything."""
    assert truth(facts_of({"flavors": "sweet"}), "flavor:sour") is False
    assert truth(facts_of({"flavors": ""}), "flavor:sour") is None
    none = facts_of({"flavors": "-"})
    assert truth(none, "flavor:sour") is False
    assert truth(none, "flavor") is False


def test_closing_is_inherited_with_the_cell() -> None:
    """A form that takes over the herb's flavours takes over that there are no others."""
    facts = facts_of({"flavors": "sweet"}, {})
    assert truth(facts, "flavor:sour", "a.x") is False
    assert truth(facts_of({"flavors": "sweet"}, {"flavors": "-"}), "flavor:sweet", "a.x") is False


def test_narrower_values_are_taken_in() -> None:
    """Slightly sour is sour; but a list that says sour does not deny slightly sour."""
    assert truth(facts_of({"flavors": "slightly-sour"}), "flavor:sour") is True
    assert truth(facts_of({"flavors": "sour"}), "flavor:slightly-sour") is None


def test_traits_and_actions_are_never_closed() -> None:
    """That no row says it is no statement that it is not so."""
    facts = facts_of({"traits": "heavy"}, herb_actions=[{"subject": "a", "action": "clear-heat", "polarity": "does"}])
    assert truth(facts, "trait:mercury") is None
    assert truth(facts, "action:purge") is None


def test_toxicity_is_closed_when_graded() -> None:
    """A grade denies the other grades; `unmarked` denies nothing, and matches only when named."""
    graded = facts_of({"toxicity": "slight"})
    assert truth(graded, "toxicity:toxic") is False
    assert truth(graded, "toxicity:toxic..") is False
    assert truth(graded, "toxicity:unmarked") is False
    unmarked = facts_of({"toxicity": "unmarked"})
    assert truth(unmarked, "toxicity:unmarked") is True
    assert truth(unmarked, "toxicity=unmarked") is True
    for question in (
        "toxicity",
        "toxicity:none",
        "toxicity:..slight",
        "toxicity:none..",
        "toxicity:..",
        "toxicity=none",
    ):
        assert truth(unmarked, question) is None, question


def test_status_is_always_closed() -> None:
    """A herb has its status and no other; a form has none, so nothing is said of it."""
    facts = facts_of({}, {})
    assert truth(facts, "status:withdrawn") is False
    assert truth(facts, "status:withdrawn", "a.x") is None
    assert truth(facts, "default-form") is False


@pytest.mark.parametrize(("kind", "disputes"), [("standard", True), ("textbook", True), ("classic", False)])
def test_a_disputed_cell_is_not_closed(kind: str, disputes: bool) -> None:
    """What a disputed cell lists is true, what it lacks is unstated, `=` on it is unstated; classics never dispute."""
    citation = cited("herbs", "a", "flavors", "sweet;sour", source=kind)
    facts = facts_of({"flavors": "sweet"}, {}, citations=[citation])
    for subject in ("a", "a.x"):
        assert truth(facts, "flavor:sweet", subject) is True
        assert truth(facts, "flavor:sour", subject) is (None if disputes else False)
        assert truth(facts, "flavor=sweet", subject) is (None if disputes else True)
    assert values(facts, "disputed", "a") == (["flavor"] if disputes else [])


def test_a_citation_that_agrees_is_no_dispute() -> None:
    """The same flavours in another order are the same; a citation of one item says nothing of the whole cell."""
    agreeing = cited("herbs", "a", "flavors", "sour;sweet")
    of_an_item = cited("herbs", "a", "flavors", "salty", value="sweet")
    facts = facts_of({"flavors": "sweet;sour"}, citations=[agreeing, of_an_item])
    assert truth(facts, "flavor=sweet,sour") is True
    assert facts.of("a", "disputed") == []


def test_a_disputed_rank_denies_nothing() -> None:
    """Where sources disagree on the nature, the grade or a caution, what lies outside is unstated, not false."""
    caution = {"subject": "a", "topic": "pregnancy", "state": "caution"}
    citations = [
        cited("herbs", "a", "nature", "cold"),
        cited("herbs", "a", "toxicity", "toxic"),
        cited("cautions", "a|pregnancy|", "state", "avoid"),
    ]
    facts = facts_of({"nature": "warm", "toxicity": "slight"}, cautions=[caution], citations=citations)
    for question in ("nature:..cool", "toxicity:toxic..", "caution:avoid..[topic:pregnancy]", "toxicity=toxic"):
        assert truth(facts, question) is None, question
    assert truth(facts, "caution:caution[topic:pregnancy]") is True


def test_a_disputed_dose_still_blocks_a_range() -> None:
    """A disputed ceiling above a range keeps it from being true, without making it false; `=` is unstated."""
    dispute = cited("doses", "a|decoction|day|adult|", "max", "6")
    facts = facts_of(doses=[DOSE | {"max": "9"}], citations=[dispute])
    assert truth(facts, "dose-max:..6") is None
    assert truth(facts, "dose-max:..9") is True
    assert truth(facts, "dose-max=9") is None
    assert truth(facts_of(doses=[DOSE | {"max": "9"}], citations=[dispute | {"stated": "9.0"}]), "dose-max=9") is True


def test_a_disputed_status_or_caution_has_no_whole() -> None:
    """Be a predicate always closed or single-valued, a dispute leaves `=` and what is not listed unstated."""
    caution = {"subject": "a", "topic": "drug", "state": "caution"}
    citations = [cited("herbs", "a", "status", "withdrawn"), cited("cautions", "a|drug|", "state", "avoid")]
    facts = facts_of(cautions=[caution], citations=citations)
    assert truth(facts, "status:withdrawn") is None
    for question in ("status=current", "status=withdrawn", "caution=caution[topic:drug]", "caution=avoid[topic:drug]"):
        assert truth(facts, question) is None, question
    assert truth(facts_of(cautions=[caution]), "caution=caution[topic:drug]") is True
    assert truth(facts_of(cautions=[caution]), "caution=avoid[topic:drug]") is False


def test_a_dispute_about_what_a_form_inherits() -> None:
    """Where a standard gives a form another nature than the one it inherits, the inherited one denies nothing."""
    facts = facts_of({"nature": "warm"}, {}, citations=[cited("forms", "a.x", "nature", "cold")])
    assert truth(facts, "nature:warm", "a.x") is True
    assert truth(facts, "nature:cold", "a.x") is None
    assert truth(facts, "nature:cold", "a") is False


def test_the_whole_set() -> None:
    """`=` compares the whole set, in any order, with nothing narrower taken in."""
    facts = facts_of({"flavors": "sweet;slightly-sour"})
    assert truth(facts, "flavor=slightly_sour,sweet") is True
    assert truth(facts, "flavor=sweet") is False
    assert truth(facts, "flavor=sweet,sour") is False
    assert truth(facts_of({"flavors": ""}), "flavor=sweet") is None


def test_a_formula_is_closed_only_if_complete() -> None:
    """A complete formula has nothing but its items; of any other, and of one without items, a lack is unstated."""
    herbs = [HERB, HERB | {"id": "b"}]
    complete = facts_of(herbs=herbs, formulas=[FORMULA], formula_items=[item("a", "chief")])
    assert truth(complete, "contains:b", "tang") is False
    assert truth(complete, "contains=a", "tang") is True
    assert truth(complete, "contains:a[role:envoy]", "tang") is False
    partial = facts_of(herbs=herbs, formulas=[FORMULA | {"items_complete": "no"}], formula_items=[item("a")])
    assert truth(partial, "contains:b", "tang") is None
    assert truth(partial, "contains=a", "tang") is None
    assert truth(facts_of(herbs=herbs, formulas=[FORMULA]), "contains:b", "tang") is None


def test_a_form_in_a_formula_is_narrower_than_its_herb() -> None:
    """A formula with the form contains the herb; one with the bare herb keeps that, and may mean the form."""
    with_form = facts_of({}, {}, formulas=[FORMULA], formula_items=[item("a.x")])
    assert truth(with_form, "contains:a", "tang") is True
    bare = facts_of({"default_form": "a.x"}, {}, formulas=[FORMULA], formula_items=[item("a")])
    assert values(bare, "contains", "tang") == ["a"]
    assert truth(bare, "contains:a", "tang") is True
    assert truth(bare, "contains:a.x", "tang") is None


def test_roles_of_one_item() -> None:
    """An item with two roles has both; an item without any may have each."""
    facts = facts_of(formulas=[FORMULA], formula_items=[item("a", "assistant;envoy")])
    assert truth(facts, "contains:a[role:assistant,role:envoy]", "tang") is True
    assert truth(facts_of(formulas=[FORMULA], formula_items=[item("a")]), "contains:a[role:chief]", "tang") is None
