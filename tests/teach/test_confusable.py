"""The mix-ups that would hurt most, worked by hand on invented names."""

from pathlib import Path
from typing import Any

import pytest

from materia_data import load
from materia_data.teach.confusable import Confusable, confusable
from tests.little import little

# 甲子叶 and 甲丑叶 share two of three characters: 2 * 2 / 6 = 0.667 alike as written.
HERBS: list[dict[str, object]] = [
    {"id": "x-a", "name_hans": "甲子叶", "pinyin": "jiǎ zǐ yè", "toxicity": "very-toxic"},
    {"id": "x-b", "name_hans": "甲丑叶", "pinyin": "jiǎ chǒu yè", "toxicity": "none"},
    {"id": "x-c", "name_hans": "乙卯根", "pinyin": "yǐ mǎo gēn", "toxicity": "none"},
]


def pairs(folder: Path, **tables: Any) -> dict[tuple[str, str], Confusable]:
    given = {row["id"]: row for row in tables.pop("herbs", [])}
    herbs = [row | given.get(row["id"], {}) for row in HERBS]
    return {(one.a, one.b): one for one in confusable(load(little(folder / "package", herbs=herbs, **tables)), 1000)}


def test_alike_in_name_and_unlike_in_harm_is_told(tmp_path: Path) -> None:
    """Likeness of the names, plus a tenth of that of the facts, times the harm that only one carries."""
    one = pairs(tmp_path)["x-a", "x-b"]
    assert one.harm == 1.0 and one.name >= 0.667
    assert one.rank == pytest.approx(one.name + 0.1 * one.facts, abs=0.002)
    assert "甲子叶: very toxic" in one.why and not one.recorded


def test_equal_harm_is_no_danger_of_a_mix_up(tmp_path: Path) -> None:
    """Two that are toxic alike, and two that are harmless alike, are not told."""
    found = pairs(tmp_path, herbs=[{"id": "x-b", "toxicity": "very-toxic"}])
    assert ("x-a", "x-b") not in found and ("x-b", "x-c") not in found


def test_unlike_names_are_told_only_if_the_mix_up_is_on_record(tmp_path: Path) -> None:
    """A look-alike with another name is worth nine tenths of the same name."""
    assert ("x-a", "x-c") not in pairs(tmp_path / "a")
    recorded = [{"a": "x-a", "b": "x-c", "kind": "look"}]
    one = pairs(tmp_path / "b", confusions=recorded)["x-a", "x-c"]
    assert one.recorded and one.rank >= 0.9


def test_the_worst_stands_first_and_no_more_than_asked(tmp_path: Path) -> None:
    """Ranked by likeness times harm."""
    ranks = [one.rank for one in pairs(tmp_path / "a").values()]
    assert ranks == sorted(ranks, reverse=True) and len(ranks) > 1
    assert len(confusable(load(little(tmp_path / "b")), 1)) == 1


def test_the_shipped_data_name_the_mixups_that_hurt_people() -> None:
    """Common practice, no source: three mix-ups that every school warns of."""
    told = {frozenset((one.a_name, one.b_name)) for one in confusable(load(), 40)}
    assert told >= {frozenset(pair) for pair in (("木通", "关木通"), ("防己", "广防己"), ("三七", "菊三七"))}
