"""Headers that are not the schema's."""

from collections.abc import Callable
from pathlib import Path

import pytest

from materia_data.read.package import read_package
from materia_data.read.schema import table_schemas
from tests.read.damage import only, place, places, verdict

FILE = "herbs/species.csv"  # subject,taxon,part,status,source


def _columns(folder: Path, pick: Callable[[list[str]], list[str]]) -> None:
    path = folder / FILE
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("".join(",".join(pick(line.split(","))) + "\n" for line in lines), encoding="utf-8")


def test_a_missing_column_is_named_with_its_place(little_package: Path) -> None:
    """It is said once; its cells are not called empty row by row."""
    _columns(little_package, lambda cells: [*cells[:3], cells[4]])
    problem = only(little_package)
    assert place(problem) == (FILE, 1, "status", "missing-column")
    assert "after part" in problem.tip
    assert read_package(little_package).tables["species"].columns["status"] == ["", ""]


def test_a_missing_first_column_is_named(little_package: Path) -> None:
    """Without the key the rest is still read."""
    _columns(little_package, lambda cells: cells[1:])
    assert place(only(little_package)) == (FILE, 1, "subject", "missing-column")


def test_an_extra_column_is_named(little_package: Path) -> None:
    """A column that no schema has is read by nothing."""
    _columns(little_package, lambda cells: [*cells, "remark" if cells[0] == "subject" else "x"])
    problem = only(little_package)
    assert place(problem) == (FILE, 1, "remark", "unknown-column")
    assert "Take the column out" in problem.tip


def test_a_repeated_column_is_named_and_the_first_is_read(little_package: Path) -> None:
    """Two columns of one name are one too many."""
    _columns(little_package, lambda cells: [*cells, "part" if cells[0] == "subject" else "leaf"])
    assert place(only(little_package)) == (FILE, 1, "part", "repeated-column")
    assert read_package(little_package).tables["species"].columns["part"] == ["whole-herb", "root"]


def test_reordered_columns_are_said_and_read_by_name(little_package: Path) -> None:
    """The order is wrong, the cells are not."""
    _columns(little_package, lambda cells: [cells[0], cells[2], cells[1], *cells[3:]])
    problem = only(little_package)
    assert place(problem) == (FILE, 1, "part", "reordered-columns")
    assert "subject, taxon, part, status, source" in problem.tip
    assert read_package(little_package).tables["species"].columns["part"] == ["whole-herb", "root"]


@pytest.mark.parametrize("written", ["Taxon", " taxon", "taxon ", "ta\u200bxon"])
def test_a_column_misspelled_in_case_or_space_is_read_as_meant(little_package: Path, written: str) -> None:
    """One problem at the header, none at the cells."""
    _columns(little_package, lambda cells: [cells[0], written if cells[0] == "subject" else cells[1], *cells[2:]])
    problem = only(little_package)
    assert place(problem) == (FILE, 1, "taxon", "unknown-column")
    assert problem.tip == "Write taxon."


def test_a_hyphen_in_a_column_name_is_an_error_with_the_right_name(little_package: Path) -> None:
    """Look-ups take `-` for `_`; data do not."""
    path = little_package / "herbs/names.csv"
    other = little_package / "terms/natures.csv"
    other.write_text(other.read_text(encoding="utf-8").replace("name_en", "name-en", 1), encoding="utf-8")
    assert path.exists()
    problem = only(little_package)
    assert place(problem) == ("terms/natures.csv", 1, "name_en", "unknown-column")
    assert problem.tip == "Write name_en."


def test_a_misspelled_column_is_unknown_and_missing_with_a_tip(little_package: Path) -> None:
    """The nearest missing column is named."""
    _columns(little_package, lambda cells: [cells[0], "taxom" if cells[0] == "subject" else cells[1], *cells[2:]])
    problems = verdict(little_package)
    assert [place(problem) for problem in problems] == [
        (FILE, 1, "taxom", "unknown-column"),
        (FILE, 1, "taxon", "missing-column"),
    ]
    assert problems[0].tip == "Did you mean taxon?"


def test_rows_without_a_header_are_read_by_position(little_package: Path) -> None:
    """The header is missing; the rows are not lost."""
    path = little_package / FILE
    path.write_text(path.read_text(encoding="utf-8").split("\n", 1)[1], encoding="utf-8")
    problem = only(little_package)
    assert place(problem) == (FILE, 1, "", "missing-header")
    assert "subject,taxon,part,status,source" in problem.tip
    table = read_package(little_package).tables["species"]
    assert table.columns["subject"] == ["demo-kelp", "demo-root"]
    assert list(table.lines) == [1, 2]


@pytest.mark.parametrize("mark", ["\t", ";", "|"])
def test_a_wrong_delimiter_is_one_problem(little_package: Path, mark: str) -> None:
    """The file is read by the mark it has."""
    path = little_package / FILE
    path.write_text(path.read_text(encoding="utf-8").replace(",", mark), encoding="utf-8")
    assert place(only(little_package)) == (FILE, 1, "", "wrong-delimiter")
    assert read_package(little_package).tables["species"].columns["part"] == ["whole-herb", "root"]


def test_a_file_that_is_no_table_is_one_problem(little_package: Path) -> None:
    """A page of prose saved under a table's name does not give a problem a line."""
    (little_package / FILE).write_text("Dear colleague\nthis is not a table\n", encoding="utf-8")
    assert place(only(little_package)) == (FILE, 1, "", "missing-header")


@pytest.mark.parametrize("name", sorted(table_schemas()))
def test_every_column_of_every_table_is_missed(little_package: Path, name: str) -> None:
    """No column of any table can go without being named."""
    schema = table_schemas()[name]
    path = little_package / schema.path
    whole = path.read_text(encoding="utf-8")
    header = whole.split("\n")[0]
    for field in schema.fields:
        left = ",".join(column for column in header.split(",") if column != field.name)
        path.write_text(left + "\n", encoding="utf-8")
        assert (schema.path, 1, field.name, "missing-column") in places(little_package)
    path.write_text(whole, encoding="utf-8")
