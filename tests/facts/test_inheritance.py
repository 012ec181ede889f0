"""What a form takes from its herb (semantics.md §2)."""

import pytest

from tests.facts.ask import CONFIRMED, DOSE, cited, facts_of, truth, values

CAUTION = {"subject": "a", "topic": "pregnancy", "state": "contraindicated", "basis": "memory"}
BOIL = {"subject": "a", "handling": "decoct-first", "force": "required", "minutes_min": "60", "basis": "memory"}


@pytest.mark.parametrize(
    ("column", "predicate", "theirs", "own"),
    [
        ("nature", "nature", "warm", "cold"),
        ("flavors", "flavor", "sweet;sour", "slightly-sour"),
        ("channels", "channel", "lung;liver", "liver"),
        ("directions", "direction", "ascending", "-"),
        ("parts", "part", "root", "seed"),
        ("method", "method", "calcining", "-"),
    ],
)
def test_replaced(column: str, predicate: str, theirs: str, own: str) -> None:
    """A form's own cell replaces the herb's whole cell; an empty one takes it over, with the herb's name beside it."""
    taken = facts_of({column: theirs}, {})
    assert values(taken, predicate) == theirs.split(";")
    assert {fact.inherited_from for fact in taken.of("a.x", predicate)} == {"a"}
    replaced = facts_of({column: theirs}, {column: own})
    assert values(replaced, predicate) == [value for value in own.split(";") if value != "-"]
    assert all(fact.inherited_from == "" for fact in replaced.of("a.x", predicate))


def test_lists_are_shared() -> None:
    """A form that changes nothing shares the herb's list itself."""
    facts = facts_of({"flavors": "sweet;sour"}, {})
    entries = facts.effective_entries["flavor"]
    assert entries[facts.number["a.x"]] is entries[facts.number["a"]]


@pytest.mark.parametrize(
    ("own", "held"),
    [
        ("", ["heavy", "mercury"]),
        ("toxic-metal", ["heavy", "mercury", "toxic-metal"]),
        ("-", ["mercury"]),
        ("-;heavy", ["mercury", "heavy"]),
        ("-mercury", ["heavy"]),
        ("-toxic-metal", ["heavy", "mercury"]),
        ("-;-mercury", []),
    ],
)
def test_traits(own: str, held: list[str]) -> None:
    """Traits are joined; `-` drops what is no constituent, `-name` that one constituent and none of its kind."""
    assert values(facts_of({"traits": "heavy;mercury"}, {"traits": own}), "trait") == held


@pytest.mark.parametrize(
    ("theirs", "own", "holds"),
    [
        ("toxic", "slight", "toxic"),
        ("slight", "toxic", "toxic"),
        ("toxic", "", "toxic"),
        ("slight", "unmarked", "slight"),
        ("unmarked", "none", "none"),
        ("none", "unmarked", "none"),
        ("", "slight", "slight"),
    ],
)
def test_stricter_toxicity(theirs: str, own: str, holds: str) -> None:
    """The stricter grade holds, and `unmarked` ranks below every grade, `none` among them."""
    facts = facts_of({"toxicity": theirs}, {"toxicity": own})
    assert values(facts, "toxicity") == [holds]
    assert [fact.value for fact in facts.looser] == ([own] if own and own != holds else [])
    assert all(not fact.confirmed and fact.subject == "a.x" for fact in facts.looser)


def test_stricter_for_each_caution_key() -> None:
    """Of each topic and target the stricter state holds; a key that only one of them has stands by itself."""
    own = [
        CAUTION | {"subject": "a.x", "state": "caution"},
        CAUTION | {"subject": "a.x", "topic": "drug", "target": "warfarin", "state": "avoid"},
    ]
    theirs = [
        CAUTION,
        CAUTION | {"topic": "drug", "target": "warfarin", "state": "caution"},
        CAUTION | {"topic": "drug"},
    ]
    facts = facts_of({}, {}, cautions=[*theirs, *own])
    held = {
        (dict(fact.qualifiers).get("target", fact.qualifiers[0][1]), fact.value) for fact in facts.of("a.x", "caution")
    }
    assert held == {("pregnancy", "contraindicated"), ("warfarin", "avoid"), ("drug", "contraindicated")}
    assert [fact.value for fact in facts.looser] == ["caution"]


@pytest.mark.parametrize(
    ("cells", "used"),
    [
        (CONFIRMED, True),
        (CONFIRMED | {"source": "textbook"}, True),
        (CONFIRMED | {"source": "classic"}, False),
        (CONFIRMED | {"reason": ""}, False),
        (CONFIRMED | {"basis": "memory"}, False),
        (CONFIRMED | {"source": ""}, False),
    ],
)
def test_looser_needs_a_source_and_a_reason(cells: dict[str, str], used: bool) -> None:
    """A looser value is used only if collated from a standard, law or textbook, with a reason."""
    facts = facts_of({}, {}, cautions=[CAUTION, CAUTION | {"subject": "a.x", "state": "caution"} | cells])
    assert values(facts, "caution") == (["caution"] if used else ["contraindicated"])
    assert [(fact.value, fact.confirmed) for fact in facts.looser] == ([] if used else [("caution", False)])
    assert [(fact.value, fact.confirmed) for fact in facts.own("a.x", "caution")] == [("caution", used)]


