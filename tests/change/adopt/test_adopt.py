"""From a school's sheet to a layer: nothing loosened unasked, answers kept, only what differs written."""

import csv
import io
import random
import tomllib
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from materia_data.change.adopt.adopt import adopt
from materia_data.change.adopt.against import dose_rows
from materia_data.change.adopt.result import Adopted
from materia_data.change.adopt.trouble import AdoptError
from materia_data.check.safety import compare, safety_facts
from materia_data.materia import Materia
from materia_data.read.package import Package
from materia_data.read.schema import table_schemas
from materia_data.read.table import Table

HEADINGS = ["药名", "Pinyin", "Taste & temp", "Meridians", "Actions", "Dose (g)", "Preg", "Caution", "Incompat"]


def _sheet(folder: Path, rows: Iterable[Iterable[str]], headings: list[str] = HEADINGS) -> Path:
    path = folder / "sheet.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([headings, *rows])
    return path


def _answered(folder: Path, result: Adopted, answers: dict[str, str]) -> Path:
    """The mapping with the answer of each question whose key holds the word; `school` with all that it needs."""
    text = result.files["mapping.toml"]
    for word, answer in answers.items():
        (key,) = (one.key for one in result.questions if word in one.key)
        head, found, tail = text.partition(f'key = "{key}"')
        assert found
        tail = tail.replace('answer = ""', f'answer = "{answer}"', 1)
        if answer == "school":
            for name, said in (("reason", "As taught here."), ("source", "chp-2020-1"), ("by", "course owner")):
                tail = tail.replace(f'{name} = ""', f'{name} = "{said}"', 1)
        text = head + found + tail
    path = folder / "mapping.toml"
    path.write_text(text, encoding="utf-8")
    return path


def _layer(result: Adopted) -> dict[str, list[dict[str, str]]]:
    by_path = {schema.path: name for name, schema in table_schemas().items()}
    return {
        by_path[path.removeprefix("layer/")]: list(csv.DictReader(io.StringIO(text)))
        for path, text in result.files.items()
        if path.startswith("layer/") and path.endswith(".csv")
    }


def _over(base: Package, layer: dict[str, list[dict[str, str]]]) -> Package:
    """The base with the layer's rows over it, by key, a filled cell replacing (semantics, 6)."""
    tables: dict[str, Any] = dict(base.tables)
    for name, rows in layer.items():
        table, schema = base.tables[name], base.tables[name].schema
        columns = {column: list(cells) for column, cells in table.columns.items()}
        places = {table.key(row): row for row in range(len(table))}
        for row in rows:
            key = "|".join(row.get(column, "") for column in schema.key)
            if key not in places:
                places[key] = len(columns[schema.key[0]])
                for column in columns:
                    columns[column].append("")
            for column, cell in row.items():
                if cell:
                    columns[column][places[key]] = cell
        tables[name] = Table(schema, columns, range(2, len(columns[schema.key[0]]) + 2))
    return replace(base, tables=tables, _kinds=None)


def test_what_the_base_says_already_makes_no_layer(tmp_path: Path, shipped: Materia) -> None:
    """A sheet that agrees with the base in every cell gives a layer without a table, and no question."""
    rows = [["黄芪", "huáng qí", "sweet, slightly warm", "", "", "", "", "", ""]]
    result = adopt(shipped, _sheet(tmp_path, rows), id="demo")
    assert not result.questions and not result.differences and _layer(result) == {}
    assert {one.verdict for one in result.placed} == {"same"}


