"""Spaces and characters that cannot be seen."""

from pathlib import Path

import pytest

from tests.read.damage import line_of, only, place, places, set_cell, verdict

FILE = "herbs/herbs.csv"
LINE = 3


@pytest.mark.parametrize(
    ("value", "rule", "says"),
    [
        (" demo leaf", "stray-space", "begins with a space"),
        ("demo leaf ", "stray-space", "ends with a space"),
        ("demo  leaf", "stray-space", "two spaces"),
        ("demo\u00a0leaf", "invisible-character", "no-break space"),
        ("demo\u3000leaf", "invisible-character", "ideographic space"),
        ("demo\u200bleaf", "invisible-character", "zero-width space"),
        ("demo\u200dleaf", "invisible-character", "zero-width joiner"),
        ("demo\u00adleaf", "invisible-character", "soft hyphen"),
        ("demo leaf\ufeff", "invisible-character", "byte order mark"),
        ("demo\tleaf", "invisible-character", "tab"),
        ("demo\x07leaf", "invisible-character", "control character"),
        ("demo\x1b[31mleaf", "invisible-character", "U+001B"),
        ("demo\x7fleaf", "invisible-character", "U+007F"),
        ("demo\u0085leaf", "invisible-character", "U+0085"),
        ("demo\u2028leaf", "invisible-character", "U+2028"),
        ("demo \u202efael", "invisible-character", "direction mark"),
        ("demo \u2066leaf\u2069", "invisible-character", "direction mark"),
        ("demo leaf\u200f", "invisible-character", "direction mark"),
        ("demo\ufe0f leaf", "invisible-character", "U+FE0F"),
        ("demo\u3164leaf", "invisible-character", "U+3164"),
        ("demo\U000e0041leaf", "invisible-character", "U+E0041"),
        ("demo \ufffd leaf", "unreadable-character", "U+FFFD"),
        ("demo \ue123 leaf", "unreadable-character", "U+E123"),
        ("de\u0301mo leaf", "decomposed-character", "dé"),
        ("demo \uf9dc leaf", "decomposed-character", "隆"),
    ],
    ids=ascii,
)
def test_what_cannot_be_seen_is_said_at_its_cell(little_package: Path, value: str, rule: str, says: str) -> None:
    """The message names the character; nothing else is said of the cell."""
    set_cell(little_package, FILE, LINE, "name_en", value)
    problem = only(little_package)
    assert place(problem) == (FILE, LINE, "name_en", rule)
    assert says in problem.message + problem.tip
    assert problem.value == value


@pytest.mark.parametrize("column", ["id", "name_hans", "pinyin", "category", "flavors", "status", "note", "basis"])
@pytest.mark.parametrize("mark", ["\u200b", "\u202e", " ", "\x00"], ids=ascii)
def test_no_kind_of_column_lets_it_pass(little_package: Path, column: str, mark: str) -> None:
    """Ids, names, terms, lists, enumerations and prose are all looked at."""
    cells = (little_package / FILE).read_text(encoding="utf-8").split("\n")
    value = cells[LINE - 1].split(",")[cells[0].split(",").index(column)]
    set_cell(little_package, FILE, LINE, column, f"{value}{mark}")
    assert [found for found in places(little_package) if found[:3] == (FILE, LINE, column)] == [
        (FILE, LINE, column, "stray-space" if mark == " " else "invisible-character")
    ]


@pytest.mark.parametrize(
    "value", ["dà fù pí", "nǚ zhēn zǐ", "ḿ", "ê̄", "6–12 g × 2", "示例，示例。", "µ", "—", "𧿹", "〇", "“demo”", "α"]
)
def test_writing_that_is_right_passes(little_package: Path, value: str) -> None:
    """Toned pinyin, rare characters and typographic marks are no damage."""
    line = line_of(little_package, FILE, "demo-leaf")
    set_cell(little_package, FILE, line, "note", value)
    assert verdict(little_package) == []
