"""A layer over a base, sentence by sentence (semantics.md §6). What each row makes is worked out by hand."""

import os
from pathlib import Path
from typing import Any

import pytest

from materia_data import LayerError, Materia, load
from materia_data.read.layers.versions import inside, readable
from tests.layers import errors, layer, over, write, write_text
from tests.little import little


def cell(materia: Materia, table: str, record: str, column: str) -> str:
    held = materia.package.tables[table]
    (row,) = (row for row in range(len(held)) if held.key(row) == record)
    return held.columns[column][row]


def told(materia: Materia) -> list[tuple[str, str, int]]:
    """What reading the layer found: rule, file and line."""
    return [(one.rule, one.file, one.line) for one in materia.package.problems]


PREGNANCY = {"subject": "demo-leaf", "topic": "pregnancy", "basis": "memory"}


def test_a_filled_cell_replaces_and_an_empty_one_leaves(tmp_path: Path) -> None:
    """Rows match by key; a filled cell replaces, an empty one leaves."""
    materia = over(tmp_path, cautions=[PREGNANCY | {"state": "avoid"}])
    record = "demo-leaf|pregnancy|"
    assert cell(materia, "cautions", record, "state") == "avoid"
    assert cell(materia, "cautions", record, "detail") == "Use with care in pregnancy."
    assert len(materia.package.tables["cautions"]) == 3
    assert not materia.package.problems


def test_the_base_is_left_as_it_is(tmp_path: Path) -> None:
    """What lies beneath a layer is the base, cell by cell and file by file."""
    materia = over(tmp_path, cautions=[PREGNANCY | {"state": "avoid"}])
    assert materia.beneath is not None and materia.beneath.beneath is None
    base = load(tmp_path / "base")
    assert {name: table.columns for name, table in materia.beneath.package.tables.items()} == {
        name: table.columns for name, table in base.package.tables.items()
    }
    assert materia.beneath.release_id == base.release_id


def test_without_a_layer_there_is_none(tmp_path: Path) -> None:
    """No layer: nothing is laid, said, loosened or beneath."""
    materia = load(little(tmp_path / "base"))
    assert (materia.layers, materia.beneath, materia.all_loosened, materia.said("demo-leaf")) == ((), None, (), ())
    assert all(table.laid is None for table in materia.package.tables.values())


def test_a_fact_says_which_layer_and_line_it_stands_in(tmp_path: Path) -> None:
    """A cell of a layer has the layer's file and line; a cell of the base in the same row keeps its own."""
    materia = over(
        tmp_path,
        herbs=[
            {"id": "demo-kelp", "note": "The school's note.", "basis": "memory"},
            {"id": "demo-leaf", "nature": "neutral", "basis": "memory"},
        ],
    )
    (nature,) = materia.facts.of("demo-leaf", "nature")
    (flavor, _) = materia.facts.of("demo-leaf", "flavor")
    assert (nature.file, nature.line, nature.value) == ("second:herbs/herbs.csv", 3, "neutral")
    assert (flavor.file, flavor.line) == ("herbs/herbs.csv", 3)
    herbs = materia.package.tables["herbs"]
    assert [herbs.layer(1, column) for column in ("nature", "flavors", "")] == ["second", "", ""]
    for fact in materia.facts.of("demo-leaf"):
        table = materia.package.tables[fact.table]
        row = table.row(table.row_at(fact.file, fact.line))
        assert "demo-leaf" in (row.get("id"), row.get("subject"), row.get("record"), row.get("a"), row.get("b"))


def test_every_fact_leads_back_to_its_row(tmp_path: Path) -> None:
    """File and line lead to the one row a fact was read from, though lines of two files have the same numbers."""
    materia = over(
        tmp_path,
        cautions=[
            {"subject": "demo-kelp", "topic": "pregnancy", "state": "avoid", "detail": "New.", "basis": "memory"},
            PREGNANCY | {"state": "avoid"},
        ],
    )
    cautions = materia.package.tables["cautions"]
    for row in range(len(cautions)):
        assert cautions.row_at(*cautions.place(row)) == row
        assert cautions.row_at(*cautions.place(row, "state")) == row
    with pytest.raises(KeyError):
        cautions.row_at("second:herbs/cautions.csv", 9)


