"""The committed table of characters against Unihan, pypinyin and OpenCC, none of which `check` loads."""

import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest

from materia_data.check.checks._scripts import toneless
from materia_data.check.readings import characters, words
from tools import readings as tool

TABLE = characters()
MENDED = {row[0] for row in tool._tsv(tool.ROOM / "mended.tsv")}
PAIRS = """
术zhú 没mò 芎xiōng 重chóng 蛤gé 壳qiào 吐tù 菟tù 萹biān 荷he 阿ē 咽yān 分fèn 淋lìn 藏zàng 芫yuán 朴pò 朮zhú 沒mò 乾gān
血xuè 柏bǎi 参shēn 參shēn 曲qū 斛hú
"""
READ = {pair[0]: pair[1:] for pair in PAIRS.split()}
UNLIKE = Path(__file__).with_name("readings_unlike_pypinyin.tsv")
WORDS = """
太子参 柏子仁 罂粟壳 菟丝子 利咽 川芎 干漆 拳参 枳壳 气分 涌吐 炮姜 玄参 神曲 莪术 薄荷 蛤壳 血分 通淋 重楼
"""
MISREAD = set(WORDS.split())


def test_the_table_is_what_the_dictionaries_give(capsys: pytest.CaptureFixture[str]) -> None:
    """The committed table is the one made anew from Unihan, OpenCC and the mended list. Source: Unihan 15.0."""
    assert tool.UNIHAN.is_dir(), "Debian's unicode-data is not installed: apt-get install unicode-data"
    assert tool.main(["check"]) == 0, capsys.readouterr().err


def test_the_table_is_small() -> None:
    """It travels in every wheel, so it stays below 250 kB, and it has the 6,763 characters of GB 2312."""
    assert (tool.ROOM / "characters.tsv").stat().st_size < 250_000
    assert all(character in TABLE for character in tool._gb2312())
    assert len(tool._gb2312()) == 6763


def test_checking_loads_neither_library() -> None:
    """`check` needs neither pypinyin nor OpenCC."""
    code = (
        "import sys; from materia_data.check.registry import checks;"
        "from materia_data.check.readings import characters;"
        "checks(); characters(); print(*{'pypinyin', 'opencc'}.intersection(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""


@pytest.mark.parametrize("character", READ)
def test_it_has_the_readings_of_the_trade(character: str) -> None:
    """Readings that lists of single characters leave out are there. Common practice, no source."""
    assert READ[character] in TABLE[character].readings


@pytest.mark.parametrize(
    ("character", "reading"), [("芎", "qiōng"), ("菟", "tú"), ("萹", "biǎn"), ("子", "zi"), ("莪", "ě")]
)
def test_it_lacks_readings_that_are_wrong(character: str, reading: str) -> None:
    """Readings that a converter gives and the dictionaries do not are not there."""
    assert reading not in TABLE[character].readings


@pytest.mark.parametrize("character", "干姜制松后里郁谷曲台面咸云朴范")
def test_a_character_good_in_both_scripts_is_flagged_for_neither(character: str) -> None:
    """干 stands for 乾 and is a traditional character too; so with the others. Source: Big5, commoner half."""
    assert TABLE[character].script == "both"


@pytest.mark.parametrize(
    ("simplified", "traditional"), ["术朮", "药藥", "参參", "叶葉", "气氣", "虫蟲", "胆膽", "黄黃", "壳殼"]
)
def test_a_character_of_one_script_is_flagged(simplified: str, traditional: str) -> None:
    """What only one script has is known as such. Source: Unihan kSimplifiedVariant, kTraditionalVariant."""
    assert TABLE[simplified].script == "simplified"
    assert TABLE[traditional].script == "traditional"


def test_opencc_agrees_on_the_script() -> None:
    """What the table holds to be of one script OpenCC changes for the other, but for what the mended list names."""
    opencc = pytest.importorskip("opencc")
    for script, configuration in (("simplified", "s2t"), ("traditional", "t2s")):
        convert = opencc.OpenCC(configuration).convert
        kept = {sign for sign, its in TABLE.items() if its.script == script and convert(sign) == sign}
        assert kept <= MENDED, sorted(kept)


def test_pypinyin_agrees_but_for_known_differences() -> None:
    """The first reading pypinyin gives each character of GB 2312 is in the table, but for the differences on the list.

    In those the table follows the dictionary of the standard characters (Unihan kTGHZ2013) or its toned readings alone.
    """
    pypinyin = pytest.importorskip("pypinyin")
    different = []
    for character in sorted(tool._gb2312()):
        first = unicodedata.normalize("NFC", pypinyin.pinyin(character)[0][0])
        if first not in TABLE[character].readings:
            different.append([character, first, ",".join(TABLE[character].readings)])
    assert different == tool._tsv(UNLIKE)


def test_the_words_are_read_as_their_characters_may_be() -> None:
    """Each settled word is made of readings, and of characters of each script, that the table has."""
    for word in words():
        for written, wrong in ((word.hans, "traditional"), (word.hant, "simplified")):
            assert len(written) in (0, len(word.pinyin))
            for character, syllable in zip(written, word.pinyin, strict=False):
                assert syllable in TABLE[character].readings, (word, character)
                assert TABLE[character].script != wrong, (word, character)


def test_settled_words_differ_from_pypinyin_only_where_it_is_known_to_be_wrong() -> None:
    """pypinyin, a second opinion, reads every settled word alike but for those it is known to misread."""
    pypinyin = pytest.importorskip("pypinyin")
    read = {word.hans: " ".join(syllable for (syllable,) in pypinyin.pinyin(word.hans)) for word in words()}
    assert {word.hans for word in words() if read[word.hans] != " ".join(word.pinyin)} == MISREAD


@pytest.mark.parametrize(("pinyin", "id"), [("nǚ zhēn zǐ", "nu-zhen-zi"), ("ē jiāo", "e-jiao"), ("lǜ dòu", "lu-dou")])
def test_an_id_drops_tones_and_writes_u_for_umlaut(pinyin: str, id: str) -> None:
    """Ids are the reading without tones, ü written u. Source: semantics of the tables."""
    assert toneless(pinyin) == id