def test_a_layer_holds_only_what_differs_and_claims_no_more_than_it_may(tmp_path: Path, shipped: Materia) -> None:
    """A stricter caution, a new action and another flavor are written, with basis common-practice and no source."""
    rows = [["桃仁", "", "salty; neutral", "", "moves the blood; brightens the eyes", "", "avoid", "", ""]]
    result = adopt(shipped, _sheet(tmp_path, rows), id="demo", title="Demo school")
    layer = _layer(result)
    assert [(row["topic"], row["state"]) for row in layer["cautions"]] == [("pregnancy", "avoid")]
    assert [row["action"] for row in layer["herb_actions"]] == ["brighten-eyes"]
    assert [(row["id"], row["flavors"]) for row in layer["herbs"]] == [("tao-ren", "salty")]
    assert {row["basis"] for table in layer.values() for row in table} == {"common-practice"}
    assert not any(row.get("source") for table in layer.values() for row in table)
    about = tomllib.loads(result.files["layer/layer.toml"])
    assert (about["id"], about["title"]) == ("demo", "Demo school") and about["base"].startswith(">=")
    for path, text in result.files.items():
        if path.startswith("layer/") and path.endswith(".csv"):
            (schema,) = (one for one in table_schemas().values() if one.path == path.removeprefix("layer/"))
            assert set(schema.key) <= set(text.splitlines()[0].split(",")) <= set(schema.by_name)


def test_what_is_looser_is_told_first_and_written_only_with_an_answer(tmp_path: Path, shipped: Materia) -> None:
    """A milder caution waits; with the school's reason, source and role it comes with its row in loosenings."""
    sheet = _sheet(tmp_path, [["麻黄", "", "", "", "", "2-15", "caution", "", ""]])
    first = adopt(shipped, sheet, id="demo")
    assert [one.kind for one in first.differences] == ["looser", "looser"]
    assert _layer(first) == {} and len(first.open) == 2
    bare = _answered(tmp_path, first, {"ma-huang cautions": "school"})
    bare.write_text(bare.read_text(encoding="utf-8").replace('by = "course owner"', 'by = ""'), encoding="utf-8")
    assert len(adopt(shipped, sheet, mapping=bare).open) == 2
    second = adopt(
        shipped, sheet, mapping=_answered(tmp_path, first, {"ma-huang cautions": "school", "ma-huang doses": "base"})
    )
    assert not second.open and second.id == "demo"
    layer = _layer(second)
    assert [row["state"] for row in layer["cautions"]] == ["caution"] and "doses" not in layer
    (row,) = layer["loosenings"]
    assert (row["predicate"], row["qualifiers"], row["was"], row["now"]) == (
        "caution", "topic=pregnancy", "avoid", "caution",
    )  # fmt: skip


def test_a_row_with_an_open_name_waits_whole(tmp_path: Path, shipped: Materia) -> None:
    """Nothing of a row is written while it may be da ji the thistle or da ji the spurge; an answer lets it through."""
    sheet = _sheet(tmp_path, [["", "da ji", "salty, cool", "", "", "", "contraindicated", "", ""]])
    first = adopt(shipped, sheet, id="demo")
    assert [one.kind for one in first.open] == ["name"] and _layer(first) == {}
    assert {one.verdict for one in first.placed} == {"held"}
    second = adopt(shipped, sheet, mapping=_answered(tmp_path, first, {"name: ": "da-ji"}))
    assert not second.open
    assert [row["subject"] for row in _layer(second)["cautions"]] == ["da-ji"]


def test_columns_without_a_known_heading_are_judged_by_their_cells(tmp_path: Path, shipped: Materia) -> None:
    """Actions and ways of cooking are recognized; doses are asked about, and so is whatever speaks of safety; boxes
    on a shelf are left."""
    headings = ["Herb", "Enters", "Helps to", "In the pan", "Weigh out", "House rules", "Stuff"]
    rows = [
        ["黄芪", "Lu", "tonify qi; raise yang", "", "9-30 g", "not in fever", "box 3"],
        ["麻黄", "Lu", "induce sweating, calm wheezing", "boil first", "2-9 g", "", "box 1"],
        ["薄荷", "Lu", "disperse wind-heat", "add late", "3-6 g", "", "box 2"],
        ["辛夷", "Lu", "unblock the nose", "in a cloth bag", "3-9 g", "", "box 3"],
    ]
    result = adopt(shipped, _sheet(tmp_path, rows, headings), id="demo")
    assert [(one.heading, one.means) for one in result.columns] == [
        ("Herb", "name"), ("Enters", "channels"), ("Helps to", "actions"), ("In the pan", "handling"),
        ("Weigh out", ""), ("House rules", ""), ("Stuff", ""),
    ]  # fmt: skip
    asked = {one.places[0].column: one.choices for one in result.open if one.kind == "column"}
    assert asked == {"Weigh out": ("dose", "leave"), "House rules": ("note", "leave")}
    assert not [one for one in result.placed if one.table in ("doses", "cautions")]


