"""The teaching verbs at the command line: what they print, what they refuse, and every other shape of their JSON."""

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from materia_data.cli import main
from materia_data.places import schema_root


def out(capsys: pytest.CaptureFixture[str], data: Path, *words: str) -> str:
    assert main([*words, "--data", str(data)]) == 0
    return capsys.readouterr().out


@pytest.mark.parametrize(
    ("verb", "words", "key"),
    [
        ("explain", ["demo-leaf", "--why-not", "flavor:sweet"], "why_not"),
        ("standouts", ["honey-frying"], "changed"),
        ("standouts", ["clear-heat"], "shared"),
        ("contrast", ["demo-leaf", "demo-seed"], "apart"),
        ("contrast", ["demo-leaf", "--nearest", "2"], "subjects"),
        ("contrast", ["demo-leaf", "--instead", "pregnancy"], "instead"),
        ("match", ["--discover"], "groups"),
        ("match", ["nature:cool", "--basis"], "editions"),
        ("match", ["nature:cool", "--through", "demo-unit"], "subjects"),
    ],
)
def test_every_shape_of_json_meets_the_verbs_schema(
    little_package: Path, capsys: pytest.CaptureFixture[str], verb: str, words: list[str], key: str
) -> None:
    """One schema a verb takes in all that its options make it print."""
    document = json.loads(out(capsys, little_package, verb, *words, "--format", "json"))
    schema = json.loads((schema_root() / "results" / f"{verb}.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema).validate(document)
    assert key in document


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["match"], "match takes a pattern, or --discover"),
        (["match", "nature:cold", "--discover"], "match takes a pattern, or --discover"),
        (["match", "--discover", "--basis"], "leave the other options out"),
        (["match", "nature:cold", "--through", "demo-unti"], "Did you mean demo-unit"),
        (["explain", "--all", "--why-not", "nature:cold"], "name them instead of --all"),
        (["explain", "demo-leaf", "--why-not", "nature:clod"], "Did you mean cold"),
        (["explain", "demo-lief", "--why-not", "nature:cold"], "Did you mean demo-leaf"),
        (["standouts", "clear-heet"], "Did you mean clear-heat"),
        (["contrast", "demo-leaf"], "two to 6 different subjects"),
        (["contrast", "demo-leaf", "demo-seed", "--nearest", "3"], "take one subject"),
        (["contrast", "demo-leaf", "--nearest", "0"], "1 to 50"),
        (["contrast", "demo-leaf", "--confusable"], "looks at all medicinals"),
        (["show", "demo-lief"], "Did you mean demo-leaf"),
    ],
)
def test_what_cannot_be_asked_is_answered_with_what_can(
    little_package: Path, capsys: pytest.CaptureFixture[str], words: list[str], says: str
) -> None:
    """Exit 2, nothing on standard output, one sentence on the other."""
    assert main([*words, "--data", str(little_package)]) == 2
    printed = capsys.readouterr()
    assert says in printed.err and printed.out == ""


def test_a_name_of_two_is_asked_back(little_package: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where a name may mean two, both are named; nobody is shown the wrong record."""
    names = little_package / "herbs" / "names.csv"
    text = names.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if line.startswith("demo-leaf,demo mint"))
    names.write_text(text + line.replace("demo-leaf", "demo-seed") + "\n", encoding="utf-8")
    assert main(["show", "demo mint", "--data", str(little_package)]) == 2
    err = capsys.readouterr().err
    assert "[demo-leaf]" in err and "[demo-seed]" in err


def test_show_begins_with_safety_and_ends_with_sources(
    little_package: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In that order, with the line that goes with everything; the basis of each line on request."""
    text = out(capsys, little_package, "show", "demo-root")
    assert text.index("Safety first") < text.index("What it is") < text.index("Sources") < text.index("For teaching")
    assert "(common practice)" not in text
    assert "(common practice)" in out(capsys, little_package, "show", "demo-root", "--basis")


def test_the_strongest_stand_first_and_silence_last(little_package: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Those whose strength nobody states are not taken for mild."""
    text = out(capsys, little_package, "match", "action:stop-bleeding", "--by-strength")
    assert text.startswith("strength not stated\n") and "mild" not in text


def test_unknown_is_not_no_in_words(little_package: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is not stated is said to be no no."""
    text = out(capsys, little_package, "explain", "demo-seed", "--why-not", "action:free-stool")
    assert "not stated, which is no no" in text and "nothing on record either way" in text
