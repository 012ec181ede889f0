"""The pattern language: what parses, what is refused and where the caret stands (semantics.md §3)."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from materia_data.facts.pattern import And, Atom, Not, Or, PatternError, Qualifier, StatesNot, parse
from tests.facts.ask import FORM, HERB, facts_of
from tests.strategies import patterns

FACTS = facts_of(
    herbs=[HERB, HERB | {"id": "b"}], forms=[FORM, FORM | {"id": "a.y"}, FORM | {"id": "b.x", "herb": "b"}]
)


def test_the_tree() -> None:
    """`and` binds closer than `or`, `not` closer than both."""
    sweet, cold = Atom("flavor", ":", ("sweet",)), Atom("nature", ":", ("cold",))
    warm = Atom("nature", "..", low="warm")
    assert parse("flavor:sweet or nature:cold and not nature:warm..", FACTS) == Or((sweet, And((cold, Not(warm)))))
    assert parse("(flavor:sweet or nature:cold) and states-not nature:warm..", FACTS) == And(
        (Or((sweet, cold)), StatesNot(warm))
    )
    pairs = (Qualifier("topic", ":", "drug"), Qualifier("target", "=", "warfarin"))
    assert parse("caution [topic:drug, target=warfarin]", FACTS) == Atom("caution", "any", qualifiers=pairs)


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("dose_max : ..  3.50 [ route:decoction ]", "dose-max:..3.5[route:decoction]"),
        ("action:stop_bleeding[site:large_intestine]", "action:stop-bleeding[site:large-intestine]"),
        ('flavor:"slightly_sour"', "flavor:slightly-sour"),
        ('dose-max:"500 mg"..3', "dose-max:0.5..3"),
        ("flavor=sour,sweet,sour", "flavor=sour,sweet"),
        ("opposes:a.x", "opposes:a.x"),
        ("((flavor:sweet))", "flavor:sweet"),
        ("states_not flavor:sweet", "states-not flavor:sweet"),
        ("nature:cold..", "nature:cold.."),
        ("nature:cold..cool", "nature:cold..cool"),
        ("nature:..", "nature:.."),
        ("not (flavor:sweet and nature)", "not (flavor:sweet and nature)"),
    ],
)
def test_spelling(text: str, canonical: str) -> None:
    """Hyphens and underscores are alike, spaces and needless quotes go, and numbers have one spelling."""
    assert str(parse(text, FACTS)) == canonical


@given(patterns())
@settings(max_examples=300, deadline=None)
def test_round_trip(text: str) -> None:
    """The text of a tree parses to the same tree."""
    pattern = parse(text, FACTS, safety_rule=True)
    assert parse(str(pattern), FACTS, safety_rule=True) == pattern


@given(st.text(alphabet='abflavor:sweet.,=[]()"- not_and0123\n止‮', max_size=60) | st.text(max_size=40))
@settings(max_examples=500, deadline=None)
def test_any_text_parses_or_points(text: str) -> None:
    """Whatever is typed either parses or is refused with a message and a place inside the text."""
    try:
        assert parse(str(parse(text, FACTS)), FACTS)
    except PatternError as error:
        assert 0 <= error.position <= len(text)
        assert error.message
        assert "\n" not in error.message + error.tip
        assert all(line.isprintable() for line in str(error).split("\n"))


@pytest.mark.parametrize(
    ("text", "position", "message", "tip"),
    [
        ("flavour:sweet", 0, "flavour is no predicate", "Did you mean flavor?"),
        ("flavor:swet", 7, "swet is no value of flavor", "Did you mean sweet"),
        (
            "flavor:sweet and flavor:zzzz",
            24,
            "zzzz is no value of flavor",
            "Values of flavor: sweet, sour, slightly-sour",
        ),
        ("caution[topc:drug]", 8, "topc is no qualifier of caution", "Did you mean topic?"),
        ("caution[topic:drugs]", 14, "drugs is no value of topic", "Did you mean drug?"),
        ("flavor[site:lung]", 6, "flavor has no qualifiers", "Take the brackets out"),
        ("opposes:tang", 8, "tang is no value of opposes", ""),
        ("caution[topic]", 13, "] stands where : or = is due", "topic:value"),
        ("caution[topic:drug", 18, "still open", "Add a ]"),
        ("(flavor:sweet", 13, "still open", "Add a )"),
        ("flavor:sweet)", 12, ") does not follow here", "and, or"),
        ("flavor:sweet nature:cold", 13, "nature does not follow here", "and, or"),
        ("flavor:", 7, "The end of the pattern stands where a value of flavor is due", ""),
        ("flavor:sweet and", 16, "The end of the pattern stands where a predicate is due", ""),
        ("flavor:not", 7, "not is a word of the pattern language", "Quote it"),
        ('flavor:"not"', 7, '"not" is no value of flavor', ""),
        ("and flavor:sweet", 0, "and stands where a predicate is due", ""),
        ("states-not (flavor:sweet)", 11, "states-not takes one atom", ""),
        ("flavor:sour..", 11, "flavor has no order", "joined by or"),
        ("nature:warm..cold", 7, "The range warm..cold runs backwards", "Write cold..warm"),
        ("dose-max:9..3", 9, "The range 9..3 runs backwards", "Write 3..9"),
        ("toxicity:unmarked..", 9, "unmarked has no rank", "toxicity:unmarked"),
        ("caution:..none-stated", 10, "none-stated has no rank", "caution:none-stated"),
        ("trait=heavy", 5, "never known to be complete", "Ask trait:"),
        ("action=purge", 6, "never known to be complete", "Ask action:"),
        ("dose-max:few", 9, "few is no number", "a number of g"),
        ("dose-max:3g", 9, "a number ends with its last digit", "alone"),
        ('dose-max:"3 ml"', 9, "ml does not compare with g", "dose-max alone"),
        ('flavor:"sweet', 7, "never closed", 'Add a "'),
        ("flavor:甘", 7, "甘 has no place in a pattern", "quote other text"),
        ("", 0, "The pattern is empty", "flavor:sweet"),
        ("   ", 3, "The pattern is empty", "flavor:sweet"),
    ],
)
def test_errors_point_at_the_character(text: str, position: int, message: str, tip: str) -> None:
    """An error says what is wrong and what to do, and names the nearest words where one is not known."""
    with pytest.raises(PatternError) as caught:
        parse(text, FACTS)
    assert caught.value.position == position
    assert message in caught.value.message
    assert tip in caught.value.tip


def test_the_caret() -> None:
    """The caret stands under the character at fault, wide characters and a long beginning counted."""
    with pytest.raises(PatternError) as caught:
        parse('trait:"甘草" and flavor:swet', FACTS)
    assert str(caught.value).split("\n")[:2] == ['trait:"甘草" and flavor:swet', "      ^"]
    with pytest.raises(PatternError) as caught:
        parse("flavor:sweet and " * 20 + "flavor:swet", FACTS)
    shown, caret = str(caught.value).split("\n")[:2]
    assert shown.startswith("…")
    assert shown[caret.index("^") :] == "swet"


@pytest.mark.parametrize(
    "text",
    [
        "not caution[topic:pregnancy]",
        "flavor:sweet and not (nature:cold or toxicity:toxic..)",
        "not states-not dose-max:..3",
        "not handling:decoct-first",
        "not trait:mercury",
        "not trait",
        "not opposes:a",
        "not status:withdrawn",
        "not not caution",
    ],
)
def test_not_on_a_safety_predicate(text: str) -> None:
    """`not` would call unstated safe, so outside safety rules it is refused with what to ask instead."""
    with pytest.raises(PatternError) as caught:
        parse(text, FACTS)
    assert text[caught.value.position :].startswith("not")
    assert "states-not" in caught.value.tip
    assert parse(text, FACTS, safety_rule=True)


def test_what_to_ask_instead() -> None:
    """The tip names the question that a source must have answered."""
    with pytest.raises(PatternError) as caught:
        parse("not caution:avoid..[topic:pregnancy]", FACTS)
    assert "states-not caution:avoid..[topic:pregnancy]" in caught.value.tip
    assert "caution:none-stated[topic:pregnancy]" in caught.value.tip


def test_not_where_no_safety_is_at_stake() -> None:
    """Flavours, and traits that are no constituents, may be negated; anything may be asked as stated not to be."""
    for text in ("not flavor:sweet", "not trait:heavy", "states-not caution:avoid..[topic:pregnancy]", "not dose-min"):
        assert parse(text, FACTS)


def test_limits() -> None:
    """At most 2,000 characters and 32 levels of brackets and `not`; the error points at the first that is too many."""
    fits = "flavor:sweet" + " " * 1988
    assert parse(fits, FACTS)
    with pytest.raises(PatternError, match="2001 characters") as caught:
        parse(fits + " ", FACTS)
    assert caught.value.position == 2000
    assert parse("(" * 32 + "flavor:sweet" + ")" * 32, FACTS)
    with pytest.raises(PatternError, match="32 deep") as caught:
        parse("(" * 33 + "flavor:sweet" + ")" * 33, FACTS)
    assert caught.value.position == 32
    with pytest.raises(PatternError, match="32 deep"):
        parse("not " * 33 + "flavor:sweet", FACTS)


def test_atoms_and_predicates() -> None:
    """Positive atoms are those under no `not` and no `states-not`; predicates are those of every atom."""
    pattern = parse("flavor:sweet and (nature:cold or not channel:lung) and states-not part:root", FACTS)
    assert [str(atom) for atom in pattern.atoms()] == ["flavor:sweet", "nature:cold"]
    assert pattern.predicates() == {"flavor", "nature", "channel", "part"}
    assert [atom.position for atom in pattern.atoms()] == [0, 18]


def test_taking_an_atom_apart() -> None:
    """An atom gives its one value, the values its range takes in, and the same question of another value."""
    (one,) = parse("flavor:sweet", FACTS).atoms()
    (several,) = parse("nature:cold..cool", FACTS).atoms()
    (number,) = parse("dose-max:..3", FACTS).atoms()
    assert one.single_value == "sweet"
    assert several.single_value is None
    assert several.values_within(FACTS) == ("cold", "cool", "slightly-cold")
    assert number.values_within(FACTS) == ("3",)
    assert str(several.with_value("cool")) == "nature:cool"