def test_none_stated_is_looser_than_any_state() -> None:
    """`none-stated` of a form does not silence the herb's caution unless a source with a reason says so."""
    row = CAUTION | {"subject": "a.x", "state": "none-stated"}
    assert values(facts_of({}, {}, cautions=[CAUTION, row]), "caution") == ["contraindicated"]
    assert values(facts_of({}, {}, cautions=[CAUTION, row | CONFIRMED]), "caution") == ["none-stated"]


@pytest.mark.parametrize(
    ("theirs", "own", "holds"),
    [
        ({"max": "9"}, {"max": "6"}, ["6"]),
        ({"max": "9"}, {"max": "15"}, ["9"]),
        ({"max": "9"}, {"max": ""}, ["9"]),
        ({"max": "9"}, {"max": "15", "purpose": "emergency"}, ["9", "15"]),
        ({"max": "9"}, {"max": "9000", "unit": "mg"}, ["9"]),
        ({"max": "9"}, {"max": "3", "unit": "ml"}, ["9"]),
        ({"max": "9", "unit": "ml"}, {"max": "15"}, ["15"]),
        ({"max": "9", "unit": "ml"}, {"max": "15", "unit": "ml"}, ["9 ml"]),
        ({"max": "9", "unit": "ml"}, {"max": "3", "unit": "piece"}, ["9 ml"]),
    ],
)
def test_doses_by_key(theirs: dict[str, str], own: dict[str, str], holds: list[str]) -> None:
    """A form's dose replaces the herb's of the same key, but an unconfirmed higher ceiling does not."""
    facts = facts_of({}, {}, doses=[DOSE | theirs, DOSE | {"subject": "a.x"} | own])
    assert values(facts, "dose-max") == holds


def test_a_citation_confirms_a_higher_dose() -> None:
    """A dose has no column for a reason: a citation of the cell gives source and reason together."""
    record = "a.x|decoction|day|adult|"
    citation = {"about_table": "doses", "record": record, "column": "max", "stated": "15"} | CONFIRMED
    rows = [DOSE | {"max": "9"}, DOSE | {"subject": "a.x", "max": "15"}]
    facts = facts_of({}, {}, doses=rows, citations=[citation])
    assert values(facts, "dose-max") == ["15"]
    assert [(fact.source, fact.basis) for fact in facts.of("a.x", "dose-max")] == [("standard", "collated")]
    assert values(facts_of({}, {}, doses=rows, citations=[citation | {"reason": ""}]), "dose-max") == ["9"]


def test_smallest_dose_is_simply_replaced() -> None:
    """The smallest dose is no safety fact: a form's own replaces the herb's."""
    facts = facts_of({}, {}, doses=[DOSE | {"min": "3"}, DOSE | {"subject": "a.x", "min": "6"}])
    assert values(facts, "dose-min") == ["6"]


def test_days_and_minutes() -> None:
    """More days, and fewer minutes of required boiling, are looser."""
    days = [DOSE | {"max_days": "7"}, DOSE | {"subject": "a.x", "max_days": "14"}]
    minutes = [BOIL, BOIL | {"subject": "a.x", "minutes_min": "30"}]
    facts = facts_of({}, {}, doses=days, handling=minutes)
    assert values(facts, "max-days") == ["7"]
    assert values(facts, "minutes-min") == ["60"]
    usual = [row | {"force": "usual"} for row in minutes]
    assert values(facts_of({}, {}, handling=usual), "minutes-min") == ["30"]


def test_handling_by_key() -> None:
    """Handling is replaced by handling and purpose; what was required stays so but for a source and a reason."""
    own = BOIL | {"subject": "a.x", "force": "usual"}
    facts = facts_of({}, {}, handling=[BOIL, own])
    assert [dict(fact.qualifiers)["force"] for fact in facts.of("a.x", "handling")] == ["required"]
    confirmed = facts_of({}, {}, handling=[BOIL, own | CONFIRMED])
    assert [dict(fact.qualifiers)["force"] for fact in confirmed.of("a.x", "handling")] == ["usual"]
    wrap = {"subject": "a.x", "handling": "wrap", "force": "usual"}
    assert sorted(values(facts_of({}, {}, handling=[BOIL, wrap]), "handling")) == ["decoct-first", "wrap"]