def test_a_row_that_fills_a_value_speaks_with_its_own_word(tmp_path: Path) -> None:
    """The value has the layer's basis and source; what stays of the base keeps the word it had."""
    base = little(
        tmp_path / "base",
        herbs=[{"id": "demo-leaf", "source": "demo-standard", "locator": "leaf", "basis": "collated"}],
    )
    materia = load(
        base, [layer(tmp_path / "second", herbs=[{"id": "demo-leaf", "nature": "neutral", "basis": "memory"}])]
    )
    words = {
        predicate: {(fact.source, fact.locator, fact.basis) for fact in materia.facts.of("demo-leaf", predicate)}
        for predicate in ("nature", "flavor", "channel", "toxicity")
    }
    assert words["nature"] == {("", "", "memory")}
    assert words["flavor"] == words["channel"] == words["toxicity"] == {("demo-standard", "leaf", "collated")}
    assert errors(materia) == []


def test_a_row_that_fills_a_value_without_a_basis_is_an_error(tmp_path: Path) -> None:
    """A row that fills a value fills basis; the base's basis does not stand in for it."""
    materia = over(tmp_path, cautions=[{"subject": "demo-leaf", "topic": "pregnancy", "state": "avoid"}])
    assert ("missing-value", "second:herbs/cautions.csv", 2, "basis") in errors(materia)


def test_collated_in_a_layer_asks_for_source_and_locator(tmp_path: Path) -> None:
    """`collated` requires source and locator in a layer too, though the base's row has both."""
    base = little(
        tmp_path / "base",
        cautions=[PREGNANCY | {"source": "demo-standard", "locator": "leaf", "basis": "collated"}],
    )
    rows = [PREGNANCY | {"state": "avoid", "basis": "collated"}]
    found = errors(load(base, [layer(tmp_path / "second", cautions=rows)]))
    assert {(rule, column) for rule, file, _, column in found if file == "second:herbs/cautions.csv"} == {
        ("collated-without-source", "source"),
        ("collated-without-source", "locator"),
    }


def test_a_basis_alone_replaces_the_basis(tmp_path: Path) -> None:
    """A row that fills only basis, source and locator says of the base's values who says so."""
    rows = [PREGNANCY | {"source": "demo-book", "locator": "p. 3", "basis": "collated"}]
    materia = over(tmp_path, cautions=rows)
    (fact,) = materia.facts.of("demo-leaf", "caution")
    assert (fact.value, fact.source, fact.basis) == ("caution", "demo-book", "collated")
    assert not materia.package.problems


def test_cells_are_cleared_by_naming_them(tmp_path: Path) -> None:
    """Cells named in layer_clear are emptied, the others stand."""
    rows = [{"id": "demo-seed", "layer_clear": "parts;traits"}]
    materia = over(tmp_path, herbs=rows)
    assert cell(materia, "herbs", "demo-seed", "parts") == cell(materia, "herbs", "demo-seed", "traits") == ""
    assert cell(materia, "herbs", "demo-seed", "flavors") == "sweet"
    assert materia.facts.of("demo-seed", "part") == []


def test_a_row_is_taken_out(tmp_path: Path) -> None:
    """layer_op=remove takes the row out, and what citations said of it."""
    about = {"about_table": "cautions", "record": "demo-leaf|pregnancy|", "column": "state", "source": "demo-book"}
    base = little(tmp_path / "base", citations=[about])
    rows = [{"subject": "demo-leaf", "topic": "pregnancy", "layer_op": "remove"}]
    materia = load(base, [layer(tmp_path / "second", cautions=rows)])
    assert materia.facts.of("demo-leaf", "caution") == []
    assert len(materia.package.tables["citations"]) == 0
    assert [rule for rule, *_ in errors(materia)] == ["safety-lost"]
    assert errors(materia)[0][1:3] == ("second:herbs/cautions.csv", 2)


