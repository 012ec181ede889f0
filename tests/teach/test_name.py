"""Messy names: the list `messy_names.csv`, and names that could hurt if one were silently taken for another."""

import csv
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from materia_data.find import find
from materia_data.kept import open_kept
from materia_data.materia import Materia, load
from materia_data.names.index import build_index
from materia_data.teach.name import Named, name
from tests.little import little, little_package

ROWS = list(csv.DictReader(Path(__file__).with_name("messy_names.csv").open(encoding="utf-8", newline="")))


@pytest.fixture(scope="module")
def shipped() -> Materia:
    return load()


def best(named: Named) -> set[str]:
    """The ids with the highest score."""
    return {one.id for one in named.candidates if one.score == named.candidates[0].score}


def warned(named: Named, *words: str) -> bool:
    return any(all(word in warning for word in words) for warning in named.warnings)


@pytest.mark.parametrize("part", ["tune", "look-1", "look-2", "look-3"])
def test_messy_names_land_on_their_subject(
    part: str, shipped: Materia, record_property: Callable[[str, object], None]
) -> None:
    """Of the names of the list at least 98 in 100 come first; of those tuned on or mended after, 97 in each part.

    `tune` was worked with. The others were written unseen and looked at once each, one after the other: 235 of 244 of
    `look-1` came first, its faults were mended; 143 of 148 of `look-2`, mended likewise; 120 of 120 of `look-3`, after
    which nothing was changed. What is still missed stays in the list: names that several share, one not on record.
    """
    rows = [row for row in ROWS if row["half"] == part and row["subject"] in shipped]
    missed, stored = _missed(shipped, rows)
    said = f"{len(rows)} messy names, {part}, {stored} of them stored as they stand"
    record_property("sample", f"{said}: {1 - len(missed) / len(rows):.1%} first, missed {missed}")
    assert len(missed) <= (0.02 if part == "look-3" else 0.03) * len(rows), missed
    every = [row for row in ROWS if row["subject"] in shipped]
    assert len(_missed(shipped, every)[0]) <= 0.02 * len(every)


def _missed(materia: Materia, rows: list[dict[str, str]]) -> tuple[list[str], int]:
    """The texts whose first candidate is another subject, and how many are stored names as they stand."""
    missed, stored = [], 0
    for row in rows:
        found = materia.resolve(row["text"])
        stored += bool(found) and found[0].score == 1
        if not found or found[0].id != row["subject"]:
            missed.append(f"{row['how']}: {row['text']}")
    return missed, stored


def test_the_list_is_long_and_of_many_kinds(shipped: Materia) -> None:
    """At least 400 texts name a subject of the package, no text twice, none the very id, of twenty kinds and more."""
    rows = [row for row in ROWS if row["subject"] in shipped]
    assert len(rows) >= 400
    assert len({row["text"] for row in rows}) == len(rows)
    assert not [row for row in rows if row["text"] == row["subject"]]
    assert len({row["how"] for row in rows}) >= 20
    assert all(row["source"] for row in rows)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("防己", {"fang-ji", "guang-fang-ji"}),
        ("fang2 ji3", {"fang-ji", "guang-fang-ji"}),
        ("木防己", {"fang-ji", "guang-fang-ji"}),
        ("da ji", {"da-ji", "jing-da-ji", "hong-da-ji"}),
        ("ta-chi", {"da-ji", "jing-da-ji", "hong-da-ji"}),
        ("贝母", {"chuan-bei-mu", "zhe-bei-mu"}),
        ("乌头", {"chuan-wu", "cao-wu"}),
        ("二冬", {"tian-dong", "mai-dong"}),
        ("龍牡", {"long-gu", "mu-li"}),
        ("豆根", {"shan-dou-gen", "bei-dou-gen"}),
        ("Aconitum carmichaelii", {"chuan-wu", "fu-zi"}),
    ],
)
def test_equal_scores_where_the_text_does_not_tell(text: str, meant: set[str], shipped: Materia) -> None:
    """Names that several share, as the trade knows (common practice, no source), are not put in an order."""
    found = name(shipped, text)
    assert meant <= best(found), found.candidates
    assert found.warnings


@pytest.mark.parametrize(("text", "first"), [("dà jì", "da-ji"), ("大蓟", "da-ji"), ("大薊", "da-ji")])
def test_tones_and_characters_tell_what_bare_letters_do_not(text: str, first: str, shipped: Materia) -> None:
    """dà jì is the thistle, dà jǐ the spurge: with tones or characters neither is offered as the other's equal."""
    assert best(name(shipped, text)) == {first}
    assert first not in best(name(shipped, "dà jǐ"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("木通", ("关木通", "destroys the kidney")),
        ("mu tong", ("关木通",)),
        ("三七", ("菊三七",)),
        ("tu san qi", ("菊三七", "withdrawn")),
        ("土三七", ("三七", "liver")),
        ("关木通", ("withdrawn",)),
        ("白附子", ("白附片", "toxic")),
        ("白附片", ("白附子", "toxic")),
        ("二冬", ("several at once", "天冬", "麦冬")),
        ("贝母", ("general name",)),
        ("山木通", ("Only a part was understood",)),
        ("pinelia rhizone", ("nearest",)),
    ],
)
def test_what_is_uncertain_or_would_hurt_is_said(text: str, words: tuple[str, ...], shipped: Materia) -> None:
    """Look-alikes that hurt, general and joint names, what was withdrawn and what was only partly understood."""
    assert warned(name(shipped, text), *words), name(shipped, text).warnings


