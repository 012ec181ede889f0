"""Quiz items chosen by seed, kind, difficulty and blueprint, and how they are written: over a little package."""

import csv
import io
from pathlib import Path

import pytest

from materia_data.cli import main
from materia_data.materia import Materia, load
from materia_data.study.items.blueprint import BlueprintError, Want, read_blueprint
from materia_data.study.items.choose import items
from materia_data.study.items.paper import quiz_markdown, quiz_pdf
from materia_data.study.items.table import COLUMNS, quiz_csv
from materia_data.study.selection import SelectionError
from tests.little import little
from tests.study.read_back import pdf_text, squeezed

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Materia:
    return load(little(tmp_path_factory.mktemp("items") / "package"))


def test_a_nature_is_asked_with_three_that_it_certainly_is_not(small: Materia) -> None:
    """Demo leaf is cool: the item has cool as its key, and neither cool nor slightly cold (the same rank) beside it."""
    made = items(small, kinds=["property"], count=25, seed="2").versions[0].items
    (item,) = (one for one in made if one.about == ("demo-leaf",) and "nature" in one.stem)
    texts = [option.text for option in item.options]
    assert len(texts) == 4 and item.stem == "What is the nature of 示例叶 shì lì yè?"
    assert texts[item.key] == "cool" and "slightly cold" not in texts
    assert item.facts == ("herbs/herbs.csv demo-leaf nature",)
    assert (item.category, item.about) == ("clear-heat", ("demo-leaf",))


def test_difficulty_is_half_likeness_and_half_rarity(small: Materia) -> None:
    """Demo kelp is cold, one of two in its category: rarity 1/2. Its distractors are cool (1/2), and two that no mate
    is: likeness 1/6. Worked by hand: (1/2 + 1/6) / 2 = 0.33."""
    made = items(small, kinds=["property"], count=25).versions[0].items
    (item,) = (one for one in made if one.about == ("demo-kelp",) and "nature" in one.stem)
    likeness = sum(option.text in ("cool", "cold") for option in item.options if not option.right) / 3 / 2
    assert item.difficulty == round((0.5 + likeness) / 2, 2) == 0.33


def test_the_kinds_take_turns_and_nothing_is_asked_twice(small: Materia) -> None:
    """Eight of two kinds, of which one has only four: four each; no stem has the same key twice."""
    made = items(small, kinds=["property", "caution"], count=8).versions[0].items
    assert sorted(item.kind for item in made) == ["caution"] * 4 + ["property"] * 4
    assert len({(item.stem, item.options[item.key].text) for item in made}) == 8


def test_versions_share_no_item(small: Materia) -> None:
    """Three papers of eight out of twenty-five: no question with its answer stands on two."""
    quiz = items(small, kinds=["property"], count=8, versions=3)
    asked = [(one.stem, one.options[one.key].text) for version in quiz.versions for one in version.items]
    assert [version.letter for version in quiz.versions] == ["A", "B", "C"]
    assert len(asked) == len(set(asked)) == 24


def test_the_same_seed_gives_the_same_bytes(small: Materia) -> None:
    """In CSV, Markdown and PDF; another seed gives another paper."""
    one, same, other = (items(small, kinds=["property"], count=9, seed=seed) for seed in ("7", "7", "8"))
    assert quiz_csv(one) == quiz_csv(same) != quiz_csv(other)
    assert quiz_markdown(one, key=True) == quiz_markdown(same, key=True)
    assert quiz_pdf(one, key=True) == quiz_pdf(same, key=True)


def test_a_blueprint_gives_so_many_of_each_of_so_much(small: Materia) -> None:
    """Two of heat-clearing and one caution, for each of two versions."""
    wants = read_blueprint(
        '[[want]]\nkind = "property"\ncount = 2\nof = "clear-heat"\ndifficulty = [0, 0.9]\n'
        '[[want]]\nkind = "caution"\ncount = 1\n'
    )
    assert wants == (Want("property", 2, "clear-heat", (0.0, 0.9)), Want("caution", 1))
    quiz = items(small, wants=wants, versions=2)
    for version in quiz.versions:
        assert sorted(item.kind for item in version.items) == ["caution", "property", "property"]
        assert all(item.category == "clear-heat" for item in version.items if item.kind == "property")