def test_headings_are_found_above_the_names_even_if_none_is_known(tmp_path: Path, shipped: Materia) -> None:
    """Where no heading is known, the row above the first of several names holds them."""
    rows = [
        ["what", "how it is", "where"],
        ["黄芪", "sweet", "lung"],
        ["麻黄", "pungent", "lung"],
        ["薄荷", "cool", "liver"],
    ]
    result = adopt(shipped, _sheet(tmp_path, rows, ["our list"]), id="demo")
    assert [(one.heading, one.means) for one in result.columns] == [
        ("what", "name"), ("how it is", "nature"), ("where", "channels"),
    ]  # fmt: skip
    assert result.subjects == ("huang-qi", "ma-huang", "bo-he")


def test_names_of_others_do_not_name_the_row(tmp_path: Path, shipped: Materia) -> None:
    """A column of names under a heading that nobody knows names the row only where it agrees with the other names."""
    rows = [["gan cao", "甘遂、海藻", "甘草"], ["ban xia", "川乌", "半夏"], ["ma huang", "", "麻黄"]]
    result = adopt(shipped, _sheet(tmp_path, rows, ["Herb", "Foes", "Signs"]), id="demo")
    assert [one.means for one in result.columns] == ["name", "", "name"]
    assert [one.choices for one in result.open] == [("antagonisms", "leave")]
    assert result.subjects == ("gan-cao", "ban-xia", "ma-huang")


def test_the_most_alone_may_be_answered(tmp_path: Path, shipped: Materia) -> None:
    """A single number answered as the most gives a row without a least."""
    sheet = _sheet(tmp_path, [["山楂", "", "", "", "", "10", "", "", ""]])
    first = adopt(shipped, sheet, id="demo")
    assert len(first.open) == 1 and _layer(first) == {}
    second = adopt(shipped, sheet, mapping=_answered(tmp_path, first, {"dose: ": "1"}))
    assert not second.open
    assert [(row.get("min", ""), row["max"]) for row in _layer(second)["doses"]] == [("", "10")]


@pytest.mark.parametrize(
    ("english", "hans", "subject"),
    [
        ("Deer antler", "鹿茸", "lu-rong"),
        ("Aucklandia", "木香", "mu-xiang"),
        ("Licorice", "黄芪", ""),
        ("Akebia", "木通", ""),
    ],
)
def test_an_english_name_beside_characters(
    tmp_path: Path, shipped: Materia, english: str, hans: str, subject: str
) -> None:
    """In a column of names it may be a shorter form of the right one; one that says another medicinal is asked about,
    and so is one that several have where a withdrawn one may be meant."""
    result = adopt(shipped, _sheet(tmp_path, [[english, hans, "warm"]], ["Item", "Chinese", "Temp"]), id="demo")
    assert (result.subjects, len(result.open)) == ((subject,) if subject else (), 0 if subject else 1)


def test_a_withdrawn_one_behind_a_short_name_is_asked_unless_latin_settles_it(tmp_path: Path, shipped: Materia) -> None:
    """木通 alone is asked about; 木通 with its pharmaceutical name is not."""
    assert adopt(shipped, _sheet(tmp_path, [["木通", "mù tōng", *[""] * 7]]), id="demo").open
    rows = [["木通", "Akebiae Caulis", "", "", "", "", "", "", ""]]
    headings = ["药名", "Latin", *HEADINGS[2:]]
    assert not adopt(shipped, _sheet(tmp_path, rows, headings), id="demo").open


