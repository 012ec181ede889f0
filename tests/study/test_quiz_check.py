"""A quiz read against the data: what contradicts, what has two right answers, what changed; and nothing more."""

import csv
import io
import zipfile
from pathlib import Path

import pytest
from qti_convert import convert_qti3_to_qti21

from materia_data.cli import main
from materia_data.materia import Materia, load
from materia_data.study.items.choose import items
from materia_data.study.items.kinds import NAMES
from materia_data.study.items.qti import quiz_qti
from materia_data.study.items.table import quiz_csv
from materia_data.study.quiz.check import Checked, check_quiz
from materia_data.study.quiz.read import read_quiz
from tests.little import little

SCHOOL = """Question,A,B,C,D,Answer
What is the nature of demo leaf?,cold,cool,hot,warm,B
What is the nature of demo leaf?,warm,hot,cool,neutral,A
Which channel does demo kelp enter?,heart,stomach,liver,lung,C
Which flavor does demo kelp not have?,salty,sweet,sour,bitter,A
Which of these is cool?,demo leaf,demo seed,demo kelp,demo root,1
Which of these is warm?,demo leaf,demo seed,demo kelp,nobody,demo seed
Which of these herbs does not soften hardness?,demo leaf,demo kelp,demo seed,demo root,B
What is the usual nature of demo leaf in winter?,warm,hot,cool,neutral,A
What is the nature of demo leaf?,cold,cool,hot,warm,E
What is the nature of demo leaf?,cool,cold,cool,warm,C
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("quiz")


@pytest.fixture(scope="module")
def small(folder: Path) -> Materia:
    return load(little(folder / "package"))


def _checked(materia: Materia, path: Path, text: str | bytes) -> Checked:
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return check_quiz(materia, read_quiz(path))


def test_a_school_quiz_is_judged_where_it_is_plainly_worded(small: Materia, tmp_path: Path) -> None:
    """Ten questions with their verdicts by hand; one with a word more and one with a stranger are not judged."""
    found = _checked(small, tmp_path / "school.csv", SCHOOL)
    assert [(one.place, one.kind, one.says) for one in found.wrong] == [
        ("line 3", "key", "a) warm: in the data 示例叶 shì lì yè is not warm."),
        ("line 3", "second", "c) cool is right too: in the data 示例叶 shì lì yè is cool."),
        ("line 4", "second", "b) stomach is right too: in the data 示例藻 shì lì zǎo enters the stomach channel."),
        ("line 5", "key", "a) salty: in the data 示例藻 shì lì zǎo has the flavor salty."),
        *(
            ("line 5", "second", f"{at} is right too: in the data 示例藻 shì lì zǎo does not have the flavor {at[3:]}.")
            for at in ("b) sweet", "c) sour", "d) bitter")
        ),
        ("line 8", "key", "b) demo kelp: in the data 示例藻 shì lì zǎo is stated to soften hardness."),
        ("line 8", "second", "a) demo leaf is right too: in the data 示例叶 shì lì yè is stated not to soften hardness."),  # noqa: E501
        ("line 10", "key", "The key names no option."),
        ("line 11", "second", "a) cool and c) cool say the same."),
        ("line 11", "second", "a) cool is right too: in the data 示例叶 shì lì yè is cool."),
    ]  # fmt: skip
    assert found.not_judged == ("line 7", "line 9")
    assert (found.items, found.judged) == (10, 8)


def test_nothing_is_wrong_with_what_was_just_made(tmp_path: Path) -> None:
    """Every kind, over the shipped data, in CSV and in QTI: all judged, nothing found."""
    materia = load()
    quiz = items(materia, count=5 * len(NAMES), versions=2, seed="fresh")
    for name, text in (("quiz.csv", quiz_csv(quiz)), ("quiz.zip", quiz_qti(quiz))):
        found = _checked(materia, tmp_path / name, text)
        assert found.wrong == () and found.judged == found.items == 10 * len(NAMES)


def test_facts_that_changed_since_are_named(small: Materia, tmp_path: Path) -> None:
    """Demo leaf has become warm, and its caution in pregnancy is gone: each item that rests on these is found, the
    others are not."""
    quiz = items(small, kinds=["property", "caution"], count=26)
    now = little(tmp_path / "now", herbs=[{"id": "demo-leaf", "nature": "warm"}])
    path = now / "herbs" / "cautions.csv"
    lines = [line for line in path.read_text(encoding="utf-8").split("\n") if not line.startswith("demo-leaf,")]
    path.write_text("\n".join(lines), encoding="utf-8")
    for name, text in (("quiz.csv", quiz_csv(quiz)), ("quiz.zip", quiz_qti(quiz))):
        found = _checked(load(now), tmp_path / name, text)
        about = [item for item in quiz.versions[0].items if item.about[0] == "demo-leaf"]
        touched = {item.id for item in about if "nature" in item.stem or item.kind == "caution"}
        assert {one.id for one in found.wrong} == touched and len(touched) == 2
        kinds = {one.id: one.kind for one in reversed(found.wrong)}
        assert {kinds[item.id] for item in about if "nature" in item.stem} == {"key"}
        said = " ".join(one.says for one in found.wrong)
        assert "is not cool" in said and "no longer say" in said


def test_a_moved_key_and_altered_words_are_seen(small: Materia, tmp_path: Path) -> None:
    """A line of our CSV with another answer is named with the right one; one with other words no longer vouches."""
    lines = list(csv.DictReader(io.StringIO(quiz_csv(items(small, kinds=["property"], count=3)))))
    right = lines[0]["answer"]
    lines[0]["answer"] = "A" if right != "A" else "B"
    lines[1]["stem"] += " Really?"
    out = io.StringIO()
    writer = csv.DictWriter(out, list(lines[0]))
    writer.writeheader()
    writer.writerows(lines)
    found = _checked(small, tmp_path / "quiz.csv", out.getvalue())
    assert [(one.id, one.kind) for one in found.wrong] == [(lines[0]["id"], "key"), (lines[1]["id"], "changed")]
    assert f"{right.lower()}) {lines[0][right.lower()]} as the right answer" in found.wrong[0].says


def test_the_older_standard_is_read_by_its_words(small: Materia, tmp_path: Path) -> None:
    """An item stepped down to QTI 2.1 by another's converter, with its key moved, contradicts the data."""
    quiz = items(small, kinds=["property"], count=25)
    (item,) = (one for one in quiz.versions[0].items if one.about == ("demo-kelp",) and "nature" in one.stem)
    with zipfile.ZipFile(io.BytesIO(quiz_qti(quiz))) as archive:
        old = convert_qti3_to_qti21(archive.read(f"items/{item.id}.xml").decode()).xml
    wrong = "ABCD"[(item.key + 1) % 4]
    assert _checked(small, tmp_path / "old.xml", old).wrong == ()
    found = _checked(small, tmp_path / "moved.xml", old.replace(f"<value>{'ABCD'[item.key]}<", f"<value>{wrong}<"))
    assert sorted(one.kind for one in found.wrong) == ["key", "second"]