def test_what_runs_out_is_named_with_how_many_are_missing(small: Materia) -> None:
    """Four cautions and no stand-out can be made, so of 6 and 3 are missing 2 and 3."""
    with pytest.raises(BlueprintError) as error:
        items(small, wants=[Want("caution", 6), Want("stand-out", 3, "clear-heat"), Want("property", 1)])
    said = str(error.value)
    assert "caution runs out after 4: 2 more are needed" in said
    assert "stand-out of clear-heat runs out after 0: 3 more are needed" in said
    assert "property" not in said
    with pytest.raises(BlueprintError, match=r"9 items are asked for and 4 can be made \(caution 4\)"):
        items(small, kinds=["caution"], count=9)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "there is none"),
        ("[[want]\n", "no TOML"),
        ('title = "x"\n[[want]]\nkind = "property"\ncount = 1\n', "title is not one of them"),
        ('[[want]]\nkind = "propery"\ncount = 1\n', "[[want]] 1: there is no kind propery. Did you mean property"),
        ('[[want]]\nkind = "property"\ncount = 1\n[[want]]\nkind = "caution"\ncount = 0\n', "[[want]] 2: count is 0"),
        ('[[want]]\nkind = "property"\ncount = true\n', "count is True"),
        ('[[want]]\nkind = "property"\ncout = 1\n', "cout is not known. Did you mean count"),
        ('[[want]]\nkind = "property"\ncount = 1\nof = 3\n', "of takes a category"),
        ('[[want]]\nkind = "property"\ncount = 1\ndifficulty = [0.7, 0.3]\n', "difficulty is two numbers"),
        ('[[want]]\nkind = "property"\ncount = 1\n' + "#" * 65_536, "larger than 64 KiB"),
    ],
)
def test_a_blueprint_that_cannot_be_read_says_where_and_why(text: str, says: str) -> None:
    """The block, the word, and what to write."""
    with pytest.raises(BlueprintError) as error:
        read_blueprint(text)
    assert says in str(error.value)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["demo-unti"], "demo-unti is no category, group or unit, and no pattern. Did you mean demo-unit"),
        (["nature:very-hot"], "Nothing matches nature:very-hot"),
        (["--kind", "propery"], "there is no kind propery. Did you mean property"),
        (["--difficulty", "hard"], "--difficulty hard: write two numbers from 0 to 1"),
        (["--difficulty", "0.8..0.2"], "write two numbers from 0 to 1"),
        (["--versions", "11"], "There are 1 to 10 versions"),
        (["--count", "0"], "0 items are asked for"),
        (["--out", "quiz.doc"], "quiz.doc ends in none of"),
        (["--blueprint", "no-such.toml"], "no-such.toml cannot be read"),
        (["--kind", "caution", "--count", "5"], "5 items are asked for and 4 can be made"),
        (["--kind", "caution", "--count", "1", "--out", "no-such-folder/quiz.csv"], "cannot be written"),
    ],
)
def test_bad_input_ends_with_2_and_one_message(
    words: list[str], says: str, small: Materia, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is wrong and what to do, never a traceback."""
    assert main(["study", "items", *words, "--data", str(small.package.root)]) == 2
    assert says in capsys.readouterr().err


def test_an_empty_selection_is_refused(small: Materia) -> None:
    """Nothing to ask about is no quiz."""
    with pytest.raises(SelectionError, match="Nothing matches"):
        items(small, "nature:very-hot")


def test_csv_has_the_documented_header_and_the_key_as_a_letter(small: Materia) -> None:
    """One line an item; the letter leads to the right option; a claim a column."""
    quiz = items(small, kinds=["property", "caution"], count=4, versions=2)
    lines = list(csv.DictReader(io.StringIO(quiz_csv(quiz))))
    made = [item for version in quiz.versions for item in version.items]
    assert tuple(lines[0]) == COLUMNS and len(lines) == len(made) == 8
    for line, item in zip(lines, made, strict=True):
        assert line[line["answer"].lower()] == item.options[item.key].text
        assert line["id"] == item.id and line["facts"].split(";") == list(item.facts)
        claim = item.options[item.key].claim
        assert line[f"claim_{line['answer'].lower()}"].split("|") == [
            claim.subject, claim.predicate, claim.value, "yes" if claim.holds else "no",
        ]  # fmt: skip


def test_a_name_that_a_spreadsheet_would_reckon_with_is_made_harmless(tmp_path: Path) -> None:
    """A term called `=1+1` begins with an apostrophe in CSV."""
    natures = [{"id": one, "name_en": f"={number}+1"} for number, one in enumerate(("cold", "cool", "hot", "warm"))]
    made = load(little(tmp_path / "package", natures=natures))
    table = quiz_csv(items(made, kinds=["property"], count=25))
    cells = [cell for row in csv.reader(io.StringIO(table)) for cell in row]
    assert any(cell.startswith("'=") for cell in cells)
    assert not any(cell.startswith("=") for cell in cells)


def test_the_paper_asks_and_the_key_answers(small: Materia, tmp_path: Path) -> None:
    """In Markdown and PDF: without the key no reason is told; with it every item's reason, letter and facts."""
    quiz = items(small, kinds=["caution"], count=4)
    paper, key = quiz_markdown(quiz), quiz_markdown(quiz, key=True, paper_too=False)
    page, answers = (
        squeezed(pdf_text(quiz_pdf(quiz, key=with_key, paper_too=not with_key), tmp_path)) for with_key in (False, True)
    )
    for number, item in enumerate(quiz.versions[0].items, 1):
        assert f"{number}. {item.stem}" in paper and squeezed(item.stem) in page
        why = item.options[item.key].why
        assert why not in paper and squeezed(why) not in page
        assert why in key and squeezed(why) in answers
        assert f"{number}. **{'abcd'[item.key]}** {item.options[item.key].text} ({item.id})" in key
    for text in (paper, key):
        assert quiz.release in text and "local law, the current pharmacopoeia" in text


def test_the_example_blueprint_can_be_met() -> None:
    """examples/quiz.toml makes fifteen items of the shipped data."""
    wants = read_blueprint((EXAMPLES / "quiz.toml").read_text(encoding="utf-8"))
    made = items(load(), wants=wants).versions[0].items
    assert sorted(item.kind for item in made) == ["caution"] * 5 + ["property"] * 10
    assert all(0.3 <= item.difficulty <= 0.7 for item in made if item.kind == "property")