@pytest.mark.parametrize(
    ("table", "row", "rule"),
    [
        ("herbs", {"id": "demo-seed", "layer_op": "remove"}, "layer-remove"),
        ("forms", {"id": "demo-root.zhi", "layer_op": "remove"}, "layer-remove"),
        ("formulas", {"id": "demo-tang", "layer_op": "remove"}, "layer-remove"),
        ("traits", {"id": "oily", "layer_op": "remove"}, "layer-term"),
        ("traits", {"id": "oily", "name_en": "greasy"}, "layer-term"),
        ("topics", {"id": "pregnancy", "layer_clear": "name_en"}, "layer-term"),
        ("cautions", {"subject": "demo-leaf", "topic": "lactation", "layer_op": "remove"}, "layer-nothing-there"),
        ("cautions", PREGNANCY | {"layer_op": "remove"}, "layer-remove"),
        ("cautions", PREGNANCY | {"state": "avoid", "layer_op": "drop"}, "unknown-term"),
        ("cautions", {"subject": "demo-leaf", "topic": "lactation", "layer_clear": "detail"}, "layer-nothing-there"),
        ("cautions", PREGNANCY | {"layer_clear": "details"}, "unknown-column"),
        ("cautions", PREGNANCY | {"layer_clear": "topic"}, "layer-clear"),
        ("cautions", PREGNANCY | {"layer_clear": "basis"}, "layer-clear"),
        ("cautions", PREGNANCY | {"detail": "Other.", "layer_clear": "detail"}, "layer-clear"),
        ("cautions", {"subject": "demo-leaf", "topic": "pregnancy", "state": ""}, "layer-says-nothing"),
        ("herbs", {"id": "demo-leef", "name_hans": "示例叶", "basis": "memory"}, "layer-id"),
        ("herbs", {"id": "x-third-leaf", "name_hans": "示例叶", "basis": "memory"}, "layer-id"),
        ("forms", {"id": "demo-leaf.chao", "herb": "demo-leaf", "basis": "memory"}, "layer-id"),
        ("traits", {"id": "waxy", "name_en": "waxy"}, "layer-id"),
        ("units", {"id": "unit", "course": "course", "position": "1", "title": "One"}, "layer-id"),
    ],
)
def test_what_a_layer_may_not_do(tmp_path: Path, table: str, row: dict[str, str], rule: str) -> None:
    """Each is one problem at the layer's line, with what to do; a row that may not change or remove does neither."""
    materia = over(tmp_path, **{table: [row]})
    (problem,) = materia.package.problems
    path = materia.package.tables[table].file
    assert (problem.rule, problem.file, problem.line, problem.severity) == (rule, f"second:{path}", 2, "error")
    assert problem.message and problem.tip
    if rule != "layer-id":
        base = load(tmp_path / "base").package.tables[table]
        kept = set(base.columns) - {"detail", "basis"}
        assert {name: materia.package.tables[table].columns[name] for name in kept} == {
            name: base.columns[name] for name in kept
        }


@pytest.mark.parametrize("table", ["exceptions", "retired", "signoffs"])
def test_record_tables_beneath_are_only_added_to(tmp_path: Path, table: str) -> None:
    """What stands in a record table beneath is neither changed nor taken out."""
    rows: dict[str, Any] = {
        "exceptions": {"rule": "caution-missing", "subject": "demo-leaf", "value": "", "reason": "A.", "by": "owner"},
        "retired": {"id": "demo-old", "kind": "herb", "on_date": "2026-01-01", "reason": "A."},
        "signoffs": {"subject": "demo-leaf", "scope": "safety", "digest": "0" * 64, "by": "owner"},
    }
    base = little(tmp_path / "base", **{table: [rows[table]]})
    stands = load(base).package.tables[table]
    key = {column: stands.columns[column][0] for column in stands.schema.key}
    changed = {"role" if table == "signoffs" else "reason": "B."}
    for more in ({"layer_op": "remove"}, changed):
        materia = load(base, [layer(tmp_path / "second", **{table: [key | more]})])
        assert [rule for rule, _, _ in told(materia)] == ["layer-record"]
        assert materia.package.tables[table].columns == load(base).package.tables[table].columns


def test_new_ids_carry_the_layers_name(tmp_path: Path) -> None:
    """`x-<layer>-name` and, for forms, `herb.x-<layer>-name`; terms, units and sources too."""
    materia = over(
        tmp_path,
        herbs=[{"id": "x-second-grass", "name_hans": "示例草", "category": "clear-heat", "basis": "memory"}],
        forms=[{"id": "demo-leaf.x-second-chao", "herb": "demo-leaf", "kind": "prepared", "basis": "memory"}],
        traits=[{"id": "x-second-waxy", "name_en": "waxy", "broader": "oily"}],
        units=[{"id": "x-second-one", "course": "evening", "position": "1", "title": "One"}],
        unit_subjects=[{"unit": "x-second-one", "subject": "x-second-grass", "position": "1", "depth": "core"}],
    )
    assert not materia.package.problems
    assert "x-second-grass" in materia and "demo-leaf.x-second-chao" in materia
    assert materia.match("taught-in:x-second-one") == ["x-second-grass"]
    assert materia.facts.vocabularies["traits"].up("x-second-waxy") == {"x-second-waxy", "oily"}


