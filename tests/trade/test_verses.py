"""The verses of the eighteen antagonisms and of the nineteen fears, line by line, held against the table.

Outside source: 儒门事亲 (Zhang Congzheng, Jin), heading 十八反, the same verse in 珍珠囊补遗药性赋, heading 十八反歌;
and there heading 十九畏歌. Read in digital copies; the second has 野狼毒 and 官桂 where we print 狼毒 and read 肉桂.
"""

from itertools import product

import pytest

from tests.trade.rows import data, shipped

ACONITES = {"chuan-wu", "cao-wu", "fu-zi", "zhi-chuan-wu", "zhi-cao-wu"}
EIGHTEEN = {
    "半蒌贝蔹芨攻乌": (
        {"ban-xia", "gua-lou", "bai-lian", "bai-ji"},
        {
            "gua-lou-pi", "gua-lou-zi", "tian-hua-fen", "chuan-bei-mu", "zhe-bei-mu", "ping-bei-mu", "yi-bei-mu",
            "hu-bei-bei-mu",
        },
        {"chuan-wu"},
        ACONITES - {"chuan-wu"},
    ),
    "藻戟遂芫俱战草": (
        {"hai-zao", "jing-da-ji", "gan-sui", "yuan-hua"}, {"hong-da-ji"}, {"gan-cao"}, {"ren-zhong-huang"},
    ),
    "诸参辛芍叛藜芦": (
        {"xi-xin"},
        {
            "ren-shen", "hong-shen", "dang-shen", "dan-shen", "xuan-shen", "ku-shen", "bei-sha-shen", "nan-sha-shen",
            "tai-zi-shen", "xi-yang-shen", "bai-shao", "chi-shao",
        },
        {"li-lu"},
        set(),
    ),
}  # fmt: skip
NINETEEN = {
    "硫黄原是火中精，朴硝一见便相争": ({"liu-huang"}, set(), {"mang-xiao"}, {"xuan-ming-fen"}),
    "水银莫与砒霜见": ({"shui-yin"}, set(), {"pi-shi"}, set()),
    "狼毒最怕密佗僧": ({"lang-du"}, set(), {"mi-tuo-seng"}, set()),
    "巴豆性烈最为上，偏与牵牛不顺情": ({"ba-dou"}, {"ba-dou-shuang"}, {"qian-niu-zi"}, set()),
    "丁香莫与郁金见": ({"ding-xiang"}, {"mu-ding-xiang"}, {"yu-jin"}, set()),
    "牙硝难合京三棱": ({"mang-xiao"}, {"xuan-ming-fen"}, {"san-leng"}, set()),
    "川乌草乌不顺犀": ({"chuan-wu", "cao-wu"}, {"zhi-chuan-wu", "zhi-cao-wu"}, {"xi-jiao"}, set()),
    "人参最怕五灵脂": ({"ren-shen"}, {"hong-shen"}, {"wu-ling-zhi"}, set()),
    "官桂善能调冷气，若逢石脂便相欺": ({"rou-gui"}, set(), {"chi-shi-zhi"}, set()),
}
LINES = EIGHTEEN | NINETEEN
LISTS = dict.fromkeys(EIGHTEEN, "eighteen") | dict.fromkeys(NINETEEN, "nineteen")


@pytest.mark.parametrize("line", sorted(LINES))
def test_each_name_of_the_line_opposes_each_of_the_other_side(line: str) -> None:
    """Every pair that the line names or is taken to mean is in the table under the line, holds both ways, and no
    other stands there."""
    rows = {frozenset((row["a"], row["b"])): row for row in shipped("antagonisms") if row["line"] == line}
    left, more_left, right, more_right = LINES[line]
    assert set(rows) == {frozenset(pair) for pair in product(left | more_left, right | more_right)}
    facts = data().facts
    for one, other in map(sorted, rows):
        assert other in {fact.value for fact in facts.of(one, "opposes")}, f"{one} and {other}"
        assert one in {fact.value for fact in facts.of(other, "opposes")}, f"{one} and {other}"


@pytest.mark.parametrize("line", sorted(LINES))
def test_what_the_line_says_is_told_from_what_is_read_into_it(line: str) -> None:
    """Pairs whose names stand in the verse are stated, contraindicated and read there; others extend it."""
    left, _, right, _ = LINES[line]
    printed = {frozenset(pair) for pair in product(left, right)}
    rows = [row for row in shipped("antagonisms") if row["line"] == line]
    stated = {frozenset((row["a"], row["b"])) for row in rows if row["reading"] == "stated"}
    assert stated == printed
    for row in rows:
        if row["reading"] == "stated":
            assert (row["state"], row["basis"]) == ("contraindicated", "collated"), row


def test_no_line_is_told_that_the_verses_have_not() -> None:
    """A row of the two lists names one of their lines, and no row of another list does."""
    for row in shipped("antagonisms"):
        assert LISTS.get(row["line"], "") == (row["list"] if row["list"] in ("eighteen", "nineteen") else ""), row


def test_the_second_verse_names_nineteen() -> None:
    """Counted as the verse prints them, 朴硝 and 牙硝 apart, its title is right."""
    assert sum(len(left) + len(right) for left, _, right, _ in NINETEEN.values()) == 19


def test_prepared_and_raw_forms_are_opposed_too() -> None:
    """What opposes a medicinal opposes its forms: ginger-processed pinellia is no way round aconite (common
    practice, no source)."""
    facts = data().facts
    assert "chuan-wu" in {fact.value for fact in facts.of("ban-xia.jiang", "opposes")}
    assert "gan-cao" in {fact.value for fact in facts.of("hai-zao", "opposes")}


def test_the_two_lists_of_the_trade_share_no_word_for_a_welcome_pair() -> None:
    """The fears of the nineteen forbid, 相畏 of the seven relations is welcome: no antagonism is also a pair used on
    purpose, but for the known one."""
    tables = data().package.tables
    pairs = {frozenset(text.split(";")) for text in tables["pairs"].columns["subjects"]}
    opposed = {
        frozenset(pair)
        for pair in zip(tables["antagonisms"].columns["a"], tables["antagonisms"].columns["b"], strict=True)
    }
    assert pairs & opposed == set()
