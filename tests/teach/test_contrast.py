"""What tells medicinals apart, against every smaller set of facts tried one after another."""

from collections.abc import Sequence
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from materia_data import load
from materia_data.facts.match import match
from materia_data.facts.pattern import parse
from materia_data.materia import Materia
from materia_data.teach.contrast import contrast
from tests.little import little, little_package

FLAVORS, CHANNELS = ("sour", "bitter", "sweet"), ("lung", "heart", "liver")
Herb = tuple[tuple[str, ...], tuple[str, ...]]
cells = st.tuples(
    st.lists(st.sampled_from(FLAVORS), unique=True).map(tuple),
    st.lists(st.sampled_from(CHANNELS), unique=True).map(tuple),
)


def made(herbs: Sequence[Herb]) -> tuple[Materia, list[str]]:
    """Invented medicinals that differ in flavours and channels only; an empty list is an empty cell."""
    rows = [
        {"id": f"x-{place}", "category": "warm-interior", "flavors": ";".join(flavors), "channels": ";".join(channels)}
        for place, (flavors, channels) in enumerate(herbs)
    ]
    return Materia(little_package(herbs=rows)), [str(row["id"]) for row in rows]


def said(materia: Materia, ids: Sequence[str], pattern: str) -> tuple[str, ...]:
    truth = match(parse(pattern, materia.facts), materia.facts)
    numbers = [materia.facts.number[id] for id in ids]
    return tuple("has" if n in truth.true else "has-not" if n in truth.false else "silent" for n in numbers)


def apart(sides: tuple[str, ...], telling: set[frozenset[str]]) -> frozenset[tuple[int, int]]:
    return frozenset(
        (a, b) for a, b in combinations(range(len(sides)), 2) if frozenset((sides[a], sides[b])) in telling
    )


def fewest(masks: set[frozenset[tuple[int, int]]], goal: frozenset[tuple[int, int]]) -> int:
    """How many facts the smallest set needs, by trying every set of one, of two, and so on."""
    for size in range(len(masks) + 1):
        for some in combinations(masks, size):
            if goal <= frozenset().union(*some):
                return size
    raise AssertionError("the goal is the union of the masks")


FIRM = {frozenset(("has", "has-not"))}
ANY = FIRM | {frozenset(("has", "silent"))}


@settings(max_examples=150, deadline=None)
@given(st.lists(cells, min_size=2, max_size=5))
def test_no_smaller_set_of_facts_tells_them_apart(herbs: list[Herb]) -> None:
    """As many facts stated on both sides as the smallest set by brute force has, then as few of the others."""
    materia, ids = made(herbs)
    patterns = [f"flavor:{v}" for v in FLAVORS] + [f"channel:{v}" for v in CHANNELS]
    sides = [said(materia, ids, pattern) for pattern in patterns]
    firm = {apart(one, FIRM) for one in sides}
    soft = {apart(one, ANY) for one in sides}
    hard, whole = frozenset().union(*firm), frozenset().union(*soft)
    found = contrast(materia, ids)
    told = [tuple(side.says for side in one.sides) for one in found.apart]
    assert frozenset().union(*(apart(one, ANY) for one in told)) == whole
    assert len(found.apart) <= fewest(firm, hard) + fewest({one - hard for one in soft}, whole - hard)
    pairs = {(ids.index(a), ids.index(b)) for a, b in found.alike}
    assert pairs == set(combinations(range(len(ids)), 2)) - whole
    assert found.whole is (not pairs)


def test_one_fact_may_tell_three(tmp_path: Path) -> None:
    """Worked by hand: sour is only a's and heart only b's; two facts tell a, b and c, and no single one does."""
    materia, ids = made([(("sour", "sweet"), ("lung",)), (("sweet",), ("heart", "lung")), (("sweet",), ("lung",))])
    found = contrast(materia, ids)
    assert {one.pattern for one in found.apart} == {"flavor:sour", "channel:heart"}
    assert all(one.firm for one in found.apart) and found.whole
    assert "sweet" in found.shared and "enters the lung" in found.shared


