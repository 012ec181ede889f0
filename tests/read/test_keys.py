"""Keys: said once, in order, without a bar."""

from pathlib import Path

import pytest

from materia_data.read.keys import row_order
from materia_data.read.schema import table_schemas
from tests.read.damage import change, line_of, only, place, places, set_cell, verdict

AIDS = "teaching/aids.csv"
HEAD = "id,subject,kind,text\n"


def _aids(folder: Path, *ids: str) -> None:
    (folder / AIDS).write_text(HEAD + "".join(f"{id},demo-leaf,image,A leaf.\n" for id in ids), encoding="utf-8")


def test_a_repeated_key_is_said_at_the_later_row(little_package: Path) -> None:
    """With the line of the first."""
    _aids(little_package, "a-aid", "b-aid", "b-aid")
    problem = only(little_package)
    assert place(problem) == (AIDS, 4, "id", "duplicate-key")
    assert "line 3" in problem.message
    assert "equal" in problem.tip


def test_a_repeated_key_with_other_cells_asks_which_is_right(little_package: Path) -> None:
    """Two rows that differ are not simply thrown together."""
    change(
        little_package,
        "herbs/doses.csv",
        "\ndemo-leaf,",
        "\ndemo-kelp,decoction,day,adult,,1,2,g,,,,,memory\ndemo-leaf,",
    )
    problem = only(little_package)
    assert place(problem) == ("herbs/doses.csv", 3, "subject", "duplicate-key")
    assert "which of the two" in problem.tip


def test_a_repeated_key_far_from_the_first_is_found(little_package: Path) -> None:
    """Also where rows are out of order."""
    _aids(little_package, "b-aid", "c-aid", "a-aid", "b-aid")
    assert places(little_package) == [(AIDS, 4, "id", "rows-in-order"), (AIDS, 5, "id", "duplicate-key")]


def test_rows_out_of_order_are_one_problem_a_file(little_package: Path) -> None:
    """At the first row that stands too late."""
    _aids(little_package, "c-aid", "b-aid", "a-aid")
    problem = only(little_package)
    assert place(problem) == (AIDS, 3, "id", "rows-in-order")
    assert "materia tidy" in problem.tip


def test_whole_number_keys_are_in_number_order(little_package: Path) -> None:
    """Position 10 comes after 9."""
    path = little_package / "formulas/formula_items.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    row = lines[1].replace("demo-tang,1,", "demo-tang,{},")
    path.write_text(
        "\n".join([lines[0], *(row.format(number) for number in (1, 2, 9, 10, 11))]) + "\n", encoding="utf-8"
    )
    assert verdict(little_package) == []
    path.write_text("\n".join([lines[0], *(row.format(number) for number in (1, 10, 2))]) + "\n", encoding="utf-8")
    assert place(only(little_package))[3] == "rows-in-order"


def test_keys_are_in_code_point_order_column_by_column() -> None:
    """`a` before `a-b`, and a shorter first value before a longer one whatever follows."""
    schema = table_schemas()["unit_subjects"]
    columns = {"unit": ["a", "a", "a-b"], "subject": ["y", "z", "x"]}
    order = row_order(schema, columns)
    assert list(order) == sorted(order)


def test_a_bar_in_a_key_is_said(little_package: Path) -> None:
    """It joins the values of a record's key."""
    line = line_of(little_package, "herbs/names.csv", "demo-leaf")
    set_cell(little_package, "herbs/names.csv", line, "name", "demo|mint")
    assert place(only(little_package)) == ("herbs/names.csv", line, "name", "bar-in-key")


@pytest.mark.parametrize("column", ["id", "subject", "kind", "text"])
def test_an_empty_cell_that_must_be_filled_is_said(little_package: Path, column: str) -> None:
    """Keys among them."""
    set_cell(little_package, AIDS, 2, column, "")
    assert place(only(little_package)) == (AIDS, 2, column, "missing-value")


def test_empty_key_cells_that_may_be_empty_are_values(little_package: Path) -> None:
    """A dose without a purpose and one with it are two records; two without are one."""
    file = "herbs/doses.csv"
    row = "demo-leaf,decoction,day,adult,{},3,9,g,,,,,common-practice\n"
    change(little_package, file, row.format(""), row.format("") + row.format("emergency"))
    assert verdict(little_package) == []
    change(little_package, file, row.format("emergency"), row.format(""))
    assert place(only(little_package)) == (file, 4, "subject", "duplicate-key")


def test_herbs_and_formulas_share_one_set_of_ids(little_package: Path) -> None:
    """An id names one subject."""
    change(little_package, "formulas/formulas.csv", "demo-tang,", "demo-leaf,")
    found = [problem for problem in verdict(little_package) if problem.rule == "shared-id"]
    assert [place(problem) for problem in found] == [("formulas/formulas.csv", 2, "id", "shared-id")]
    assert "herbs/herbs.csv" in found[0].message