def test_a_new_medicinal_needs_all_its_names(tmp_path: Path, shipped: Materia) -> None:
    """One that nobody recorded becomes x-demo-…, once the answer gives the names that the sheet has not."""
    sheet = _sheet(
        tmp_path, [["黄芪", "", *[""] * 7], ["河岸草", "hé àn cǎo", "bitter, cool", "lung", "", "3-6", "", "", ""]]
    )
    first = adopt(shipped, sheet, id="demo")
    (question,) = first.open
    assert "new" in question.choices
    assert adopt(shipped, sheet, mapping=_answered(tmp_path, first, {"name: ": "new"})).open
    more = "new name_hant=河岸草 name_en='riverbank herb' category=clear-heat".replace("'", '\\"')
    second = adopt(shipped, sheet, mapping=_answered(tmp_path, first, {"name: ": more}))
    assert not [one for one in second.open if one.kind == "name"]
    (herb,) = _layer(second)["herbs"]
    assert (herb["id"], herb["name_hans"], herb["name_en"], herb["nature"]) == (
        "x-demo-he-an-cao", "河岸草", "riverbank herb", "cool",
    )  # fmt: skip


def test_two_rows_that_contradict_each_other_about_safety_are_asked_about(tmp_path: Path, shipped: Materia) -> None:
    """The same medicinal twice, once to be avoided and once contraindicated: neither is taken without an answer."""
    rows = [["桃仁", "", "", "", "", "", "avoid", "", ""], ["桃仁", "", "", "", "", "", "contraindicated", "", ""]]
    result = adopt(shipped, _sheet(tmp_path, rows), id="demo")
    assert [one.key.partition(":")[0] for one in result.open] == ["twice"] and _layer(result) == {}


def test_nothing_is_lost(tmp_path: Path, shipped: Materia) -> None:
    """Every cell of the sheet is placed, asked about or kept, with its row and heading."""
    rows = [["桃仁", "tao ren", "odd taste", "Li", "sings songs", "9-Mar", "maybe", "unless raw", "unknown thing"]]
    result = adopt(shipped, _sheet(tmp_path, rows), id="demo")
    seen = {one.place.column for one in result.placed} | {one.place.column for one in result.left_over}
    assert seen == set(HEADINGS)
    assert {"sings songs", "9-Mar", "maybe", "unless raw", "unknown thing"} <= {one.text for one in result.left_over}


def test_a_mapping_run_again_gives_the_same(tmp_path: Path, shipped: Materia) -> None:
    """The mapping that a run writes leads to the same answer, byte for byte."""
    rows = [
        [
            "桃仁",
            "tao ren",
            "salty, toxic",
            "Li",
            "quickens blood",
            "5-15g",
            "no",
            "unless raw",
            "li lu",
            "avoid",
            "yes",
        ],
        ["全蝎", "", "", "", "", "3-6 g", "avoid", "loose stools", "", "caution", "yes"],
        ["巴豆", "", "toxic", "", "", "", "caution", "", "", "contraindicated", "yes"],
    ]
    first = adopt(shipped, _sheet(tmp_path, rows, [*HEADINGS, "Lactation", "Toxic?"]), id="demo")
    topics = {one.record.split("|")[1] for one in first.placed if one.place.column == "Lactation"}
    assert topics == {"lactation"}
    second = adopt(shipped, tmp_path / "sheet.csv", mapping=_answered(tmp_path, first, {}))
    assert dict(second.files) == dict(first.files)


