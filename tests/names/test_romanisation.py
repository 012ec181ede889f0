"""Readings and Wade–Giles against an independent library (pypinyin) and published pairs."""

import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypinyin import Style
from pypinyin.style import convert

from materia_data.materia import load
from materia_data.names import wade_giles as module
from materia_data.names.hearing import heard
from materia_data.names.reading import Reading, reading
from materia_data.names.wade_giles import careless, wade_giles, written

TABLE = [
    line.split("\t")
    for line in Path(module.__file__).with_name("syllables.tsv").read_text(encoding="utf-8").splitlines()
    if not line.startswith("#")
][1:]
UNLIKE = {"chua", "huo", "shuo", "tie"} | {
    syllable for syllable, _ in TABLE if syllable in {"ai", "hai", "lai", "mai", "nai", "sai", "shai", "wai", "yai"}
}


def syllables() -> list[str]:
    package = load().package
    cells = [cell for table in ("herbs", "forms", "formulas") for cell in package.tables[table].columns["pinyin"]]
    return sorted({syllable for cell in cells for syllable in cell.casefold().split()})


def test_the_table_agrees_with_pypinyin() -> None:
    """Each syllable is spelled as pypinyin 0.55 spells it, but for thirteen where that library is at odds with the
    Library of Congress table (it writes ei for ai, t'oeh for t'ieh, sho for shuo)."""
    unlike = {one for one, ours in TABLE if convert(one, Style.WADEGILES, True).replace("v", "ü") != ours}
    assert unlike == UNLIKE
    assert len(TABLE) > 400


def test_every_syllable_of_the_data_is_in_the_table() -> None:
    """No stored reading is without a spelling in Wade–Giles."""
    assert not [one for one in syllables() if not wade_giles(one)]


@pytest.mark.parametrize(
    ("pinyin", "spelled"),
    [("běi jīng", "peiching"), ("sì chuān", "ssuch'uan"), ("qīng dǎo", "ch'ingtao"), ("lǚ", "lü"),
     ("xú zhōu", "hsüchou"), ("guǎng dōng", "kuangtung"), ("zǐ", "tzu"), ("rén", "jen"),
     ("ér", "erh"), ("hé", "ho"), ("xióng", "hsiung")],
)  # fmt: skip
def test_well_known_names_in_wade_giles(pinyin: str, spelled: str) -> None:
    """Place names and words as atlases of the Wade–Giles time print them (common practice, no source)."""
    assert wade_giles(pinyin) == spelled


def test_a_syllable_outside_the_table_has_no_spelling() -> None:
    """Nothing is made up for what is no syllable."""
    assert wade_giles("xyz") == "" and wade_giles("bàn xyz") == ""


def test_signs_are_kept_or_dropped() -> None:
    """Curly and reversed apostrophes count as one; printed carelessly, apostrophes and dots are gone."""
    assert written("Ch’uan-Hsiung") == written("ch‘uan hsiung") == "ch'uanhsiung"
    assert careless("ch'uan hsiung") == "chuanhsiung" and careless("lü-tou") == "lutou"


def test_tone_numbers_are_the_marks_of_pypinyin() -> None:
    """Every syllable of the data, its tone written as a number by pypinyin, reads as the marked one does (ISO 7098)."""
    for syllable in syllables():
        numbered = convert(syllable, Style.TONE3, True)
        assert reading(numbered) == reading(syllable), (syllable, numbered)


@pytest.mark.parametrize("text", ["nǚ", "nv3", "nu:3", "NÜ3", "nǚ".upper(), unicodedata.normalize("NFD", "nǚ")])
def test_every_way_to_write_u_with_dots(text: str) -> None:
    """ü, v and u: are one letter; composed and decomposed marks are one mark."""
    assert reading(text) == Reading("nu", ".3")


def test_a_tone_left_out_contradicts_nothing_and_a_wrong_one_does() -> None:
    """bò he and bò hé agree; dà jì and dà jǐ do not."""
    assert reading("bò he").agrees(reading("bò hé"))
    assert not reading("dà jì").agrees(reading("dà jǐ"))
    assert not reading("dà jì").agrees(reading("tā jì"))


@pytest.mark.parametrize(
    ("one", "other", "ears"),
    [("zhī", "zi", "local"), ("lián", "nian", "local"), ("fēng", "fen", "local"), ("rén", "len", "local"),
     ("hú", "fu", "local"), ("huáng", "wan", "local"), ("qī", "chi", "foreign"), ("xiān", "shian", "foreign"),
     ("bái", "pai", "foreign")],
)  # fmt: skip
def test_sounds_that_are_confused_fold_together(one: str, other: str, ears: str) -> None:
    """Mergers of many dialects, and those of an untrained ear (common practice, no source)."""
    assert heard(reading(one).base, ears) == heard(reading(other).base, ears)


def test_sounds_that_are_told_apart_stay_apart() -> None:
    """Folding does not make everything one: no vowel changes into another."""
    assert len({heard(base, "foreign") for base in ("ba", "bi", "bu", "mai", "mei", "gou", "gao")}) == 7


@given(st.text(max_size=40))
def test_any_text_has_a_reading_or_none(text: str) -> None:
    """Letters a to z with one mark each, whatever comes in."""
    found = reading(text)
    assert len(found.base) == len(found.marks)
    assert not set(found.base) - set("abcdefghijklmnopqrstuvwxyz") and not set(found.marks) - set(".01234")
