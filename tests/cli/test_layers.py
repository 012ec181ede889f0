"""`--layer` at the command line: every verb takes it, each misuse is one sentence."""

import argparse
import json
from importlib import import_module
from pathlib import Path

import pytest

from materia_data import cli, kept
from materia_data.cli import VERBS, main
from materia_data.kept import open_kept
from materia_data.materia import load
from tests.layers import layer, write_text
from tests.little import little

CLI = Path(cli.__file__).parent
LEAF = {"subject": "demo-leaf", "topic": "pregnancy", "state": "avoid", "detail": "Not at all.", "basis": "memory"}
ROOT = {"subject": "demo-root", "topic": "pregnancy", "state": "avoid", "basis": "memory"}


@pytest.fixture
def words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The options that name the little package and a layer that tightens one caution and loosens another."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    base, second = little(tmp_path / "base"), layer(tmp_path / "second", cautions=[LEAF, ROOT])
    return ["--data", str(base), "--layer", str(second)]


def test_every_verb_that_reads_data_takes_a_layer() -> None:
    """No verb that has --data is without --layer."""
    checked = 0
    for path in sorted(CLI.rglob("*.py")):
        module = import_module(".".join(("materia_data.cli", *path.relative_to(CLI).with_suffix("").parts)))
        if hasattr(module, "register"):
            parser = argparse.ArgumentParser()
            module.register(parser)
            options = {option for action in parser._actions for option in action.option_strings}
            assert "--layer" in options or "--data" not in options, path.name
            checked += 1
    assert checked >= len(VERBS) - 1