def test_a_decision_follows_its_column(tmp_path: Path, shipped: Materia) -> None:
    """When a column is put in before it, what was decided about a heading still holds, and for no other."""
    sheet = _sheet(tmp_path, [["桃仁", "avoid", "caution"]], ["药名", "Preg", "Lactation"])
    mapping = _answered(tmp_path, adopt(shipped, sheet, id="demo"), {})
    text = mapping.read_text(encoding="utf-8").replace('means = "topic:lactation"', 'means = "leave"')
    mapping.write_text(text, encoding="utf-8")
    sheet = _sheet(tmp_path, [["桃仁", "x", "avoid", "caution"]], ["药名", "Lot", "Preg", "Lactation"])
    again = adopt(shipped, sheet, mapping=mapping)
    assert [(one.heading, one.means) for one in again.columns] == [
        ("药名", "name"), ("Lot", "leave"), ("Preg", "topic:pregnancy"), ("Lactation", "leave"),
    ]  # fmt: skip
    assert [row["topic"] for row in _layer(again)["cautions"]] == ["pregnancy"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('means = "channels"', 'means = "chanels"'), "Did you mean"),
        (('answer = ""', 'answer = "cautions topic=pregnncy state=avoid"'), "pregnncy"),
        (('answer = ""', 'answer = "cautions topic=pregnancy state=bad"'), "takes contraindicated"),
        (("[[question]]", "[[qestion]]"), "Did you mean question"),
        (('kind = "term"', "kind = term"), "TOML"),
    ],
)
def test_a_wrong_mapping_is_told(tmp_path: Path, shipped: Materia, change: tuple[str, str], said: str) -> None:
    """A slip in the mapping names itself; nothing is guessed."""
    sheet = _sheet(tmp_path, [["桃仁", "", "", "Sp", "", "", "not in preg", "", ""]])
    first = adopt(shipped, sheet, id="demo")
    mapping = tmp_path / "mapping.toml"
    mapping.write_text(first.files["mapping.toml"].replace(*change, 1), encoding="utf-8")
    with pytest.raises(AdoptError, match=said):
        adopt(shipped, sheet, mapping=mapping)


def test_no_sheet_loosens_the_base_without_an_answer(tmp_path: Path, shipped: Materia, record_property: Any) -> None:
    """A hundred and twenty medicinals with doses and cautions moved up and down at random: with the layer over the
    base nothing is weaker than before (compared as semantics.md, 5, says)."""
    chance = random.Random(20261125)
    facts = shipped.facts
    herbs = shipped.package.tables["herbs"].columns
    rows = []
    for at in chance.sample(range(len(herbs["id"])), 120):
        id = herbs["id"][at]
        amounts = [row for row in dose_rows(facts, id) if row["route"] == "decoction" and row["max"]]
        least, most = (float(amounts[0][end] or 1) for end in ("min", "max")) if amounts else (3.0, 9.0)
        factor = chance.choice([0.5, 1, 1, 2])
        states = ["", "caution", "avoid", "contraindicated", "慎用", "禁用", "ok", "no"]
        about = chance.choice(["yin def heat", "warfarin", "阴虚火旺", "spleen-stomach cold", "loose stools"])
        rows.append([
            herbs["name_hans"][at], "",
            chance.choice(["sweet, warm", "bitter; cold; slightly toxic", "辛温，无毒"]), "", "",
            f"{least:g}-{most * factor:g}{chance.choice(['', ' g', '克', ', decoct first', ' (powder)'])}",
            chance.choice(states), f"{chance.choice(states[1:4])} in {about}", chance.choice(["", "li lu", "反甘草"]),
        ])  # fmt: skip
    result = adopt(shipped, _sheet(tmp_path, rows), id="demo")
    layer = _layer(result)
    assert len(result.subjects) > 100 and sum(map(len, layer.values())) > 100
    record_property("sample", f"{len(rows)} medicinals, {sum(map(len, layer.values()))} rows in the layer")
    over = Materia(_over(shipped.package, layer))
    changes = compare(safety_facts(shipped), safety_facts(over))
    assert [one for one in changes if one.effect == "strengthened"]
    assert [one for one in changes if one.effect in ("weakened", "removed")] == []
