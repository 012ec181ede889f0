"""A recipe in a file: what is read, and what each damaged file is told."""

from pathlib import Path

import pytest

from materia_data import load
from materia_data.materia import Materia
from materia_data.teach.formula.recipe import Recipe, RecipeError, read_recipe, recipe_of, weight_of
from tests.little import little


@pytest.fixture
def school(tmp_path: Path) -> Materia:
    """The little package, the four names told apart."""
    herbs = [
        {"id": f"demo-{id}", "name_hans": name, "name_hant": name}
        for id, name in (("kelp", "甲藻"), ("leaf", "乙叶"), ("root", "丙根"), ("seed", "丁子"))
    ]
    return load(little(tmp_path / "package", herbs=herbs))


def read(materia: Materia, folder: Path, text: str | bytes) -> Recipe:
    file = folder / "recipe.csv"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_recipe(materia, file)


def test_a_file_of_ids_and_names_is_read(school: Materia, tmp_path: Path) -> None:
    """Ids and Chinese names, amounts and handlings; empty lines count for nothing; a byte order mark does no harm."""
    recipe = read(school, tmp_path, "\ufeffname,amount_g,handling\ndemo-kelp,9,\n\n乙叶,4.5,add-late\n")
    assert [(item.subject, item.amount, item.handling) for item in recipe.items] == [
        ("demo-kelp", 9.0, ""),
        ("demo-leaf", 4.5, "add-late"),
    ]
    assert recipe.unknown == () and recipe.amounts_are == "daily"


def test_names_alone_are_a_recipe(school: Materia, tmp_path: Path) -> None:
    """Amount and handling may be left out, and the columns stand in any order."""
    assert read(school, tmp_path, "name\ndemo-kelp\n").items[0].amount is None
    assert read(school, tmp_path, "amount_g,name\n3,demo-kelp\n").items[0].amount == 3.0


def test_a_bare_name_means_the_default_form(school: Materia, tmp_path: Path) -> None:
    """What was entered is kept; what it means is the prepared form."""
    (item,) = read(school, tmp_path, "name\n丙根\n").items
    assert (item.subject, item.means, item.as_written) == ("demo-root", "demo-root.zhi", "丙根")


def test_an_unknown_name_is_never_guessed(school: Materia, tmp_path: Path) -> None:
    """It stands among the unknown with its place, and the others keep theirs."""
    recipe = read(school, tmp_path, "name\ndemo-kelp\nquite unheard of\ndemo-leaf\n")
    assert [item.position for item in recipe.items] == [1, 3]
    (unknown,) = recipe.unknown
    assert (unknown.position, unknown.name, unknown.why) == (2, "quite unheard of", "is not understood")


def test_a_name_of_two_medicinals_is_not_guessed(tmp_path: Path) -> None:
    """Where two have the same name, both are named and neither is taken."""
    materia = load(little(tmp_path / "package", names=[{"subject": "demo-seed", "name": "demo mint", "lang": "en"}]))
    (unknown,) = read(materia, tmp_path, "name\ndemo mint\n").unknown
    assert set(unknown.may_mean) == {"demo-leaf", "demo-seed"} and unknown.why == "may mean more than one medicinal"


def test_a_formula_is_no_item(school: Materia, tmp_path: Path) -> None:
    """A recipe is made of medicinals."""
    assert [one.name for one in read(school, tmp_path, "name\ndemo-tang\n").unknown] == ["demo-tang"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("name,amont_g\ndemo-kelp,9\n", "line 1: there is no column amont_g. Did you mean amount_g"),
        ("herb,dose\ndemo-kelp,9\n", "line 1: there is no column herb. The columns are name, amount_g, handling"),
        ("amount_g\n9\n", "line 1: the header must name the column name once"),
        ("name,name\ndemo-kelp,demo-leaf\n", "line 1: the header must name the column name once"),
        ("", "line 1: the header must name the column name once"),
        ("name\n\n", "names no medicinal. Write one on each line"),
        ("name,amount_g\ndemo-kelp\n", "line 2: 1 cells where the header has 2"),
        ("name,amount_g\ndemo-kelp,9,x\n", "line 2: 3 cells where the header has 2"),
        ("name,amount_g\n,9\n", "line 2: the name is empty. Write the medicinal, or take the line out"),
        ("name,amount_g\ndemo-kelp,3\ndemo-leaf,9g\n", "line 3: 9g is no amount in grams. Write the number alone"),
        ("name,amount_g\ndemo-kelp,-3\n", "line 2: -3 is no amount"),
        ("name,amount_g\ndemo-kelp,3-9\n", "line 2: 3-9 is no amount"),
        ("name,amount_g\ndemo-kelp,1e3\n", "line 2: 1e3 is no amount"),
        ("name,amount_g\ndemo-kelp,９\n", "line 2: ９ is no amount"),
        ("name,handling\ndemo-kelp,add-lat\n", "line 2: add-lat is no handling. Did you mean add-late"),
        ('name\n"demo-kelp\n', "is not a CSV"),
        ("name\ndemo\0kelp\n", r"control character U\+0000"),
        ("name\n" + "demo-kelp\n" * 101, "has 101 items. A recipe has at most 100"),
        (b"PK\x03\x04rest", "is a spreadsheet or an archive, not a CSV. Save it as CSV"),
        ("name\n甲藻\n".encode("gb18030"), r"is not UTF-8 \(at byte 5\). Save it as CSV in UTF-8"),
        (b"name\n" + b"x" * 300_000, "is larger than 256 KiB"),
    ],
)
def test_a_damaged_file_is_told_where_and_what_to_do(
    school: Materia, tmp_path: Path, text: str | bytes, says: str
) -> None:
    """The message names the line and the cure, and nothing is read."""
    with pytest.raises(RecipeError, match=says):
        read(school, tmp_path, text)


def test_a_file_that_is_not_there_or_no_file_is_told(school: Materia, tmp_path: Path) -> None:
    """A missing file and a folder."""
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(RecipeError, match="There is no file"):
            read_recipe(school, path)


def test_a_formula_on_record_is_a_recipe(school: Materia) -> None:
    """In the order of its positions, with roles and what it is for."""
    recipe = recipe_of(school.facts, "demo-tang")
    assert [(item.subject, item.roles, item.amount) for item in recipe.items] == [
        ("demo-leaf", ("chief",), 6.0),
        ("demo-seed", ("assistant", "envoy"), 3.0),
    ]
    assert recipe.actions == ("clear-heat",)


def test_shares_are_by_amount_only_where_every_item_has_one(school: Materia, tmp_path: Path) -> None:
    """6 and 3 g weigh two thirds and one third; one amount missing and each weighs the same; shares add up to one."""
    assert weight_of(recipe_of(school.facts, "demo-tang").items) == {1: pytest.approx(2 / 3), 2: pytest.approx(1 / 3)}
    half = read(school, tmp_path, "name,amount_g\ndemo-kelp,9\ndemo-leaf,\n")
    assert weight_of(half.items) == {1: 0.5, 2: 0.5}