def test_minutes_fall_back_with_their_handling() -> None:
    """A form's row that no longer requires the boiling does not bring its own minutes either, be they as many."""
    rows = [BOIL, BOIL | {"subject": "a.x", "force": "usual", "minutes_min": "90"}]
    facts = facts_of({}, {}, handling=rows)
    assert [(fact.value, fact.inherited_from) for fact in facts.of("a.x", "minutes-min")] == [("60", "a")]
    citation = {
        "about_table": "handling",
        "record": "a.x|decoct-first|",
        "column": "force",
        "stated": "usual",
    } | CONFIRMED
    confirmed = facts_of({}, {}, handling=rows, citations=[citation])
    assert values(confirmed, "minutes-min") == ["90"]
    assert [dict(fact.qualifiers)["force"] for fact in confirmed.of("a.x", "handling")] == ["usual"]


def test_a_citation_speaks_before_the_row() -> None:
    """Where a citation speaks for the looser cell, the row's own source no longer confirms it."""
    row = CAUTION | {"subject": "a.x", "state": "caution"} | CONFIRMED
    recalled = cited("cautions", "a.x|pregnancy|", "state", "caution", basis="memory")
    assert values(facts_of({}, {}, cautions=[CAUTION, row], citations=[recalled]), "caution") == ["contraindicated"]


def test_ordinary_removes_all_inherited_handling() -> None:
    """`ordinary` drops every handling of the herb, and the minutes with it."""
    rows = [
        BOIL,
        {"subject": "a", "handling": "wrap", "force": "usual"},
        {"subject": "a.x", "handling": "ordinary", "force": "usual"},
    ]
    facts = facts_of({}, {}, handling=rows)
    assert values(facts, "handling") == ["ordinary"]
    assert values(facts, "minutes-min") == []
    assert sorted(values(facts, "handling", "a")) == ["decoct-first", "wrap"]


def test_opposes_and_controls_are_joined() -> None:
    """What the herb opposes and what law says of it hold of the form beside its own."""
    antagonisms = [
        {"a": "a", "b": "b", "list": "eighteen", "reading": "stated", "state": "avoid"},
        {"a": "a.x", "b": "b", "list": "eighteen", "reading": "stated", "state": "avoid"},
        {"a": "a.x", "b": "c", "list": "other", "reading": "stated", "state": "avoid"},
    ]
    controls = [
        {"subject": "a", "instrument": "standard", "jurisdiction": "demoland", "level": "banned"},
        {"subject": "a.x", "instrument": "standard", "jurisdiction": "demoland", "level": "restricted"},
    ]
    herbs = [{"id": id, "status": "current"} for id in "abc"]
    facts = facts_of(None, {}, herbs=herbs, antagonisms=antagonisms, controls=controls)
    assert values(facts, "opposes") == ["b", "c"]
    assert [fact.inherited_from for fact in facts.of("a.x", "opposes")] == ["", ""]
    assert sorted(values(facts, "control")) == ["banned", "restricted"]


def test_inherits_safety() -> None:
    """`inherits=safety` takes toxicity, cautions, opposes, controls and constituents; everything else starts empty."""
    facts = facts_of(
        {"nature": "warm", "flavors": "sweet", "traits": "heavy;mercury", "toxicity": "toxic"},
        {"inherits": "safety"},
        cautions=[CAUTION],
        doses=[DOSE | {"min": "3", "max": "9", "max_days": "7"}],
        handling=[BOIL],
        herb_actions=[{"subject": "a", "action": "clear-heat", "polarity": "does"}],
        antagonisms=[{"a": "a", "b": "a", "list": "other", "reading": "stated", "state": "avoid"}],
        controls=[{"subject": "a", "instrument": "standard", "jurisdiction": "demoland", "level": "banned"}],
    )
    inherited = {fact.predicate: fact.value for fact in facts.of("a.x") if fact.inherited_from}
    assert inherited == {
        "toxicity": "toxic",
        "caution": "contraindicated",
        "opposes": "a",
        "control": "banned",
        "trait": "mercury",
    }
    assert truth(facts, "flavor:sour", "a") is False
    assert truth(facts, "flavor:sour", "a.x") is None


def test_status_category_and_default_form_stay_with_the_herb() -> None:
    """A form has no status, category, subgroup, default form, indication, unit or taxon but its own."""
    facts = facts_of(
        {"subgroup": "group", "default_form": "a.x"},
        {},
        herb_actions=[{"subject": "a", "action": "clear-heat", "polarity": "does", "indications": "cough"}],
        species=[{"subject": "a", "taxon": "demo-planta", "status": "official"}],
        unit_subjects=[{"unit": "unit", "subject": "a"}],
    )
    for predicate in ("status", "category", "subgroup", "default-form", "indication", "taught-in", "taxon"):
        assert values(facts, predicate, "a") != []
        assert values(facts, predicate, "a.x") == []
    assert facts.default_form("a") == "a.x"
    assert facts.default_form("a.x") == "a.x"
    assert facts.herb_of("a.x") == "a"
    assert facts.herb_of("a") == "a"
