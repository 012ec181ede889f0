"""What a method of preparation changes, worked by hand on invented forms."""

from pathlib import Path

import pytest

from materia_data import load
from materia_data.materia import Materia
from materia_data.teach.processing import method_meant, processing
from tests.little import little


@pytest.fixture
def school(tmp_path: Path) -> Materia:
    """Three honey-fried forms and one that is only boiled."""
    forms = [
        {"id": f"demo-{herb}.mi", "herb": f"demo-{herb}", "kind": "prepared", "method": "honey-frying",
         "inherits": "all", **more}
        for herb, more in {
            "kelp": {"nature": "cool", "flavors": "salty;sweet"},
            "leaf": {"flavors": "pungent;sweet"},
            "seed": {"channels": "spleen;lung", "changes": "Milder, in words alone."},
        }.items()
    ]  # fmt: skip
    actions = [
        {"subject": "demo-kelp.mi", "action": "soften-hardness", "polarity": "does", "change": "weaker"},
        {"subject": "demo-leaf.mi", "action": "cool-blood-stop-bleeding", "polarity": "does", "change": "gains"},
        {"subject": "demo-kelp.mi", "action": "cool-blood-stop-bleeding", "polarity": "does", "change": "gains"},
        {"subject": "demo-leaf.mi", "action": "clear-heat", "site": "lung", "polarity": "does-not", "change": "loses"},
    ]
    return load(little(tmp_path / "package", forms=forms, herb_actions=actions))


def changes(materia: Materia, method: str) -> dict[tuple[str, str], tuple[int, int, tuple[str, ...]]]:
    return {(one.how, one.label): (one.holds, one.of, one.forms) for one in processing(materia, method).changed}


def test_a_flavor_that_two_forms_gain_is_counted(school: Materia) -> None:
    """Sweet is gained by 2 of 3 honey-fried forms and by none of the others."""
    found = processing(school, "honey-frying")
    sweet = next(one for one in found.changed if one.label == "sweet")
    assert (sweet.how, sweet.holds, sweet.of, sweet.rest_holds, sweet.rest_of) == ("gained", 2, 3, 0, 1)
    assert sweet.forms == ("demo-kelp.mi", "demo-leaf.mi")


def test_a_gain_reaches_the_broader_action_only_where_it_is_new(school: Materia) -> None:
    """The leaf cleared heat before, so both gain the stopping of bleeding and neither together the clearing of heat."""
    found = changes(school, "honey-frying")
    assert ("gained", "cool the blood to stop bleeding") in found
    assert ("gained", "stop bleeding") not in found  # says no more than the narrower one
    assert ("gained", "clear heat") not in found


def test_losing_a_part_is_not_losing_the_whole(tmp_path: Path) -> None:
    """Two forms that no longer cool the blood are not said to have lost all clearing of heat."""
    herbs = [{"id": "demo-leaf"}, {"id": "demo-kelp"}]
    forms = [{"id": f"{herb['id']}.mi", "herb": herb["id"], "kind": "prepared", "method": "honey-frying",
              "inherits": "all"} for herb in herbs]  # fmt: skip
    actions = [{"subject": herb["id"], "action": "cool-blood", "polarity": "does"} for herb in herbs]
    actions += [
        {"subject": form["id"], "action": "cool-blood", "polarity": "does-not", "change": "loses"} for form in forms
    ]
    found = changes(load(little(tmp_path / "package", forms=forms, herb_actions=actions)), "honey-frying")
    assert set(found) == {("lost", "cool the blood")}


def test_a_change_of_one_form_is_left_to_that_form(school: Materia) -> None:
    """Only the kelp becomes less cold: not told of the method, but the form stands in the list."""
    found = processing(school, "honey-frying")
    assert not [one for one in found.changed if one.predicate == "nature"]
    assert [(one.id, one.changes) for one in found.forms][-1] == ("demo-seed.mi", "Milder, in words alone.")
    assert found.unchanged == ()


def test_warmer_counts_among_forms_whose_nature_has_a_rank(tmp_path: Path) -> None:
    """Two forms are warmer than their herbs by rank; the third has no nature and is not counted against them."""
    herbs = [{"id": f"x-{name}", "nature": nature} for name, nature in (("a", "cool"), ("b", "cold"), ("c", ""))]
    forms = [
        {"id": f"{herb['id']}.jiang", "herb": herb["id"], "kind": "prepared", "method": "ginger-frying",
         "inherits": "all", "nature": "warm" if herb["nature"] else ""}
        for herb in herbs
    ]  # fmt: skip
    found = changes(load(little(tmp_path / "package", herbs=herbs, forms=forms)), "ginger-frying")
    assert found == {("warmer", "nature"): (2, 2, ("x-a.jiang", "x-b.jiang"))}


def test_a_broader_method_takes_in_the_narrower(school: Materia) -> None:
    """Frying with honey is frying."""
    assert len(processing(school, "stir-frying").forms) == 3


def test_a_form_that_starts_empty_has_lost_nothing(tmp_path: Path) -> None:
    """A form that inherits safety alone does not state what it leaves out."""
    forms = [
        {"id": f"demo-{herb}.mi", "herb": f"demo-{herb}", "kind": "prepared", "method": "honey-frying",
         "inherits": "safety"}
        for herb in ("kelp", "leaf")
    ]  # fmt: skip
    found = processing(load(little(tmp_path / "package", forms=forms)), "honey-frying")
    assert found.changed == () and found.unchanged == ("demo-kelp.mi", "demo-leaf.mi")


@pytest.mark.parametrize("text", ["honey-frying", "蜜炙", "frying with honey", "method:honey-frying"])
def test_a_method_is_known_by_its_names(school: Materia, text: str) -> None:
    """Id, Chinese and English name, and the pattern mean the method."""
    assert method_meant(school, text) == "honey-frying"


def test_what_is_no_method_is_none(school: Materia) -> None:
    """A category is no method; an unknown method is answered with the nearest."""
    assert method_meant(school, "clear-heat") == ""
    with pytest.raises(KeyError, match="Did you mean honey-frying"):
        processing(school, "hony-frying")


def test_the_shipped_methods_do_what_the_trade_says() -> None:
    """Common practice, no source: wine leads upward, charring stops bleeding, honey moistens the lung, ginger stops
    vomiting."""
    materia = load()
    for method, how, label in (
        ("wine-frying", "gained", "ascending in direction"),
        ("charring", "gained", "stop bleeding"),
        ("honey-frying", "gained", "moisten the lung"),
        ("ginger-frying", "gained", "stop vomiting"),
    ):
        one = next(one for one in processing(materia, method).changed if (one.how, one.label) == (how, label))
        assert one.holds / one.of > one.rest_holds / one.rest_of
