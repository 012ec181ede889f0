"""The whole record of one subject: everything on record is there, safety first."""

from pathlib import Path

import pytest

from materia_data import load
from materia_data.materia import Materia
from materia_data.teach.show import Shown, show
from tests.little import little


def texts(shown: Shown, title: str) -> list[str]:
    return [line.text for section in shown.sections if section.title == title for line in section.lines]


@pytest.fixture
def school(tmp_path: Path) -> Materia:
    return load(little(tmp_path / "package"))


def test_safety_names_every_caution_and_what_is_not_checked(school: Materia) -> None:
    """Toxicity, cautions, opposites and ceilings before anything else, and the silence with them."""
    root = show(school, "demo-root")
    said = [line.text for line in root.safety]
    assert said[0] == "toxicity: toxic"
    assert "contraindicated in pregnancy. Not in pregnancy (It is toxic)" in said
    assert "not combined with 示例藻 shì lì zǎo" in said
    assert "a bare name means 制示例根 zhì shì lì gēn" in said
    assert "breast-feeding" in root.not_checked and "pregnancy" not in root.not_checked


def test_a_form_shows_what_it_takes_from_its_herb(school: Materia) -> None:
    """The prepared root keeps the caution, and has its own ceiling, days and boiling."""
    said = [line.text for line in show(school, "demo-root.zhi").safety]
    assert any(text.startswith("contraindicated in pregnancy") for text in said)
    assert "ceiling 3 g (decoction, adults)" in said and "no longer than 14 days" in said
    assert any(text.startswith("required: decoct first") for text in said)


def test_actions_stand_as_they_are_taught(tmp_path: Path) -> None:
    """The chief action first, be it not the first by name, and what it is stated not to do among them."""
    actions = [
        {"subject": "demo-seed", "action": "clear-heat", "polarity": "does", "weight": "minor"},
        {"subject": "demo-seed", "action": "warm-interior", "polarity": "does", "weight": "chief", "position": "2"},
        {"subject": "demo-seed", "action": "relieve-pain", "polarity": "does", "weight": "chief", "position": "1"},
    ]
    shown = show(load(little(tmp_path / "package", herb_actions=actions)), "demo-seed")
    assert texts(shown, "What it does") == [
        "relieve pain [chief]",
        "warm the interior [chief]",
        "stop bleeding [secondary]",
        "clear heat [minor]",
    ]
    assert "does not soften hardness" in texts(show(load(tmp_path / "package"), "demo-leaf"), "What it does")


def test_formulas_that_use_it_are_named_with_role_amount_and_reason(tmp_path: Path) -> None:
    """A form in a formula counts for its herb."""
    items = [{"formula": "demo-tang", "position": "3", "subject": "demo-root.zhi", "roles": "deputy", "amount_g": "3"}]
    materia = load(little(tmp_path / "package", formula_items=items))
    assert texts(show(materia, "demo-leaf"), "In formulas") == [
        "示例汤 shì lì tāng [demo-tang]: chief 6 g. Clears heat from the lung."
    ]
    assert "as 制示例根" in texts(show(materia, "demo-root"), "In formulas")[0]


def test_what_else_comes_from_the_same_plant_is_named(tmp_path: Path) -> None:
    """Another drug of the same taxon, with its part; a form of the same herb is no other drug."""
    species = [{"subject": "demo-leaf", "taxon": "demo-planta", "part": "leaf", "status": "official"}]
    materia = load(little(tmp_path / "package", species=species))
    title = "Same plant, animal or mineral"
    assert texts(show(materia, "demo-leaf"), title) == ["示例根 shì lì gēn [demo-root]: root of Demo planta, official"]
    assert texts(show(materia, "demo-root"), title) == ["示例叶 shì lì yè [demo-leaf]: leaf of Demo planta, official"]


def test_a_dispute_shows_both_sides_and_another_order_is_none(tmp_path: Path) -> None:
    """The other source's value beside ours; the same list in another order is no disagreement."""
    word = {"about_table": "herbs", "record": "demo-kelp", "value": "", "basis": "collated", "locator": "p. 1"}
    cited = [
        {**word, "column": "nature", "stated": "cool", "source": "demo-book"},
        {**word, "column": "channels", "stated": "kidney;liver;stomach", "source": "demo-book"},
    ]
    shown = show(load(little(tmp_path / "package", citations=cited)), "demo-kelp")
    assert texts(shown, "Sources disagree") == ["nature: cool (here: cold)"]
    assert ("demo-book", "An invented textbook 1") in shown.sources


def test_a_formula_shows_what_its_items_bring(tmp_path: Path) -> None:
    """The leaf's caution is the formula's too, and names who brings it; the formula's own stands once."""
    own = [{"subject": "demo-tang", "topic": "lactation", "state": "avoid"}]
    said = [line.text for line in show(load(little(tmp_path / "package", cautions=own)), "demo-tang").safety]
    assert "caution in pregnancy: 示例叶 shì lì yè" in said
    assert [text for text in said if "breast-feeding" in text] == ["avoid in breast-feeding"]


def test_every_shipped_record_can_be_shown_and_no_caution_is_left_out() -> None:
    """Each effective caution of every subject stands in its safety section."""
    materia = load()
    for subject in list(materia)[::7]:
        shown = show(materia, subject)
        safety = " ".join(line.text for line in shown.safety)
        states = {fact.value for fact in materia.facts.of(subject, "caution")}
        assert not [state for state in states if state.replace("none-stated", "none stated") not in safety], subject
        if any(fact.value in ("slight", "toxic", "very-toxic") for fact in materia.facts.of(subject, "toxicity")):
            assert safety.startswith(("toxicity", "status")), subject


def test_nobody_is_shown_under_a_name_that_is_no_id(school: Materia) -> None:
    """Names are the command's to read."""
    with pytest.raises(KeyError):
        show(school, "demo-lief")
