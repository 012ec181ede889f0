"""Cells against their columns: numbers, dates, enumerations, ids and shapes."""

from pathlib import Path

import pytest

from tests.little import little
from tests.read.damage import line_of, only, place, set_cell, verdict

DOSES = "herbs/doses.csv"


@pytest.mark.parametrize("value", ["0", "3", "0.5", "12.50", "100", "-0"])
def test_plain_numbers_pass(little_package: Path, value: str) -> None:
    """Digits, with a point before decimals."""
    set_cell(little_package, DOSES, 2, "min", value)
    assert verdict(little_package) == []


@pytest.mark.parametrize(
    ("value", "rule", "tip"),
    [
        ("6g", "number-with-unit", "Write 6;"),
        ("6 g", "number-with-unit", "Write 6;"),
        ("6克", "number-with-unit", "Write 6;"),
        ("1.5 mg", "number-with-unit", "Write 1.5;"),
        ("50%", "number-with-unit", "Write 50;"),
        ("６", "full-width-digits", "Write 6."),
        ("１．５", "full-width-digits", "Write 1.5."),
        ("٦", "full-width-digits", "Write 6."),
        ("NaN", "not-a-number", "empty"),
        ("nan", "not-a-number", "empty"),
        ("INF", "not-a-number", "empty"),
        ("-INF", "not-a-number", "empty"),
        ("null", "not-a-number", "empty"),
        ("1e3", "malformed-number", "digits"),
        ("+1", "malformed-number", "digits"),
        (".5", "malformed-number", "digits"),
        ("5.", "malformed-number", "digits"),
        ("1_000", "malformed-number", "digits"),
        ("007", "malformed-number", "Write 7."),
        ("00.5", "malformed-number", "Write 0.5."),
        ("1/2", "malformed-number", "digits"),
        ("six", "malformed-number", "digits"),
        ("六", "malformed-number", "digits"),
        ("６钱", "full-width-digits", "plain digits"),
        ("½", "malformed-number", "digits"),
        ("²", "malformed-number", "digits"),
        ("9" * 5000, "malformed-number", "at most 18"),
        ("3-9", "malformed-number", "Put 3 and 9"),
        ("3～9", "malformed-number", "Put 3 and 9"),
        ("3–9", "malformed-number", "Put 3 and 9"),
        ("-1", "out-of-range", "from 0 up"),
        ("9-Mar", "date-damage", "3-9"),
        ("Mar-09", "date-damage", "3-9"),
        ("3月9日", "date-damage", "3-9"),
        ("2026/3/9", "date-damage", "3-9"),
        ("2026-03-09", "date-damage", "3-9"),
        ("2026-03-09 00:00:00", "date-damage", "3-9"),
        ("#REF!", "spreadsheet-error", "number that stood"),
        ("#DIV/0!", "spreadsheet-error", "number that stood"),
    ],
    ids=lambda value: ascii(value)[:24],
)
def test_a_number_that_is_not_plain_is_said(little_package: Path, value: str, rule: str, tip: str) -> None:
    """What is wrong with it is told apart, and the right way is shown where it can be known."""
    set_cell(little_package, DOSES, 2, "min", value)
    problem = only(little_package)
    assert place(problem) == (DOSES, 2, "min", rule)
    assert tip in problem.tip
    assert (problem.record, problem.value) == ("demo-kelp|decoction|day|adult|", value)


def test_a_bad_cell_costs_that_cell(little_package: Path) -> None:
    """Each bad cell of a row is said by itself."""
    for column, value in {"min": "6g", "max": "NaN", "unit": "gram", "max_days": "1.5", "basis": "rumour"}.items():
        set_cell(little_package, DOSES, 2, column, value)
    assert [place(problem)[2:] for problem in verdict(little_package)] == [
        ("min", "number-with-unit"),
        ("max", "not-a-number"),
        ("unit", "unknown-term"),
        ("max_days", "malformed-number"),
        ("basis", "unknown-term"),
    ]


@pytest.mark.parametrize(
    ("value", "rule"), [("1.5", "malformed-number"), ("0", "out-of-range"), ("1.0", "malformed-number")]
)
def test_a_whole_number_is_whole(little_package: Path, value: str, rule: str) -> None:
    """Days are counted from one."""
    set_cell(little_package, DOSES, 2, "max_days", value)
    assert place(only(little_package)) == (DOSES, 2, "max_days", rule)


