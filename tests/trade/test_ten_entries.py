"""Ten entries of the standard, written here by hand.

Outside source: Chinese Pharmacopoeia 2020, volume I, 性味与归经 and 用法与用量 of the entries named.
Recalled, not read (memory).
"""

import pytest

from tests.trade.rows import data

ENTRIES = {
    # name: (Latin, nature, flavours, channels, grade, smallest and largest decoction dose in grams)
    "半夏": ("PINELLIAE RHIZOMA", "温", "辛", "脾 胃 肺", "有毒", 3, 9),
    "茯苓": ("PORIA", "平", "甘 淡", "心 肺 脾 肾", "", 10, 15),
    "麻黄": ("EPHEDRAE HERBA", "温", "辛 微苦", "肺 膀胱", "", 2, 10),
    "桔梗": ("PLATYCODONIS RADIX", "平", "苦 辛", "肺", "", 3, 10),
    "海藻": ("SARGASSUM", "寒", "苦 咸", "肝 胃 肾", "", 6, 12),
    "车前子": ("PLANTAGINIS SEMEN", "寒", "甘", "肝 肾 肺 小肠", "", 9, 15),
    "泽泻": ("ALISMATIS RHIZOMA", "寒", "甘 淡", "肾 膀胱", "", 6, 10),
    "苦杏仁": ("ARMENIACAE SEMEN AMARUM", "微温", "苦", "肺 大肠", "有小毒", 5, 10),
    "旋覆花": ("INULAE FLOS", "微温", "苦 辛 咸", "肺 脾 胃 大肠", "", 3, 9),
    "附子": ("ACONITI LATERALIS RADIX PRAEPARATA", "大热", "辛 甘", "心 肾 脾", "有毒", 3, 15),
}  # fmt: skip
GRADES = {"有小毒": "slight", "有毒": "toxic", "有大毒": "very-toxic", "": "unmarked"}


@pytest.mark.parametrize("name", sorted(ENTRIES))
def test_an_entry_is_as_the_standard_gives_it(name: str) -> None:
    """Latin name, nature, flavours and channels in order, grade and decoction dose agree with the standard's entry."""
    latin, nature, flavors, channels, grade, smallest, largest = ENTRIES[name]
    m = data()
    tables = m.package.tables

    def words(table: str, ids: list[str]) -> str:
        names = dict(zip(tables[table].columns["id"], tables[table].columns["name_hans"], strict=True))
        return " ".join(names[id] for id in ids)

    herbs = tables["herbs"]
    row = herbs.row(herbs.rows_of("name_hans")[name][0])
    doses = m.frame("doses")
    dose = doses[(doses["subject"] == row["id"]) & (doses["route"] == "decoction") & doses["purpose"].isna()].iloc[0]
    assert row["latin"] == latin
    assert words("natures", [row["nature"]]) == nature
    assert words("flavors", row["flavors"].split(";")) == flavors
    assert words("channels", row["channels"].split(";")) == channels
    assert row["toxicity"] == GRADES[grade]
    assert (dose["min"], dose["max"], dose["unit"]) == (smallest, largest, "g")