def test_a_plain_name_without_a_dangerous_double_has_no_warning(shipped: Materia) -> None:
    """Warnings are not printed at everything: 麦芽 is 麦芽."""
    assert name(shipped, "麦芽").warnings == ()


def test_harm_alone_makes_two_readings_equal() -> None:
    """The same two by-names are ordered when both are harmless, and equal when one of them is toxic."""

    def two(toxicity: str) -> list[tuple[str, float]]:
        herbs = [
            {"id": "demo-leaf", "name_hans": "甲乙", "name_hant": "甲乙", "pinyin": "jiǎ yǐ"},
            {"id": "demo-kelp", "name_hans": "丙乙", "name_hant": "丙乙", "pinyin": "bǐng yǐ", "toxicity": toxicity},
        ]
        rows = [{"subject": "demo-kelp", "name": "甲乙", "lang": "zh-Hans", "kind": "trade"}]
        package = little_package(herbs=herbs, names=rows)
        return [(one.id, one.score) for one in find(package, "jia yi") if one.score >= 0.95]

    assert two("unmarked") == [("demo-leaf", 0.97), ("demo-kelp", 0.95)]
    assert two("toxic") == [("demo-leaf", 0.97), ("demo-kelp", 0.97)]


@pytest.mark.parametrize(
    ("text", "least", "most"),
    [("半夏", 1, 1), ("PINELLIAE RHIZOMA", 1, 1), ("banxia", 0.95, 0.99), ("pan-hsia", 0.95, 1), ("bna xia", 0, 0.94),
     ("Rhizoma Pinelliae", 0.9, 0.95), ("伴夏", 0.9, 0.94)],
)  # fmt: skip
def test_a_score_says_how_sure(text: str, least: float, most: float, shipped: Materia) -> None:
    """1 the stored name, 0.95 and more the same reading, less where letters, words or characters differ."""
    first = shipped.resolve(text)[0]
    assert first.id == "ban-xia" and least <= first.score <= most


@pytest.mark.parametrize(
    "text",
    ["", "   ", "\x00\x07\x1b[31m", "\u202eban xia", "\ud800", "🌿", "'", "-", "1", "五" * 10_000, "ban " * 2_500,
     "x" * 10_000, "半夏" * 5_000, "ˉˊˇˋ", "%s{}", "a\u0301" * 500, "'" * 999],
)  # fmt: skip
def test_no_text_is_too_odd(text: str, shipped: Materia) -> None:
    """Empty, long, control, half and unknown characters give an answer, perhaps an empty one."""
    found = name(shipped, text)
    assert len(found.candidates) <= 10
    assert all(0 < one.score <= 1 for one in found.candidates)
    assert warned(found, "first 2,000") == (len(text) > 2_000)


@settings(max_examples=60, deadline=None)
@given(text=st.text(max_size=60))
def test_any_text_gives_ranked_answers_once_each(text: str) -> None:
    """Best first, no subject twice, the same answer for the same text."""
    found = LITTLE.resolve(text)
    assert [one.score for one in found] == sorted((one.score for one in found), reverse=True)
    assert len({one.id for one in found}) == len(found)
    assert found == LITTLE.resolve(text)


LITTLE = Materia(little_package())


def test_nothing_near_is_nothing(shipped: Materia) -> None:
    """A word that is no name, and like none, gives no candidate and no warning."""
    assert name(shipped, "zzzz") == Named((), ())


def test_names_cost_nothing_where_nobody_asks_for_one(little_package: Path) -> None:
    """Help, load and check bring in neither the index of names nor rapidfuzz."""
    code = (
        "import sys; from materia_data.cli import main; from materia_data import load; root = sys.argv[1];"
        "load(root); main(['--help']); main(['check', '--data', root]);"
        "assert not {'rapidfuzz', 'materia_data.names.index'} & sys.modules.keys(), 'loaded';"
        "load(root).resolve('dmo klep'); assert 'rapidfuzz' in sys.modules"
    )
    words = [sys.executable, "-c", code, str(little_package)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr[-600:]


def test_invisible_marks_do_not_hide_a_name(shipped: Materia) -> None:
    """Control, direction and zero-width characters are passed over."""
    assert shipped.resolve("\u202e半\u200b夏\ufeff")[0].score == 1


def test_names_read_back_from_disk_answer_alike(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A package opened a second time answers from what was kept as it does from its files."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    root = little(tmp_path / "package")
    open_kept(root)
    kept, fresh = open_kept(root), load(root)
    assert kept.names == fresh.names == build_index(fresh.package)
    for text in ("demo-kelp", "kelp", "demo"):
        assert kept.resolve(text) == fresh.resolve(text)