@pytest.mark.parametrize(
    ("value", "rule", "tip"),
    [
        ("2020-1-1", "malformed-date", "Write 2020-01-01."),
        ("2020-02-30", "impossible-date", "year-month-day"),
        ("2021-02-29", "impossible-date", "year-month-day"),
        ("2020-13-01", "impossible-date", "year-month-day"),
        ("0000-01-01", "impossible-date", "year-month-day"),
        ("2020/1/1", "date-damage", "Write 2020-01-01."),
        ("2020.01.01", "date-damage", "Write 2020-01-01."),
        ("2020年1月1日", "date-damage", "Write 2020-01-01."),
        ("1/2/2020", "date-damage", "2026-03-09"),
        ("1-Jan-20", "date-damage", "2026-03-09"),
        ("Jan-20", "date-damage", "2026-03-09"),
        ("43831", "date-damage", "2026-03-09"),
        ("２０２０-０１-０１", "full-width-digits", "2020-01-01"),
        ("2020", "malformed-date", "year-month-day"),
        ("20200101", "malformed-date", "year-month-day"),
        ("yesterday", "malformed-date", "year-month-day"),
        ("2020-01-01T00:00:00", "date-damage", "2026-03-09"),
    ],
)
def test_a_date_that_is_not_a_real_day_is_said(little_package: Path, value: str, rule: str, tip: str) -> None:
    """Dates are real days, year-month-day. Source: ISO 8601."""
    set_cell(little_package, "herbs/controls.csv", 2, "valid_from", value)
    problem = only(little_package)
    assert place(problem) == ("herbs/controls.csv", 2, "valid_from", rule)
    assert tip in problem.tip


def test_a_leap_day_is_a_real_day(little_package: Path) -> None:
    """2020 was a leap year."""
    set_cell(little_package, "herbs/controls.csv", 2, "valid_from", "2020-02-29")
    assert verdict(little_package) == []


@pytest.mark.parametrize(
    ("file", "column", "value", "rule", "tip"),
    [
        ("herbs/herbs.csv", "status", "curent", "unknown-term", "Did you mean current?"),
        ("herbs/herbs.csv", "status", "", "missing-value", "current"),
        ("herbs/herbs.csv", "name_hans", "demo叶", "malformed-value", "characters only"),
        ("herbs/herbs.csv", "id", "Demo Leaf", "malformed-id", "Write demo-leaf."),
        ("herbs/herbs.csv", "id", "demo_leaf", "malformed-id", "Write demo-leaf."),
        ("herbs/herbs.csv", "id", "dēmo-leaf", "malformed-id", "Write demo-leaf."),
        ("herbs/herbs.csv", "id", "3-leaf", "malformed-id", "a letter first"),
        ("herbs/herbs.csv", "id", "9-Mar", "date-damage", "id that stood there"),
        ("herbs/herbs.csv", "locator", "#N/A", "spreadsheet-error", "value that stood"),
        ("herbs/names.csv", "lang", "english!", "malformed-value", "example"),
    ],
)
def test_a_word_that_the_column_does_not_take_is_said(
    little_package: Path, file: str, column: str, value: str, rule: str, tip: str
) -> None:
    """The tip gives the nearest value, or the way to write it."""
    line = line_of(little_package, file, "demo-leaf")
    set_cell(little_package, file, line, column, value)
    found = [problem for problem in verdict(little_package) if place(problem)[:3] == (file, line, column)]
    (problem,) = [problem for problem in found if problem.rule != "rows-in-order"]
    assert place(problem) == (file, line, column, rule)
    assert tip in problem.tip


def test_collated_requires_source_and_locator(tmp_path: Path) -> None:
    """Who says that it was read says where."""
    cautions = [{"subject": "demo-leaf", "topic": "pregnancy", "target": "", "basis": "collated"}]
    found = [place(problem) for problem in verdict(little(tmp_path / "a", cautions=cautions))]
    assert found == [
        ("herbs/cautions.csv", 3, "source", "collated-without-source"),
        ("herbs/cautions.csv", 3, "locator", "collated-without-source"),
    ]
    sourced = [cautions[0] | {"source": "demo-book", "locator": "page 3"}]
    assert verdict(little(tmp_path / "b", cautions=sourced)) == []