XSD = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="urn:demo">
<xs:element name="assessmentItem"><xs:complexType><xs:sequence><xs:any maxOccurs="unbounded" processContents="skip"/>
</xs:sequence><xs:attribute name="identifier" use="required"/></xs:complexType></xs:element></xs:schema>"""


def test_files_are_held_to_a_schema_that_is_given(
    small: Materia, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By the schema of the file's namespace: a missing attribute is found with its line, exit 1."""
    (tmp_path / "demo.xsd").write_text(XSD, encoding="utf-8")
    body = '<simpleChoice identifier="A">cool</simpleChoice><itemBody><p>demo</p></itemBody>'
    for attribute, code in (('identifier="x"', 1), ("", 1)):
        path = tmp_path / "item.xml"
        path.write_text(f'<assessmentItem xmlns="urn:demo" {attribute}>\n{body}</assessmentItem>', encoding="utf-8")
        words = ["study", "check", str(path), "--xsd", str(tmp_path), "--data", str(small.package.root)]
        assert main(words) == code
        assert ("not as the schema has it: line 1" in capsys.readouterr().out) is not bool(attribute)


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("quiz.doc", b"x", "quiz.doc ends in none of .csv, .zip, .xml"),
        ("quiz.csv", b"", "no header of a quiz: it needs a column `stem`"),
        ("quiz.csv", b"stem,a,b,answer\n", "holds no question"),
        ("quiz.csv", b"stem,a,answer\nx,y,A\n", "no header of a quiz"),
        ("quiz.csv", "stem,a,b,answer\nx,é,y,A\n".encode("latin-1"), "no UTF-8 text"),
        ("quiz.csv", b'stem,a,b,answer\n"x,y,z,A\n', "is no CSV"),
        ("quiz.zip", b"PK no zip", "is no package, or a damaged one"),
        ("quiz.xml", b"<a>", "is no XML"),
        ("quiz.xml", b"<a/>", "holds no question"),
        ("quiz.xml", b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "has a document type"),
        ("quiz.csv", None, "cannot be read: No such file"),
    ],
)
def test_what_is_no_quiz_is_refused_with_one_message(
    name: str, content: bytes | None, says: str, small: Materia, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2, and what the file should be."""
    if content is not None:
        (tmp_path / name).write_bytes(content)
    assert main(["study", "check", str(tmp_path / name), "--data", str(small.package.root)]) == 2
    assert says in capsys.readouterr().err


def test_a_schema_that_is_not_there_is_said(small: Materia, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder without the file's schema, no folder, and a CSV: exit 2 each."""
    (tmp_path / "quiz.csv").write_text(SCHOOL, encoding="utf-8")
    (tmp_path / "item.xml").write_text('<assessmentItem xmlns="urn:demo"/>', encoding="utf-8")
    for file, folder, says in (
        ("item.xml", str(tmp_path), "has no schema of urn:demo"),
        ("item.xml", str(tmp_path / "nowhere"), "there is no folder"),
        ("quiz.csv", str(tmp_path), "--xsd is for QTI"),
    ):
        words = ["study", "check", str(tmp_path / file), "--xsd", folder, "--data", str(small.package.root)]
        assert main(words) == 2
        assert says in capsys.readouterr().err