def test_what_is_only_not_said_comes_last_and_is_marked(tmp_path: Path) -> None:
    """An action that one states and the other does not mention tells them apart, but not firmly."""
    herbs = [{"id": f"x-{name}", "category": "warm-interior"} for name in "ab"]
    actions = [{"subject": "x-a", "action": "relieve-pain", "polarity": "does"}]
    found = contrast(load(little(tmp_path / "package", herbs=herbs, herb_actions=actions)), ["x-a", "x-b"])
    assert [(one.pattern, one.firm) for one in found.apart] == [("action:relieve-pain", False)]


def test_safety_comes_before_a_flavor(tmp_path: Path) -> None:
    """Where one fact is enough, a graded toxicity is preferred to a flavour and a law to neither."""
    herbs = [
        {"id": "x-a", "toxicity": "toxic", "flavors": "sour", "status": "restricted"},
        {"id": "x-b", "toxicity": "none", "flavors": "sweet"},
    ]
    found = contrast(load(little(tmp_path / "package", herbs=herbs)), ["x-a", "x-b"])
    assert [(one.pattern, one.safety) for one in found.apart] == [("toxicity:toxic..", True)]


def test_a_shared_caution_is_not_hidden_by_one_on_another_matter() -> None:
    """Both are to be avoided in pregnancy and need caution with warfarin: the second says nothing of the first."""
    herbs = [{"id": f"x-{name}", "category": "warm-interior", "flavors": "sour"} for name in "ab"]
    cautions = [
        {"subject": f"x-{name}", "topic": topic, "target": target, "state": state}
        for name in "ab"
        for topic, target, state in (("pregnancy", "", "avoid"), ("drug", "warfarin", "caution"))
    ]
    found = contrast(Materia(little_package(herbs=herbs, cautions=cautions)), ["x-a", "x-b"])
    assert {"avoid in pregnancy, or stricter", "caution with warfarin, or stricter"} <= set(found.shared)


def test_the_same_twice_cannot_be_told(tmp_path: Path) -> None:
    """Two records that say the same are said to be alike, not told apart by a guess."""
    materia, ids = made([(("sour",), ("lung",))] * 2)
    found = contrast(materia, ids)
    assert (found.apart, found.whole, found.alike) == ((), False, (("x-0", "x-1"),))


def test_points_and_mixups_on_record_are_shown(tmp_path: Path) -> None:
    """A form counts for its herb in what is on record."""
    materia = load(little(tmp_path / "package"))
    points = contrast(materia, ["demo-leaf", "demo-root.zhi"]).recorded[0].points
    assert [(point.subject, point.axis) for point in points] == [("demo-leaf", "nature"), ("demo-root", "nature")]
    mixed = contrast(materia, ["demo-seed", "demo-root"]).recorded
    assert [one.kind for one in mixed] == ["name"]


def test_formulas_show_what_one_alone_has(tmp_path: Path) -> None:
    """A form counts as its herb: only the seed and only the kelp differ."""
    formula = [{"id": "other-tang", "items_complete": "yes"}]
    items = [
        {"formula": "other-tang", "position": "1", "subject": "demo-leaf", "roles": "chief"},
        {"formula": "other-tang", "position": "2", "subject": "demo-kelp", "roles": "deputy"},
    ]
    found = contrast(
        load(little(tmp_path / "package", formulas=formula, formula_items=items)), ["demo-tang", "other-tang"]
    )
    assert [(one.id, one.items) for one in found.only] == [
        ("demo-tang", ("示例子 shì lì zǐ",)),
        ("other-tang", ("示例藻 shì lì zǎo",)),
    ]
    assert found.apart[0].pattern.startswith("contains:")


@pytest.mark.parametrize("subjects", [["demo-leaf"], ["demo-leaf", "demo-leaf"], ["demo-leaf"] * 7])
def test_one_subject_has_no_contrast(tmp_path: Path, subjects: list[str]) -> None:
    """Two to six different ones."""
    with pytest.raises(ValueError, match="two to 6"):
        contrast(load(little(tmp_path / "package")), subjects)
