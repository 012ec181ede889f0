"""What a category shares and who breaks it, worked by hand on invented medicinals."""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from materia_data import PatternError, load
from materia_data.materia import Materia
from materia_data.teach.standouts import StandOuts, standouts, wilson
from tests.little import little
from tests.ruletext import rule

# Members of the invented category x: three salty and cold, one sweet and warm. Outside: the four of the little package.
CATEGORY = {"id": "x", "scheme": "herbs", "name_en": "the x", "name_hans": "示类", "defining_action": "stop-bleeding"}
MEMBERS: list[dict[str, object]] = [
    {"id": f"x-{name}", "category": "x", "nature": "cold", "flavors": "salty", "channels": "bladder"} for name in "abc"
] + [{"id": "x-d", "category": "x", "nature": "warm", "flavors": "sweet", "channels": ""}]
ACTIONS = [{"subject": f"x-{name}", "action": "stop-bleeding", "polarity": "does"} for name in "abcd"]


def school(folder: Path, **tables: Any) -> Materia:
    herbs = [*MEMBERS, *tables.pop("herbs", [])]
    actions = [*ACTIONS, *tables.pop("herb_actions", [])]
    categories = [CATEGORY, *tables.pop("categories", [])]
    return load(little(folder / "package", herbs=herbs, herb_actions=actions, categories=categories, **tables))


def shared(found: StandOuts) -> dict[str, tuple[int, int, int, int]]:
    return {one.pattern: (one.holds, one.of, one.rest_holds, one.rest_of) for one in found.shared}


