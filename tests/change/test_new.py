"""A new record with every question asked."""

from pathlib import Path

import pytest

from materia_data import load
from materia_data.change.new import new, questions
from materia_data.read.structure import check_structure

AID = {"id": "demo-aid", "subject": "demo-leaf", "kind": "sound", "text": "Leaf, light, lung."}


def test_every_column_is_a_question(little_package: Path) -> None:
    """Each column is asked for, with what it means, an example, and the values it may have."""
    package = load(little_package).package
    for name, table in package.tables.items():
        asked = questions(package, name)
        assert [question.column for question in asked] == list(table.schema.by_name)
        assert all(question.asks and question.title for question in asked)
    kinds = {question.column: question for question in questions(package, "aids")}
    assert kinds["kind"].answers == ("sound", "meaning", "image", "link", "saying") and kinds["text"].required


def test_a_right_row_is_written_in_its_place(little_package: Path) -> None:
    """The row stands where its key sorts it, and the package stays without a finding."""
    assert new(load(little_package).package, "aids", AID) == []
    package = load(little_package).package
    assert [
        package.tables["aids"].row(i)
        for i in range(len(package.tables["aids"]))
        if package.tables["aids"].key(i) == "demo-aid"
    ] == [AID]
    assert not package.problems and not check_structure(package)


@pytest.mark.parametrize(
    ("change", "column", "tip"),
    [
        ({"subject": "demo-lef"}, "subject", "demo-leaf"),
        ({"kind": "sond"}, "kind", "sound"),
        ({"text": ""}, "text", ""),
        ({"id": "Demo Aid"}, "id", ""),
    ],
)
def test_a_wrong_answer_is_named_and_nothing_written(
    little_package: Path, change: dict[str, str], column: str, tip: str
) -> None:
    """A wrong answer is a problem at its column with a tip, and the file stays as it was."""
    path = little_package / "teaching/aids.csv"
    before = path.read_bytes()
    problems = new(load(little_package).package, "aids", AID | change)
    assert [problem.column for problem in problems] == [column] and tip in problems[0].tip
    assert path.read_bytes() == before


def test_a_key_that_stands_already_is_refused(little_package: Path) -> None:
    """A record is never written twice."""
    new(load(little_package).package, "aids", AID)
    assert "duplicate-key" in {problem.rule for problem in new(load(little_package).package, "aids", AID)}
