"""Natures against two old books, and all that five old books say.

Outside source: 珍珠囊补遗药性赋, 总赋 (寒性, 热性, 温性, 平性), and 雷公炮制药性解 (Li Zhongzi, Ming), read in
digital copies; tables in tests/trade/tables and docs/data/witness.
"""

from collections.abc import Callable

import pytest

from tests.trade.rows import shipped, table, witness
from tools.witness import agrees, main

Record = Callable[[str, object], None]
TOTALS = {"cold": 66, "hot": 60, "warm": 54, "neutral": 68}
LEAST = {
    ("zhen-zhu-nang", "cold"): 0.85,
    ("zhen-zhu-nang", "hot"): 0.89,
    ("zhen-zhu-nang", "warm"): 0.77,
    ("zhen-zhu-nang", "neutral"): 0.45,
    ("lei-gong-yao-xing-jie", "cold"): 0.93,
    ("lei-gong-yao-xing-jie", "warm"): 0.82,
    ("lei-gong-yao-xing-jie", "neutral"): 0.53,
}


def said() -> list[tuple[str, str, str]]:
    """(book, subject, nature) of both books."""
    verse = [("zhen-zhu-nang", row["subject"], row["list"]) for row in table("four_natures.csv") if row["subject"]]
    rows = witness("lei-gong-yao-xing-jie.csv")
    return verse + [("lei-gong-yao-xing-jie", row["subject"], row["nature"]) for row in rows if row["nature"]]


def group(nature: str) -> str:
    """The class of a nature of the second book; the verse names its four lists itself."""
    return next(name for name in ("cold", "warm", "neutral") if agrees("nature", nature, name))


@pytest.mark.parametrize("name", sorted(TOTALS))
def test_the_verse_names_as_many_as_it_counts(name: str) -> None:
    """Each list ends with its own total; wine and spring onion, named in passing among the hot, are two more."""
    rows = [row for row in table("four_natures.csv") if row["list"] == name]
    passing = {"酒", "葱"} & {row["name"] for row in rows}
    assert len(rows) - len(passing) == TOTALS[name]


@pytest.mark.parametrize(("book", "name"), sorted(LEAST))
def test_natures_agree_by_class(book: str, name: str, record_property: Record) -> None:
    """Of those a book calls cold, warm or neutral the package has as many in that class as was published."""
    natures = {row["id"]: row["nature"] for row in shipped("herbs")}
    whole = [(subject, nature) for one, subject, nature in said() if one == book]
    mine = [pair for pair in whole if (pair[1] if book == "zhen-zhu-nang" else group(pair[1])) == name]
    same = sum(agrees("nature", natures[subject], nature) for subject, nature in mine)
    record_property("sample", f"{book} {name}: {same} of {len(mine)} agree")
    assert len(mine) > 40
    assert same / len(mine) >= LEAST[book, name], f"{same} of {len(mine)}"


def test_each_difference_of_nature_has_its_reason() -> None:
    """Every nature that differs by class from one of the two books is listed with what speaks for ours, and no other
    is."""
    natures = {row["id"]: row["nature"] for row in shipped("herbs")}
    differ = {row for row in said() if not agrees("nature", natures[row[1]], row[2])}
    listed = {(row["book"], row["subject"], row["book_says"]): row for row in table("nature_differences.csv")}
    assert set(listed) == differ
    for key, row in listed.items():
        assert row["why"] and row["package_says"] == natures[row["subject"]], key


def test_each_value_against_all_books_was_looked_at() -> None:
    """What every one of five old books contradicts stands in the list with a verdict and a reason, and the list is
    up to date."""
    rows = witness("against-all.csv")
    assert [row for row in rows if row["verdict"] not in ("keeps", "mend") or not row["why"]] == []
    assert main(["check"]) == 0
