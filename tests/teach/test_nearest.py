"""The nearest, and what may stand in for what cannot be used."""

from pathlib import Path

import pytest

from materia_data import load
from materia_data.materia import Materia
from materia_data.teach.nearest import WANTS, nearest
from tests.little import little

# x-near is like x-asked in all but one channel, x-far in its nature only.
HERBS: list[dict[str, object]] = [
    {
        "id": "x-asked",
        "nature": "cold",
        "flavors": "salty;bitter",
        "channels": "kidney;liver",
        "category": "clear-heat",
    },
    {"id": "x-near", "nature": "cold", "flavors": "salty;bitter", "channels": "kidney", "category": "clear-heat"},
    {"id": "x-far", "nature": "cold", "flavors": "sweet", "channels": "heart", "category": "warm-interior"},
]


def school(folder: Path, **tables: list[dict[str, object]]) -> Materia:
    given = {row["id"]: row for row in tables.pop("herbs", [])}
    herbs = [row | given.pop(row["id"], {}) for row in HERBS] + list(given.values())
    return load(little(folder / "package", herbs=herbs, **tables))


def ids(materia: Materia, why: str = "", most: int = 5) -> list[str]:
    return [one.id for one in nearest(materia, "x-asked", most, instead=why).subjects]


def test_the_nearest_stands_first_and_the_subject_is_not_its_own_neighbour(tmp_path: Path) -> None:
    """Ordered by likeness, no more than asked, only medicinals beside a medicinal."""
    materia = school(tmp_path)
    found = nearest(materia, "x-asked", 3)
    assert found.subjects[0].id == "x-near"
    assert [one.likeness for one in found.subjects] == sorted((one.likeness for one in found.subjects), reverse=True)
    assert len(found.subjects) == 3 and "x-asked" not in ids(materia)
    assert {materia.facts.kind(one.id) for one in found.subjects} == {"herbs"}


def test_what_the_stand_in_lacks_of_the_chief_work_is_said(tmp_path: Path) -> None:
    """A chief action that is not stated of it is named, one that a narrower word states is not."""
    actions = [
        {"subject": "x-asked", "action": "stop-bleeding", "polarity": "does", "weight": "chief"},
        {"subject": "x-asked", "action": "relieve-pain", "polarity": "does", "weight": "chief"},
        {"subject": "x-near", "action": "cool-blood-stop-bleeding", "polarity": "does"},
    ]
    found = nearest(school(tmp_path, herb_actions=actions), "x-asked")  # type: ignore[arg-type]
    assert next(one for one in found.subjects if one.id == "x-near").lacks == ("relieve pain",)


def test_in_pregnancy_any_caution_leaves_it_out_and_silence_is_no_permission(tmp_path: Path) -> None:
    """The near one carries a mild caution and is gone; the far one carries none and is shown as not checked."""
    caution = [{"subject": "x-near", "topic": "pregnancy", "state": "caution"}]
    found = nearest(school(tmp_path, cautions=caution), "x-asked", instead="pregnancy")  # type: ignore[arg-type]
    assert "x-near" not in [one.id for one in found.subjects]
    assert "not checked, which is no permission" in next(one for one in found.subjects if one.id == "x-far").warning
    assert "licensed practitioner" in found.note


def test_plant_only_leaves_animals_out(tmp_path: Path) -> None:
    """What is an animal or a part of one does not stand in."""
    traits = [{"id": "animal", "name_en": "animal", "kind": "origin"}]
    parts = [{"id": "whole-animal", "name_en": "whole animal"}]
    kinds = ("insect", "shell", "horn-bone", "gelatin")
    traits += [{"id": kind, "broader": "animal", "name_en": kind, "kind": "origin"} for kind in kinds]
    materia = school(tmp_path, herbs=[{"id": "x-near", "traits": "shell"}], traits=traits, parts=parts)  # type: ignore[arg-type, list-item]
    assert "x-near" in ids(materia) and "x-near" not in ids(materia, "plant-only")


def test_what_is_withdrawn_stands_in_for_nothing(tmp_path: Path) -> None:
    """Only current medicinals are offered, whatever the reason."""
    materia = school(tmp_path, herbs=[{"id": "x-near", "status": "withdrawn"}])
    assert "x-near" in ids(materia)
    assert not [why for why in WANTS if "x-near" in ids(materia, why)]


def test_the_lawful_substitute_stands_first_with_its_ratio(tmp_path: Path) -> None:
    """What a law names comes before what is more alike."""
    control = [
        {"subject": "x-asked", "level": "banned", "jurisdiction": "demoland", "substitute": "x-far",
         "substitute_ratio": "10"}
    ]  # fmt: skip
    found = nearest(school(tmp_path, controls=control), "x-asked", instead="banned")  # type: ignore[arg-type]
    assert (found.subjects[0].id, found.subjects[0].lawful) == ("x-far", "lawful substitute, 10 g for one gram")


def test_a_form_is_compared_with_forms_of_other_medicinals(tmp_path: Path) -> None:
    """Its own sister forms are no neighbours: they are the same drug."""
    found = nearest(load(little(tmp_path / "package")), "demo-root.zhi")
    assert [one.id for one in found.subjects] == []


def test_an_unknown_reason_is_refused(tmp_path: Path) -> None:
    """A reason that is none names those that are."""
    with pytest.raises(KeyError, match="plant-only"):
        nearest(school(tmp_path), "x-asked", instead="dear")
