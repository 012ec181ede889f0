"""The verse of the eighteen antagonisms, held against the table.

Outside source: 儒门事亲 (Zhang Congzheng, Jin), heading 十八反; the same verse in 珍珠囊补遗药性赋,
heading 十八反歌. The nineteen fears
(heading 十九畏歌 there) have no pair of which both are in this release.
"""

import pytest

from materia_data import load

LINES = {
    "半蒌贝蔹芨攻乌": (
        ["ban-xia", "gua-lou", "chuan-bei-mu", "zhe-bei-mu", "bai-lian", "bai-ji"],
        ["chuan-wu", "cao-wu"],
    ),
    "藻戟遂芫俱战草": (["hai-zao", "jing-da-ji", "gan-sui", "yuan-hua"], ["gan-cao"]),
    "诸参辛芍叛藜芦": (
        ["ren-shen", "dan-shen", "xuan-shen", "ku-shen", "bei-sha-shen", "xi-xin", "bai-shao", "chi-shao"],
        ["li-lu"],
    ),
}


@pytest.mark.parametrize("line", sorted(LINES))
def test_each_name_of_the_line_opposes_each_of_the_other_side(line: str) -> None:
    """Every pair that the line names is in the table, under the line, and holds both ways."""
    m = load()
    table = m.package.tables["antagonisms"]
    rows = {frozenset((row["a"], row["b"])) for row in map(table.row, range(len(table))) if row["line"] == line}
    left, right = LINES[line]
    for one in left:
        for other in right:
            assert frozenset((one, other)) in rows, f"{one} and {other}"
            assert other in {fact.value for fact in m.facts.of(one, "opposes")}
            assert one in {fact.value for fact in m.facts.of(other, "opposes")}


def test_no_line_is_told_that_the_verse_has_not() -> None:
    """A row of the eighteen names one of the three lines, and no other list does."""
    table = load().package.tables["antagonisms"]
    for row in map(table.row, range(len(table))):
        assert (row["line"] in LINES) == (row["list"] == "eighteen"), row


def test_prepared_and_raw_forms_are_opposed_too() -> None:
    """What opposes a medicinal opposes its forms: ginger-processed pinellia is no way round aconite (common
    practice, no source)."""
    facts = load().facts
    assert "chuan-wu" in {fact.value for fact in facts.of("ban-xia.jiang", "opposes")}
    assert "gan-cao" in {fact.value for fact in facts.of("hai-zao", "opposes")}


def test_the_two_lists_of_the_trade_share_no_word_for_a_welcome_pair() -> None:
    """The fears of the nineteen forbid, 相畏 of the seven relations is welcome: no antagonism is also a pair used on
    purpose, but for the known one."""
    tables = load().package.tables
    pairs = {frozenset(text.split(";")) for text in tables["pairs"].columns["subjects"]}
    opposed = {
        frozenset(pair)
        for pair in zip(tables["antagonisms"].columns["a"], tables["antagonisms"].columns["b"], strict=True)
    }
    assert pairs & opposed == set()