def test_later_layers_win(tmp_path: Path) -> None:
    """The topmost layer that fills a cell says it; what it leaves, the one beneath it says."""
    first = layer(tmp_path / "a", id="first", cautions=[PREGNANCY | {"state": "avoid", "detail": "First."}])
    later = layer(tmp_path / "b", id="later", cautions=[PREGNANCY | {"state": "contraindicated"}])
    materia = load(little(tmp_path / "base"), [first, later])
    (fact,) = materia.facts.of("demo-leaf", "caution")
    assert (fact.value, fact.file) == ("contraindicated", "later:herbs/cautions.csv")
    assert cell(materia, "cautions", "demo-leaf|pregnancy|", "detail") == "First."
    cautions = materia.package.tables["cautions"]
    assert [cautions.layer(1, column) for column in ("state", "detail", "reason")] == ["later", "first", ""]
    (other,) = load(tmp_path / "base", [later, first]).facts.of("demo-leaf", "caution")
    assert (other.value, other.file) == ("avoid", "first:herbs/cautions.csv")


def test_a_layer_beneath_keeps_its_word(tmp_path: Path) -> None:
    """Base, first and second layer in one row: each cell with the word of whoever says it."""
    first = layer(tmp_path / "a", id="first", herbs=[{"id": "demo-seed", "nature": "hot", "basis": "memory"}])
    row = {"id": "demo-seed", "flavors": "pungent", "source": "demo-book", "locator": "p. 1", "basis": "collated"}
    materia = load(little(tmp_path / "base"), [first, layer(tmp_path / "b", id="later", herbs=[row])])
    facts = materia.facts
    found = {name: [fact.basis for fact in facts.of("demo-seed", name)] for name in ("nature", "flavor", "channel")}
    assert found == {"nature": ["memory"], "flavor": ["collated"], "channel": ["common-practice"]}


def test_citations_that_only_agreed_with_what_was_replaced_no_longer_speak(tmp_path: Path) -> None:
    """A citation that says "so it stands" goes with the cell; one that states a value, or an item that stays, stays."""
    about = {"about_table": "herbs", "record": "demo-leaf"}
    cited = [
        about | {"column": "nature", "source": "demo-book"},
        about | {"column": "nature", "source": "demo-classic", "stated": "cold"},
        about | {"column": "flavors", "value": "pungent", "source": "demo-book"},
        about | {"column": "flavors", "value": "slightly-bitter", "source": "demo-book"},
    ]
    rows = [{"id": "demo-leaf", "nature": "neutral", "flavors": "pungent", "basis": "common-practice"}]
    materia = load(little(tmp_path / "base", citations=cited), [layer(tmp_path / "second", herbs=rows)])
    citations = materia.package.tables["citations"]
    found = {(row["column"], row["value"], row["stated"]) for row in map(citations.row, range(len(citations)))}
    assert found == {("nature", "", "cold"), ("flavors", "pungent", "")}


def test_the_release_names_data_and_layers(tmp_path: Path) -> None:
    """The release id is the base's, plus `+layer.hex` for each, in their order."""
    first, later = layer(tmp_path / "a", id="first"), layer(tmp_path / "b", id="later")
    base = little(tmp_path / "base")
    materia = load(base, [first, later])
    assert materia.release_id == "+".join([load(base).release_id, *(one.release for one in materia.layers)])
    assert [one.release.split(".")[0] for one in materia.layers] == ["first", "later"]
    assert all(len(one.release.split(".")[1]) == 8 for one in materia.layers)


def test_the_release_changes_with_a_layers_data_and_not_with_what_it_keeps(tmp_path: Path) -> None:
    """A cell, a rule or layer.toml makes another release; base.csv, which no output reads, does not."""
    folder = layer(tmp_path / "second", cautions=[PREGNANCY | {"state": "avoid"}])
    base = little(tmp_path / "base")
    seen = {load(base, [folder]).release_id}
    write(folder / "base.csv", ["table", "record", "column", "value"], [])
    assert load(base, [folder]).release_id in seen
    for path, text in (("rules/a.toml", "# none\n"), ("herbs/names.csv", "subject,name,lang\n")):
        write_text(folder / path, text)
        seen.add(load(base, [folder]).release_id)
    about = folder / "layer.toml"
    about.write_text(about.read_text() + "# more\n")
    seen.add(load(base, [folder]).release_id)
    assert len(seen) == 4


