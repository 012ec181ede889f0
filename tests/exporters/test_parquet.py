"""Parquet is opened with DuckDB, polars and pandas, none of which wrote it, and compared with the tables."""

from pathlib import Path
from typing import Any

import duckdb
import pandas
import polars
import pytest
from materia_exporters.parquet import export

from materia_data import LICENCE, TEACHING, Materia, table_schemas

TYPES = {"integer": "BIGINT", "number": "DOUBLE", "date": "DATE", "string": "VARCHAR", "list": "VARCHAR[]"}


@pytest.fixture(scope="module")
def made(shipped: Materia, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shipped data as Parquet."""
    folder = tmp_path_factory.mktemp("parquet")
    export(shipped, folder, {})
    return folder


def ask(question: str) -> list[Any]:
    """Rows by DuckDB."""
    return duckdb.sql(question).fetchall()


@pytest.mark.parametrize("table", table_schemas())
def test_every_table_opens_everywhere_with_its_rows_and_types(table: str, made: Path, shipped: Materia) -> None:
    """As many rows as the CSV has, and each column typed as the schema says."""
    path, rows = made / f"{table}.parquet", len(shipped.package.tables[table])
    assert ask(f"select count(*) from '{path}'") == [(rows,)]
    assert polars.read_parquet(path).height == rows
    assert len(pandas.read_parquet(path)) == rows
    described = {name: kind for name, kind, *_ in ask(f"describe select * from '{path}'")}
    assert described == {field.name: TYPES[field.type] for field in table_schemas()[table].fields}


def test_text_survives_as_it_stands_in_the_csv(made: Path, shipped: Materia) -> None:
    """Characters, tones and marks are read back from the CSV by DuckDB itself, and are equal."""
    csv, parquet = shipped.package.root / "herbs/herbs.csv", made / "herbs.parquet"
    question = "select id, name_hans, name_hant, pinyin, coalesce(note, '') from {} order by id"
    read = f"read_csv('{csv}', all_varchar=true, header=true, quote='\"', escape='\"')"
    assert ask(question.format(read)) == ask(question.format(f"'{parquet}'"))


def test_each_file_says_release_licence_and_teaching_line(made: Path, shipped: Materia) -> None:
    """They stand in the metadata, where any reader finds them."""
    for path in made.glob("*.parquet"):
        held = {key.decode(): value.decode() for key, value in ask_metadata(path)}
        assert (held["release"], held["licence"], held["note"]) == (shipped.release_id, LICENCE, TEACHING)


def ask_metadata(path: Path) -> list[tuple[bytes, bytes]]:
    """Key and value pairs by DuckDB."""
    return [(bytes(key), bytes(value)) for key, value in ask(f"select key, value from parquet_kv_metadata('{path}')")]


def test_an_amount_is_a_number_and_an_empty_cell_is_null(made: Path, shipped: Materia) -> None:
    """Sums agree with those taken from the CSV, empty cells are null and not 0 or text."""
    cells = shipped.package.tables["doses"].columns["max"]
    path = made / "doses.parquet"
    total = sum(float(cell) for cell in cells if cell)
    assert ask(f"select sum(max), count(*) filter (max is null) from '{path}'") == [
        (pytest.approx(total), cells.count(""))
    ]
    assert polars.read_parquet(path)["max"].sum() == pytest.approx(total)
    assert pandas.read_parquet(path)["max"].sum() == pytest.approx(total)


def test_the_wide_table_has_what_is_effective(made: Path, shipped: Materia) -> None:
    """Fact by fact: nature, flavours, channels, toxicity, actions, doses, opposed subjects, controls."""
    facts = shipped.facts
    frame = polars.read_parquet(made / "medicinals.parquet")
    assert frame["id"].to_list() == [subject for subject in facts.subjects if facts.kind(subject) != "formulas"]
    for row in frame.iter_rows(named=True):
        held = {name: facts.of(row["id"], name) for name in facts.predicates}
        for column, name in (
            ("nature", "nature"),
            ("toxicity", "toxicity"),
            ("method", "method"),
            ("status", "status"),
        ):
            assert row[column] == next((fact.value for fact in held[name]), None)
        for column, name in (
            ("flavors", "flavor"),
            ("channels", "channel"),
            ("opposes", "opposes"),
            ("traits", "trait"),
        ):
            assert set(row[column]) == {fact.value for fact in held[name]}
        assert set(row["actions"]) == {fact.value for fact in held["action"] if fact.stated}
        assert set(row["actions_denied"]) == {fact.value for fact in held["action"] if not fact.stated}
        assert {each["level"] for each in row["controls"]} == {fact.value for fact in held["control"]}
        doses = {(each["route"], each["max"]) for each in row["doses"] if each["max"] is not None}
        grams = [fact for fact in held["dose-max"] if " " not in fact.value]
        assert doses == {(dict(fact.qualifiers)["route"], float(fact.value)) for fact in grams}


def test_a_form_says_which_caution_it_has_from_its_herb(made: Path) -> None:
    """Raw pinellia has the herb's caution on breast-feeding and its own on taking it (common practice, no source)."""
    wide = made / "medicinals.parquet"
    rows = ask(
        f"select c.topic, c.inherited_from from (select unnest(cautions) c from '{wide}' where id = 'ban-xia.sheng')"
    )
    assert dict(rows)["lactation"] == "ban-xia" and dict(rows)["internal-use"] is None


def test_topics_are_either_stated_or_listed_as_not_checked(made: Path, shipped: Materia) -> None:
    """Together they are all topics, and none is both."""
    topics = set(shipped.package.tables["topics"].columns["id"])
    for row in polars.read_parquet(made / "medicinals.parquet").iter_rows(named=True):
        stated = {each["topic"] for each in row["cautions"]}
        assert stated | set(row["not_checked"]) == topics and not stated & set(row["not_checked"])