@pytest.mark.parametrize(
    ("holds", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_interval_is_the_published_one(holds: int, of: int, low: float, high: float) -> None:
    """The four examples of R. G. Newcombe, Statistics in Medicine 17, 1998, 857-872, table I, method 3."""
    assert tuple(round(end, 4) for end in wilson(holds, of)) == (low, high)


@given(st.integers(1, 400).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_each_end_is_as_far_from_the_share_as_its_own_error_allows(case: tuple[int, int]) -> None:
    """Wilson 1927: an end p solves |share - p| = z * sqrt(p (1 - p) / n), and both ends lie between 0 and 1."""
    holds, of = case
    low, high = wilson(holds, of)
    assert 0 <= low <= holds / of + 1e-12 and holds / of <= high + 1e-12 <= 1 + 1e-12
    for end in (low, high):
        assert abs(holds / of - end) == pytest.approx(1.959964 * (end * (1 - end) / of) ** 0.5, abs=1e-6)


def test_nothing_counted_is_no_share() -> None:
    """Of nothing the share may be anything."""
    assert wilson(0, 0) == (0.0, 1.0)


def test_what_most_share_is_counted_inside_and_outside(tmp_path: Path) -> None:
    """Salty: 3 of 4 members, 1 of 4 others; who states something else breaks it, who states nothing is silent."""
    found = standouts(school(tmp_path), "x")
    assert shared(found)["flavor:salty"] == (3, 4, 1, 4)
    salty = next(one for one in found.shared if one.pattern == "flavor:salty")
    assert [(one.id, one.says) for one in salty.breakers] == [("x-d", "sweet")]
    assert salty.lift == 3.0
    bladder = next(one for one in found.shared if one.pattern == "channel:bladder")
    assert (bladder.breakers, bladder.silent) == ((), ("x-d",))


def test_what_others_share_as_much_is_not_told(tmp_path: Path) -> None:
    """A fact that three of four others have too says nothing of the category."""
    others = [{"id": id, "flavors": "salty"} for id in ("demo-leaf", "demo-root")]
    assert "flavor:salty" not in shared(standouts(school(tmp_path, herbs=others), "x"))


def test_the_defining_action_is_marked_as_a_definition(tmp_path: Path) -> None:
    """What all have because they are in the category is said to be so by definition."""
    found = standouts(school(tmp_path), "x")
    assert {one.pattern: one.definition for one in found.shared}["action:stop-bleeding"]
    assert not any(one.definition for one in found.shared if one.pattern != "action:stop-bleeding")


def test_a_breaker_carries_the_reason_of_what_it_is_instead(tmp_path: Path) -> None:
    """Why is it not salty? Because of the rule that explains its sweetness."""
    sweet = rule(
        id="warm-is-sweet",
        title="Warm is sweet",
        when="nature:warm",
        expect="flavor:sweet",
        explains="flavor:sweet",
        because="An invented reason.",
        holds=["nature:warm and flavor:sweet"],
        breaks=["nature:warm"],
    )
    herbs = [{"id": "demo-rice", "nature": "warm", "flavors": "sweet", "category": "warm-interior"}]
    found = standouts(school(tmp_path, herbs=herbs, rules={"demo.toml": sweet}), "x")
    salty = next(one for one in found.shared if one.pattern == "flavor:salty")
    assert salty.breakers[0].why == "An invented reason."
    standing = next(one for one in found.standouts if one.id == "x-d")
    assert "not salty: sweet" in standing.breaks


def test_two_members_share_nothing_yet(tmp_path: Path) -> None:
    """Of fewer than three no tendency is told, and nobody stands alone."""
    found = standouts(load(little(tmp_path / "package")), "clear-heat")
    assert [one.id for one in found.members] == ["demo-kelp", "demo-leaf"]
    assert found.shared == found.standouts == ()


def test_what_one_alone_has_is_said_by_its_broadest_word(tmp_path: Path) -> None:
    """Cooling the blood is clearing heat, and only x-a clears heat at all: said once."""
    extra = [{"subject": "x-a", "action": "cool-blood", "polarity": "does"}]
    found = standouts(school(tmp_path, herb_actions=extra), "x")
    assert next(one.alone for one in found.standouts if one.id == "x-a") == ("clear heat",)


def test_the_gravest_danger_stands_first(tmp_path: Path) -> None:
    """Toxicity before pregnancy, each with everyone who carries it."""
    herbs = [{"id": "x-a", "toxicity": "slight"}, {"id": "x-b", "toxicity": "very-toxic"}]
    caution = [{"subject": "x-c", "topic": "pregnancy", "state": "avoid"}]
    found = standouts(school(tmp_path, herbs=herbs, cautions=caution), "x")
    assert [(one.label, one.members) for one in found.dangers] == [
        ("very toxic", ("x-b",)),
        ("slightly toxic", ("x-a",)),
        ("avoided in pregnancy", ("x-c",)),
    ]


def test_a_member_at_home_elsewhere_brings_no_group_of_its_own(tmp_path: Path) -> None:
    """Who belongs to the category as well is listed among the others, not under another category's group."""
    groups = [
        {"id": "x-one", "category": "x", "name_en": "the first", "name_hans": "一", "position": "1"},
    ]
    herbs = [
        {"id": "x-a", "subgroup": "x-one"},
        {"id": "demo-leaf", "also_in": "x"},
    ]
    found = standouts(school(tmp_path, herbs=herbs, groups=groups), "x")
    assert [(one.title, one.members) for one in found.groups] == [
        ("the first", ("x-a",)),
        ("the others", ("demo-leaf", "x-b", "x-c", "x-d")),
    ]


def test_without_groups_members_stand_by_what_they_do_first(tmp_path: Path) -> None:
    """The chief action makes the group, be it not the first by name."""
    extra = [{"subject": "x-a", "action": "soften-hardness", "weight": "chief", "position": "1", "polarity": "does"}]
    found = standouts(school(tmp_path, herb_actions=extra), "x")
    assert [(one.id, one.members) for one in found.groups] == [
        ("stop-bleeding", ("x-b", "x-c", "x-d")),
        ("soften-hardness", ("x-a",)),
    ]


def test_a_category_may_be_named_in_chinese_and_a_pattern_asked(tmp_path: Path) -> None:
    """The name on the page and the pattern ask for the same members."""
    materia = school(tmp_path)
    members = standouts(materia, "x").members
    assert standouts(materia, "示类").members == standouts(materia, "category:x").members == members


def test_a_pattern_of_forms_alone_has_forms_as_members(tmp_path: Path) -> None:
    """Where no medicinal matches, forms are the members and other forms are the rest."""
    forms = [{"id": f"x-{name}.mi", "herb": f"x-{name}", "kind": "prepared", "method": "honey-frying",
              "inherits": "all", "flavors": "sweet"} for name in "abc"]  # fmt: skip
    found = standouts(school(tmp_path, forms=forms), "kind:prepared and flavor:sweet")
    assert [one.id for one in found.members] == ["x-a.mi", "x-b.mi", "x-c.mi"]
    assert shared(found)["flavor:sweet"] == (3, 3, 0, 2)


def test_neither_category_nor_pattern_is_refused(tmp_path: Path) -> None:
    """What cannot be read raises with the place."""
    with pytest.raises(PatternError, match="no predicate"):
        standouts(school(tmp_path), "clear-heet")
