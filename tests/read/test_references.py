"""References to terms and records."""

from pathlib import Path

import pytest

from materia_data.read.schema import table_schemas
from tests.little import little
from tests.read.damage import line_of, only, place, places, set_cell, verdict

REFERENCES = [
    (schema.name, field.name) for schema in table_schemas().values() for field in schema.fields if field.refers
]


@pytest.mark.parametrize(("name", "column"), REFERENCES)
def test_every_reference_of_every_table_is_followed(tmp_path: Path, name: str, column: str) -> None:
    """An id that stands nowhere is found in each column that refers."""
    folder = little(tmp_path, **{name: [{column: "no-such-thing"}]})
    schema = table_schemas()[name]
    found = [place for place in places(folder) if place[3] in ("unknown-term", "dangling-reference")]
    assert [(file, where) for file, _, where, _ in found] == [(schema.path, column)]
    terms = all(table_schemas()[table].path.startswith("terms/") for table in schema.by_name[column].refers)
    assert found[0][3] == ("unknown-term" if terms else "dangling-reference")


@pytest.mark.parametrize(
    ("value", "tip"),
    [
        ("demo-lef", "Did you mean demo-leaf"),
        ("demo_leaf", "Write demo-leaf."),
        ("Demo Leaf", "Write demo-leaf."),
        ("示例叶", "Write demo-leaf."),
        ("shì lì yè", "Write demo-leaf."),
        ("zzz", "stands in herbs/herbs.csv"),
        ("-", "Leave the cell empty"),
    ],
)
def test_a_dangling_reference_gets_the_right_id_as_tip(little_package: Path, value: str, tip: str) -> None:
    """By spelling, by name, by nearness."""
    line = line_of(little_package, "herbs/cautions.csv", "demo-leaf")
    set_cell(little_package, "herbs/cautions.csv", line, "subject", value)
    problem = next(problem for problem in verdict(little_package) if problem.rule != "rows-in-order")
    assert place(problem) == ("herbs/cautions.csv", line, "subject", "dangling-reference")
    assert tip in problem.tip


def test_an_unknown_term_says_where_to_add_it(little_package: Path) -> None:
    """A word that is right and new belongs into the vocabulary first."""
    set_cell(little_package, "herbs/herbs.csv", 2, "nature", "lukewarm")
    problem = only(little_package)
    assert place(problem) == ("herbs/herbs.csv", 2, "nature", "unknown-term")
    assert "terms/natures.csv" in problem.tip


def test_a_term_of_another_vocabulary_is_unknown(little_package: Path) -> None:
    """A flavour is no nature."""
    set_cell(little_package, "herbs/herbs.csv", 2, "nature", "sweet")
    assert place(only(little_package)) == ("herbs/herbs.csv", 2, "nature", "unknown-term")


@pytest.mark.parametrize(
    ("changes", "circle"),
    [
        ({"clear-heat": "clear-heat"}, "clear-heat → clear-heat"),
        ({"clear-heat": "cool-blood"}, "clear-heat → cool-blood → clear-heat"),
        ({"clear-heat": "cool-blood-stop-bleeding"}, "clear-heat → cool-blood-stop-bleeding → cool-blood → clear-heat"),
    ],
)
def test_broader_may_not_lead_in_a_circle(tmp_path: Path, changes: dict[str, str], circle: str) -> None:
    """The circle is shown once, at its first row."""
    folder = little(tmp_path, actions=[{"id": id, "broader": broader} for id, broader in changes.items()])
    problem = only(folder)
    assert place(problem) == ("terms/actions.csv", 2, "broader", "broader-cycle")
    assert circle in problem.message


def test_a_deep_ladder_of_terms_is_no_circle_and_no_trouble(tmp_path: Path) -> None:
    """Three thousand steps are walked without recursion."""
    rows = [{"id": f"t{number:04}", "broader": f"t{number + 1:04}" if number < 2999 else ""} for number in range(3000)]
    assert verdict(little(tmp_path / "ladder", indications=rows)) == []
    rows[-1]["broader"] = "t0000"
    problem = only(little(tmp_path / "ring", indications=rows))
    assert problem.rule == "broader-cycle"
    assert len(problem.message) < 200


@pytest.mark.parametrize(
    ("citation", "column"),
    [
        ({"about_table": "herb", "record": "demo-leaf"}, "about_table"),
        ({"about_table": "herbs", "record": "demo-leef"}, "record"),
        ({"about_table": "herbs", "record": "demo-leaf", "column": "flavor"}, "column"),
        ({"about_table": "doses", "record": "demo-leaf|decoction", "column": "max"}, "record"),
    ],
)
def test_a_citation_is_about_a_cell_that_exists(tmp_path: Path, citation: dict[str, str], column: str) -> None:
    """Table, column and record are all looked up."""
    problem = only(little(tmp_path, citations=[citation | {"source": "demo-book"}]))
    assert place(problem) == ("record/citations.csv", 2, column, "dangling-reference")


def test_a_citation_names_a_record_by_its_joined_key(tmp_path: Path) -> None:
    """Key values join with `|`, empty ones too."""
    citation = {"about_table": "doses", "record": "demo-leaf|decoction|day|adult|", "column": "max"}
    assert verdict(little(tmp_path, citations=[citation])) == []


def test_a_file_full_of_unknown_words_is_judged_in_reasonable_time(tmp_path: Path) -> None:
    """Suggestions are bounded; problems are not."""
    rows = [{"id": f"aid-{number:05}", "subject": f"unknown-{number * 7919 % 100003}"} for number in range(5000)]
    assert len(verdict(little(tmp_path, aids=rows))) == 5000
