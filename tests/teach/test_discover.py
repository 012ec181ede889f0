"""Groups nobody wrote down, against every set of one or two facts tried in turn."""

from collections.abc import Sequence
from itertools import combinations
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from materia_data import load
from materia_data.materia import Materia
from materia_data.teach.discover import discover
from tests.little import little, little_package
from tests.ruletext import rule

ACTIONS = ("relieve-pain", "stop-bleeding", "soften-hardness", "free-stool")
TRAITS = ("aromatic", "oily", "mineral")
herbs = st.lists(
    st.tuples(st.sets(st.sampled_from(ACTIONS)), st.sets(st.sampled_from(TRAITS))), min_size=4, max_size=12
)
Herb = tuple[set[str], set[str]]


def made(given_: Sequence[Herb]) -> Materia:
    """Each medicinal in a category of its own; those of the little package are left without actions and traits."""
    tables: dict[str, list[dict[str, object]]] = {
        "categories": [{"id": f"c-{n}", "scheme": "herbs"} for n in range(len(given_))],
        "herbs": [{"id": f"x-{n:02}", "category": f"c-{n}", "traits": ";".join(sorted(traits))}
                  for n, (_, traits) in enumerate(given_)],
        "herb_actions": [
            {"subject": f"x-{n:02}", "action": action, "polarity": "does"}
            for n, (actions, _) in enumerate(given_)
            for action in sorted(actions)
        ],
    }  # fmt: skip
    quiet = [{"id": id, "traits": "", "nature": ""} for id in ("demo-kelp", "demo-leaf", "demo-root", "demo-seed")]
    tables["herbs"] += quiet
    package = little_package(**tables)
    actions = package.tables["herb_actions"].columns
    for n, subject in enumerate(actions["subject"]):
        if subject.startswith("demo-"):
            actions["subject"][n] = "nobody"
    return Materia(package)


def by_hand(given_: Sequence[Herb]) -> dict[frozenset[str], int]:
    """Every set of 3 to 9 that an action, or an action with one more fact, marks out: with how many facts."""
    having = {
        fact: frozenset(f"x-{n:02}" for n, (actions, traits) in enumerate(given_) if fact in actions | traits)
        for fact in (*ACTIONS, *TRAITS)
    }
    found: dict[frozenset[str], int] = {}
    for size in (1, 2):
        for facts in combinations(having, size):
            members = frozenset.intersection(*(having[fact] for fact in facts))
            both_needed = size == 1 or members not in [having[fact] for fact in facts]
            if set(facts) & set(ACTIONS) and 3 <= len(members) <= 9 and both_needed:
                found.setdefault(members, size)
    return found


@settings(max_examples=100, deadline=None)
@given(herbs)
def test_every_group_is_found_once_or_mostly_shown_by_a_better_one(given_: list[Herb]) -> None:
    """The same sets as by brute force, each under as few facts; what is left out is half shown by what stands."""
    right = by_hand(given_)
    found = discover(made(given_), most=1000)
    shown = {frozenset(one.subjects): one.pattern.count(" and ") + 1 for one in found}
    assert len(shown) == len(found)
    assert shown.items() <= right.items()
    for members in right.keys() - shown.keys():
        assert any(2 * len(members & other) > len(members) for other in shown)


def school(folder: Path, **more: Any) -> Materia:
    """Fourteen medicinals of as many categories: 11 relieve pain, 6 are minerals, 3 both; 4 others besides."""
    categories = [{"id": f"c-{n}", "scheme": "herbs"} for n in range(14)]
    herbs = [{"id": f"x-{n:02}", "category": f"c-{n}", "traits": "mineral" if n >= 8 else ""} for n in range(14)]
    actions = [{"subject": f"x-{n:02}", "action": "relieve-pain", "polarity": "does"} for n in range(11)]
    return load(little(folder, categories=categories, herbs=herbs, herb_actions=actions, **more))


PAIR = "action:relieve-pain and trait:mineral"


def test_lift_is_how_much_more_often_than_by_chance(tmp_path: Path) -> None:
    """3 of 18 where chance gives 11/18 * 6/18: 0.8 times as often."""
    found = {one.pattern: one for one in discover(school(tmp_path))}
    assert found[PAIR].subjects == ("x-08", "x-09", "x-10") and found[PAIR].lift == 0.8
    assert found[PAIR].label == "relieve pain and mineral"


def test_what_a_rule_says_is_no_discovery(tmp_path: Path) -> None:
    """A group is left out if a rule that holds of somebody expects one of its facts of the other."""
    text = rule(
        id="minerals-ease", when="trait:mineral", expect="action:relieve-pain", explains="trait:mineral",
        holds=[PAIR], breaks=["trait:mineral"], strength="tends",
    )  # fmt: skip
    assert PAIR not in {one.pattern for one in discover(school(tmp_path, rules={"demo.toml": text}))}


def test_one_category_is_no_discovery(tmp_path: Path) -> None:
    """What only members of two categories share is what a category is for."""
    herbs = [{"id": f"x-{n}", "category": "clear-heat" if n else "warm-interior"} for n in range(4)]
    actions = [{"subject": f"x-{n}", "action": "free-stool", "polarity": "does"} for n in range(4)]
    assert not [
        one
        for one in discover(load(little(tmp_path / "p", herbs=herbs, herb_actions=actions)))
        if "free" in one.pattern
    ]