@pytest.mark.parametrize(
    ("version", "text", "is_inside"),
    [
        ("0.1.0", ">=0.1,<0.2", True),
        ("0.2.0", ">=0.1,<0.2", False),
        ("0.1.9", ">=0.1,<0.2", True),
        ("1.0.0", ">=0.1", True),
        ("0.10.0", ">0.9", True),
        ("1.2.3", "=1.2.3", True),
        ("1.2.3-rc.1", "=1.2.3", True),
        ("1.2.3", "<=1.2", False),
    ],
)
def test_ranges(version: str, text: str, is_inside: bool) -> None:
    """Every comparison must hold; numbers left out are 0 and compare as numbers."""
    assert inside(version, text) is is_inside


@pytest.mark.parametrize("text", ["", "0.1", ">=", ">=0.1,", "~=0.1", ">=a", ">=0.1.2.3", ">= 0.1 <0.2"])
def test_what_is_no_range(text: str) -> None:
    """A range is comparisons joined by commas and nothing else."""
    assert not readable(text)


def test_another_base_is_an_error_that_says_both_versions(tmp_path: Path) -> None:
    """The base range is checked; the problem names the range, the version, and the line of layer.toml."""
    materia = load(little(tmp_path / "base"), [layer(tmp_path / "second", base=">=2.0")])
    (problem,) = materia.package.problems
    assert (problem.rule, problem.file, problem.line) == ("layer-base", "second:layer.toml", 3)
    assert ">=2.0" in problem.message and "0.1.0" in problem.message


# what a stranger's folder may hold


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "does not say its id"),
        ('id = "a"\nbase = ">=0.1"\n', "does not say its title"),
        ('id = "a"\ntitle = "A"\n', "does not say its base"),
        ('id = "A"\ntitle = "A"\nbase = ">=0.1"\n', "no id of a layer"),
        ('id = "a b"\ntitle = "A"\nbase = ">=0.1"\n', "no id of a layer"),
        ('id = "../a"\ntitle = "A"\nbase = ">=0.1"\n', "no id of a layer"),
        ('id = "a-"\ntitle = "A"\nbase = ">=0.1"\n', "no id of a layer"),
        (f'id = "{"a" * 41}"\ntitle = "A"\nbase = ">=0.1"\n', "no id of a layer"),
        ('id = "a"\ntitle = "A"\nbase = "0.1"\n', "no range of base versions"),
        ('id = "a"\ntitle = 3\nbase = ">=0.1"\n', "title is not a plain text"),
        ('id = "a"\ntitle = "A\\u202e"\nbase = ">=0.1"\n', "title is not a plain text"),
        ('id = "a"\ntitle = "A"\nbase = ">=0.1"\nmore = 1\n', "no key more"),
        ('id = "a"\ntitel = "A"\nbase = ">=0.1"\n', "Did you mean title?"),
        ('id = "a\n', "this is not TOML"),
        ("a.b.c.d.e = 1\n", "more than four parts"),
        ("a = " + "[" * 200 + "]" * 200, "brackets nested too deeply"),
        ("id = " + "1" * 300_000, "larger than 256 KiB"),
    ],
)
def test_a_layer_toml_that_is_not_sound(tmp_path: Path, text: str, said: str) -> None:
    """Each is refused with one sentence that names the file and what is wrong."""
    write_text(tmp_path / "layer.toml", text)
    with pytest.raises(LayerError, match=r"layer\.toml") as found:
        load(little(tmp_path / "base"), [tmp_path])
    assert said in str(found.value) and "\n" not in str(found.value).strip()


def test_folders_that_are_no_layers(tmp_path: Path) -> None:
    """No folder, no layer.toml, a link in its place, bytes that are not UTF-8."""
    base = little(tmp_path / "base")
    for folder, said in ((tmp_path / "none", "no folder"), (base, "holds no layer.toml")):
        with pytest.raises(LayerError, match=said):
            load(base, [folder])
    linked = tmp_path / "linked"
    linked.mkdir()
    (linked / "layer.toml").symlink_to(layer(tmp_path / "second") / "layer.toml")
    with pytest.raises(LayerError, match="link or a device"):
        load(base, [linked])
    (tmp_path / "second" / "layer.toml").write_bytes('id = "ä"'.encode("latin-1"))
    with pytest.raises(LayerError, match="not UTF-8"):
        load(base, [tmp_path / "second"])


