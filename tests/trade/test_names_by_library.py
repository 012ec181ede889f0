"""Pinyin and traditional characters of the names against two general libraries.

Outside sources: pypinyin (readings) and opencc (simplified to traditional). Where the field reads or writes a character
otherwise, tests/trade/tables/readings.csv has it with the reason.
"""

from functools import cache

import opencc
import pytest
from pypinyin import Style, pinyin

from tests.trade.rows import shipped, table

NAMED = ("herbs", "forms", "formulas")


def library(column: str, name: str) -> list[str]:
    """What the library gives for each character."""
    if column == "pinyin":
        return [readings[0] for readings in pinyin(name, style=Style.TONE)]
    return list(converter().convert(name))


@cache
def converter() -> opencc.OpenCC:
    """Made once: making it reads its dictionaries, which takes longer than all names do."""
    return opencc.OpenCC("s2t")


def differences(column: str) -> dict[tuple[str, str, str], str]:
    """(character, ours, the library's) of each character that differs, with the first subject it was found in."""
    found: dict[tuple[str, str, str], str] = {}
    for row in (row for name in NAMED for row in shipped(name) if row["name_hans"]):
        name = row["name_hans"]
        ours = row[column].split(" ") if column == "pinyin" else list(row[column])
        theirs = library(column, name)
        assert len(ours) == len(theirs) == len(name), row["id"]
        for key in zip(name, ours, theirs, strict=True):
            if key[1] != key[2]:
                found.setdefault(key, row["id"])
    return found


@pytest.mark.parametrize("column", ["pinyin", "name_hant"])
def test_names_are_as_the_library_has_them_but_for_the_fields_own(column: str) -> None:
    """Every character reads or is written as the library has it, or as the committed list says the field does."""
    listed = {
        (row["character"], row["field"], row["library"]): row["why"]
        for row in table("readings.csv")
        if row["column"] == column
    }
    found = differences(column)
    assert {key: subject for key, subject in found.items() if key not in listed} == {}
    assert [key for key in listed if key not in found] == []
    assert all(listed.values())