@pytest.mark.parametrize(
    ("verb", "said"),
    [
        (["show", "demo-leaf"], "avoid in pregnancy. Not at all"),
        (["show", "demo-root"], "LOOSENED: pregnancy: The second school says avoid, the base says contraindicated"),
        (["show", "demo-root.zhi"], "LOOSENED: pregnancy: The second school says avoid"),
        (["match", "caution:avoid[topic:pregnancy]"], "demo-leaf"),
        (["formula", "demo-tang"], "avoid"),
        (["name", "demo leaf"], "demo-leaf"),
        (["explain", "demo-leaf"], "cool"),
        (["contrast", "demo-leaf", "demo-seed"], "demo"),
        (["standouts", "clear-heat"], "avoided in pregnancy: 示例叶"),
        (["rules"], ""),
        (["study", "sheet", "warm-interior"], "**LOOSENED:** 示例根"),
        (["study", "cards", "warm-interior"], "LOOSENED: "),
    ],
)
def test_verbs_answer_from_the_layered_data(
    words: list[str], verb: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The answer is that of the data with the layer, twice the same (the second time from what was kept)."""
    main([*verb, *words])
    first = capsys.readouterr()
    assert said in first.out and "with the layer second (The second school), release 0.1.0+" in first.err
    main([*verb, *words])
    assert capsys.readouterr().out == first.out


def test_a_formula_says_what_a_layer_loosens_of_its_items(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A recipe with a medicinal of which a layer loosens something says so first, and the command exits 1."""
    base = little(tmp_path / "base", formula_items=[{"formula": "demo-tang", "position": "3", "subject": "demo-root",
                                                     "as_written": "示例根", "amount_g": "3"}])  # fmt: skip
    second = layer(tmp_path / "second", cautions=[ROOT])
    assert main(["formula", "demo-tang", "--data", str(base), "--layer", str(second)]) == 1
    assert "! loosened by a layer: 制示例根, pregnancy: The second school says avoid" in capsys.readouterr().out


def test_json_of_show_has_the_layers_lines(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Each line has its layer and whether it loosens."""
    assert main(["show", "demo-root", *words, "--format", "json"]) == 0
    (subject,) = json.loads(capsys.readouterr().out)["subjects"]
    assert [(line["layer"], line["loosens"], line["recorded"]) for line in subject["layers"]] == [
        ("second", True, False),
        ("second", False, True),
    ]


def test_what_is_kept_is_kept_by_layers(words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With, without, and with a changed layer are three things kept; the same again reads nothing anew."""
    base, second = tmp_path / "base", tmp_path / "second"
    plain, layered = open_kept(base), open_kept(base, [second])
    assert plain.release_id == load(base).release_id != layered.release_id == load(base, [second]).release_id
    write_text(
        second / "herbs" / "cautions.csv", "subject,topic,target,state,basis\ndemo-leaf,pregnancy,,avoid,memory\n"
    )
    changed = open_kept(base, [second])
    assert changed.all_loosened == () and len(layered.all_loosened) == 3
    with monkeypatch.context() as patch:
        patch.setattr(kept, "load", lambda *_: pytest.fail("the files were read again"))
        again = open_kept(base, [second])
    for subject in again.facts.subjects:
        assert again.facts.of(subject) == changed.facts.of(subject)
    assert (again.release_id, again.said("demo-leaf")) == (changed.release_id, changed.said("demo-leaf"))
    assert [one.title for one in again.layers] == ["The second school"]
    assert not open_kept(base).layers


def test_two_layers_in_their_order(words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--layer may stand several times; the later wins, and the release names both."""
    later = layer(tmp_path / "later", id="later", cautions=[LEAF | {"state": "contraindicated"}])
    main(["show", "demo-leaf", *words, "--layer", str(later)])
    told = capsys.readouterr()
    assert "contraindicated in pregnancy" in told.out and "+second." in told.err and "+later." in told.err


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda folder: None, "There is no folder"),
        (lambda folder: folder.mkdir(), "It holds no layer.toml"),
        (lambda folder: layer(folder, id="Second School"), "is no id of a layer"),
        (lambda folder: layer(folder, base="some"), "is no range of base versions"),
        (lambda folder: layer(folder, id="second"), "are both the layer second"),
        (lambda folder: layer(folder, id="other", base=">=7"), "made for the base >=7, and this base is 0.1.0"),
    ],
)
def test_a_layer_that_cannot_be_used_is_one_sentence(
    words: list[str], tmp_path: Path, make: object, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2, one line, which names what is wrong and what to do; nothing on standard output."""
    make(tmp_path / "strange")  # type: ignore[operator]
    assert main(["show", "demo-leaf", *words, "--layer", str(tmp_path / "strange")]) == 2
    told = capsys.readouterr()
    assert told.out == "" and said in told.err and told.err.count("\n") == 1


def test_check_looks_at_a_layer_made_for_another_base(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where others refuse, check says it, exits 1, and says the rest too."""
    second = layer(tmp_path / "second", base=">=7", cautions=[ROOT])
    assert main(["check", "--data", str(little(tmp_path / "base")), "--layer", str(second)]) == 1
    out = capsys.readouterr().out
    assert "second:layer.toml:3  base = >=7  error  layer-base" in out and "safety-loosened" in out


def test_other_verbs_say_that_something_is_wrong_in_a_layer(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A line that could not be read is not passed over in silence."""
    cautions = tmp_path / "second" / "herbs" / "cautions.csv"
    cautions.write_text(cautions.read_text() + "demo-seed,pregnancy\n")
    main(["show", "demo-leaf", *words])
    assert "one thing is wrong in the layer second: `materia check --layer" in capsys.readouterr().err


def test_nothing_is_written_into_a_base_through_a_layer(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """`new` refuses a layer."""
    assert main(["new", "aids", *words, "--set", "id=a-aid"]) == 2
    assert "with --layer nothing is written into the data" in capsys.readouterr().err


def test_tidy_works_on_the_layer_and_leaves_the_base(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With --check it only tells; then it writes what the base says, sorts, and adds no column."""
    before = {path: path.read_bytes() for path in (tmp_path / "base").rglob("*.*")}
    cautions = tmp_path / "second" / "herbs" / "cautions.csv"
    header, leaf, root = cautions.read_text().splitlines()
    cautions.write_text("\n".join((header, root, leaf, "")))
    assert main(["tidy", "--check", *words]) == 1
    assert "second:herbs/cautions.csv  is not canonical" in capsys.readouterr().out
    assert not (tmp_path / "second" / "base.csv").exists()
    assert main(["tidy", *words]) == 0
    assert cautions.read_text().splitlines() == [header, leaf, root]
    assert (tmp_path / "second" / "base.csv").read_text().splitlines() == [
        "table,record,column,value",
        "cautions,demo-leaf|pregnancy|,detail,Use with care in pregnancy.",
        "cautions,demo-leaf|pregnancy|,state,caution",
        "cautions,demo-root|pregnancy|,state,contraindicated",
    ]
    assert main(["tidy", "--check", *words]) == 0
    assert {path: path.read_bytes() for path in (tmp_path / "base").rglob("*.*")} == before


def test_tidy_leaves_a_layer_file_alone_that_it_could_not_read_whole(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Neither the file nor base.csv is written: a cell that was not read would lose what is kept of it."""
    cautions = tmp_path / "second" / "herbs" / "cautions.csv"
    text = cautions.read_text() + "demo-seed,pregnancy\n"
    cautions.write_text(text)
    assert main(["tidy", *words]) == 1
    out = capsys.readouterr().out
    assert "second:herbs/cautions.csv  left alone" in out and "second:base.csv  left alone" in out
    assert cautions.read_text() == text and not (tmp_path / "second" / "base.csv").exists()


def test_diff_under_a_layer(words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Both are read under the layer: what the school leaves moves; what it restates is said to move beneath."""
    new = little(
        tmp_path / "new",
        cautions=[
            {"subject": "demo-leaf", "topic": "pregnancy", "state": "contraindicated"},
            {"subject": "demo-kelp", "topic": "condition", "target": "thyroid-disease", "state": "avoid"},
        ],
    )
    assert main(["diff", words[1], str(new), *words[2:]]) == 0
    out = capsys.readouterr().out
    assert "State, caution → avoid: strengthened" in out
    assert "caution → contraindicated; the layer second still says avoid" in out
    assert "1 strengthened" in out


def test_problems_of_layers_in_the_forms_that_machines_read(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """SARIF escapes the colon, which would make a scheme of the id; annotations do not put it in datapackage/."""
    main(["check", *words, "--format", "sarif"])
    results = json.loads(capsys.readouterr().out)["runs"][0]["results"]
    uris = {result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for result in results}
    assert "second%3Aherbs/cautions.csv" in uris and not any(":" in uri for uri in uris)
    main(["check", *words, "--format", "github"])
    assert "file=second%3Aherbs/cautions.csv,line=3" in capsys.readouterr().out


def test_the_example_is_sound_and_says_what_it_loosens(capsys: pytest.CaptureFixture[str]) -> None:
    """The invented school's layer over the shipped data: a term, units, a medicinal, names, cautions, one loosening."""
    folder = Path(__file__).parents[2] / "examples" / "harbor-school"
    materia = load(layers=[folder])
    assert not [one for one in materia.package.problems if one.file.startswith("harbor-school:")]
    assert {cell.table for cell in materia.package.said} >= {
        "indications", "units", "unit_subjects", "herbs", "names", "cautions", "doses", "loosenings",
    }  # fmt: skip
    assert main(["tidy", "--check", "--layer", str(folder)]) == 0
    for path in folder.rglob("*.*"):
        text = path.read_text(encoding="utf-8")
        assert "invented" in text or path.name in ("names.csv", "units.csv", "unit_subjects.csv", "doses.csv",
                                                   "herb_actions.csv", "base.csv")  # fmt: skip