@pytest.mark.parametrize("ids", [("second", "second"), ("north", "north-bank"), ("north-bank", "north")])
def test_two_layers_that_do_not_go_together(tmp_path: Path, ids: tuple[str, str]) -> None:
    """The same id twice, or two of which the ids of one could be the other's, in either order."""
    folders = [layer(tmp_path / str(place), id=id) for place, id in enumerate(ids)]
    with pytest.raises(LayerError, match="both the layer" if ids[0] == ids[1] else "begin alike"):
        load(little(tmp_path / "base"), folders)


def _damaged(folder: Path, kind: str) -> tuple[str, str]:
    """Damage the layer; the rule and the file that must be told."""
    cautions = folder / "herbs" / "cautions.csv"
    text = cautions.read_text()
    match kind:
        case "unknown table":
            write_text(folder / "herbs" / "cautoins.csv", text)
            return "unknown-file", "herbs/cautoins.csv"
        case "unknown column":
            write_text(cautions, text.replace("state", "stat"))
            return "unknown-column", "herbs/cautions.csv"
        case "no key":
            write_text(cautions, "subject,state,basis\ndemo-leaf,avoid,memory\n")
            return "missing-column", "herbs/cautions.csv"
        case "the same row twice":
            write_text(cautions, text + text.split("\n")[1] + "\n")
            return "duplicate-key", "herbs/cautions.csv"
        case "a link":
            cautions.rename(folder / "elsewhere.csv")
            cautions.symlink_to(folder / "elsewhere.csv")
            return "not-a-plain-file", "herbs/cautions.csv"
        case "a pipe":
            os.mkfifo(folder / "herbs" / "doses.csv")
            return "not-a-plain-file", "herbs/doses.csv"
        case "a linked folder":
            (folder / "record").symlink_to(folder / "herbs")
            return "not-a-plain-file", "record"
        case "too large":
            (folder / "herbs" / "doses.csv").write_bytes(b"x" * (16 * 1024 * 1024 + 1))
            return "oversized-file", "herbs/doses.csv"
        case "a large rule file":
            write_text(folder / "rules" / "a.toml", "#" * (256 * 1024 + 1))
            return "oversized-file", "rules/a.toml"
        case "too short a line":
            write_text(cautions, text + "demo-seed,pregnancy\n")
            return "ragged-row", "herbs/cautions.csv"
        case "other encoding":
            cautions.write_bytes((text + "demo-seed,pregnancy,,avoid,memory\n").replace("memory", "记忆").encode("gbk"))
            return "not-utf-8", "herbs/cautions.csv"
        case _:
            write_text(cautions, text.replace("avoid", "av\u200boid"))
            return "invisible-character", "herbs/cautions.csv"


@pytest.mark.parametrize(
    "kind",
    [
        "unknown table", "unknown column", "no key", "the same row twice", "a link", "a pipe", "a linked folder",
        "too large", "a large rule file", "too short a line", "other encoding", "an invisible character",
    ],
)  # fmt: skip
def test_hostile_files_are_told_by_name(tmp_path: Path, kind: str) -> None:
    """The limits are the base's: each is an error in the layer's own file, and the rest is read."""
    folder = layer(tmp_path / "second", cautions=[PREGNANCY | {"state": "avoid"}])
    rule, path = _damaged(folder, kind)
    materia = load(little(tmp_path / "base"), [folder])
    assert (rule, f"second:{path}") in [(one[0], one[1]) for one in errors(materia)]
    assert len(materia) == 7


def test_the_topmost_hides_no_error_beneath(tmp_path: Path) -> None:
    """A wrong cell of a lower layer is told though a higher one fills it rightly."""
    first = layer(tmp_path / "a", id="first", cautions=[PREGNANCY | {"state": "shun"}])
    later = layer(tmp_path / "b", id="later", cautions=[PREGNANCY | {"state": "avoid"}])
    found = errors(load(little(tmp_path / "base"), [first, later]))
    assert ("unknown-term", "first:herbs/cautions.csv", 2, "state") in found
