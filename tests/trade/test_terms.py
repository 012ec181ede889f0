"""Natures, flavours and channels as the field's standards name them.

Outside source: WHO international standard terminologies on traditional Chinese medicine (2022), and ISO 18662-1:2017
(vocabulary of Chinese
materia medica). The pairs below were recalled from them, not read (memory).
"""

import pytest

from tests.trade.rows import data

STANDARD = {
    "natures": {"cold": "寒", "hot": "热", "warm": "温", "cool": "凉", "neutral": "平"},
    "flavors": {"pungent": "辛", "sweet": "甘", "sour": "酸",
        "bitter": "苦", "salty": "咸", "bland": "淡", "astringent": "涩"},
    "channels": {
        "lung": "肺", "large intestine": "大肠", "stomach": "胃", "spleen": "脾", "heart": "心",
        "small intestine": "小肠",
        "bladder": "膀胱", "kidney": "肾", "pericardium": "心包", "gallbladder": "胆", "liver": "肝",
    },
}  # fmt: skip


@pytest.mark.parametrize("vocabulary", sorted(STANDARD))
def test_terms_are_named_as_in_the_standards(vocabulary: str) -> None:
    """Each standard term stands in our vocabulary under its English and Chinese name together."""
    table = data().package.tables[vocabulary]
    ours = dict(zip(table.columns["name_en"], table.columns["name_hans"], strict=True))
    assert {english: ours.get(english) for english in STANDARD[vocabulary]} == STANDARD[vocabulary]


def test_twelve_channels_and_no_more() -> None:
    """There are twelve regular channels; the one that the standards translate differently is the triple burner,
    三焦."""
    table = data().package.tables["channels"]
    extra = set(table.columns["name_hans"]) - set(STANDARD["channels"].values())
    assert len(table) == 12 and extra == {"三焦"}


def test_the_four_natures_stand_in_order() -> None:
    """Cold, cool, neutral, warm, hot ascend; slightly cold shares its rank with cool (common practice, no source)."""
    table = data().package.tables["natures"]
    rank = {id: float(text) for id, text in zip(table.columns["id"], table.columns["rank"], strict=True)}
    order = ["very-cold", "cold", "cool", "neutral", "slightly-warm", "warm", "hot", "very-hot"]
    assert sorted(order, key=rank.__getitem__) == order and rank["slightly-cold"] == rank["cool"]
