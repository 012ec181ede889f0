"""What each verb prints as JSON, against its JSON Schema (draft 2020-12, by the library jsonschema)."""

import json
import tomllib
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from materia_data.check.report import render
from materia_data.check.run import check
from materia_data.cli import main, pages
from materia_data.materia import load
from materia_data.places import schema_root
from tests.little import little

WORDS = {
    "check": ["check"],
    "explain": ["explain", "--all"],
    "match": ["match", "nature:cool"],
    "standouts": ["standouts", "nature:..cool"],
    "contrast": ["contrast", "--confusable"],
    "show": ["show", "demo-kelp"],
    "formula": ["formula", "demo-tang"],
    "name": ["name", "demo", "kelp"],
    "proof": ["proof", "NOTES", "--all"],
    "rules": ["rules"],
    "tidy": ["tidy", "--check"],
    "diff": ["diff", "PACKAGE", "PACKAGE"],
    "signoff": ["signoff", "list"],
    "release": ["release", "0.1.0", "--plan"],
    "verify": ["verify", "PACKAGE"],
    "merge": ["merge", "FILE", "FILE", "FILE", "record/sources.csv"],
    "spreadsheet": ["spreadsheet", "out", "BESIDE.xlsx"],
    "export": ["export", "--list"],
    "study-cards": ["study", "cards", "nature:..warm"],
    "study-check": ["study", "check", "QUIZ"],
    "study-coverage": ["study", "coverage", "demo-course", "--quiz", "QUIZ"],
    "study-items": ["study", "items", "--count", "5", "--kind", "property", "--kind", "caution"],
    "study-schedule": ["study", "schedule", "demo-course", "--begins", "2027-02-01", "--exam", "2027-06-01"],
    "study-sheet": ["study", "sheet", "nature:..warm", "--blanks"],
    "adopt": ["adopt", "SHEET", "--out", "OUT"],
    "new": ["new", "aids", "--set", "id=demo-aid"],
}


def schema(name: str) -> Draft202012Validator:
    document = json.loads((schema_root() / name).read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(document)
    return Draft202012Validator(document)


@pytest.mark.parametrize("verb", sorted(WORDS))
def test_json_meets_its_schema(verb: str, little_package: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON of each verb has the keys of its schema and no others."""
    sheet, notes = little_package.parent / "sheet.csv", little_package.parent / "notes.txt"
    sheet.write_text("Name,Temp,Preg\ndemo-leaf,warm,no\n", encoding="utf-8")
    notes.write_text("Demo kelp is cold. Demo kelp is hot.\n", encoding="utf-8")
    quiz = little_package.parent / "quiz.csv"
    quiz.write_text("stem,a,b,answer\nWhat is the nature of demo leaf?,warm,cool,A\n", encoding="utf-8")
    standing_for = {
        "QUIZ": quiz,
        "PACKAGE": little_package,
        "FILE": little_package / "record/sources.csv",
        "SHEET": sheet,
        "OUT": sheet.with_name("adopted"),
        "NOTES": notes,
        "BESIDE.xlsx": little_package.with_name("beside.xlsx"),
    }
    words = [str(standing_for.get(word, word)) for word in WORDS[verb]]
    bare = verb in ("diff", "verify", "merge")
    main([*words, *([] if bare else ["--data", str(little_package)]), "--format", "json"])
    schema(f"results/{verb}.json").validate(json.loads(capsys.readouterr().out))


@pytest.mark.parametrize("verb", ["check", "explain", "rules"])
def test_json_of_the_shipped_package_meets_its_schema(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    """So does the JSON over the shipped package, where every key is filled."""
    main([*WORDS[verb], "--format", "json"])
    document = json.loads(capsys.readouterr().out)
    schema(f"results/{verb}.json").validate(document)
    if verb == "explain":
        parts = ("explained", "excepted", "together", "unexplained")
        assert document["properties"] == sum(document[part] for part in parts) > 800


def test_every_verb_has_a_schema_and_every_schema_a_verb() -> None:
    """No verb without a schema, no schema without a verb."""
    assert {path.stem for path in (schema_root() / "results").glob("*.json")} == set(pages())


def test_rule_files_meet_the_rule_schema() -> None:
    """Every shipped rule file is what rule.json says, and a rule without a reason is not."""
    rules = schema("rule.json")
    files = sorted((load().package.root / "rules").glob("*.toml"))
    assert files
    for path in files:
        rules.validate(tomllib.loads(path.read_text(encoding="utf-8")))
    assert not rules.is_valid({"rule": [{"id": "no-reason"}]})


def test_sarif_and_annotations_name_file_and_line(tmp_path: Path) -> None:
    """SARIF 2.1.0 has a result a problem with its line; annotations escape what could end them (OASIS SARIF 2.1.0,
    §3.27)."""
    evil = "cooll%0A::error::x"
    broken = load(little(tmp_path / "package", herbs=[{"id": "demo-leaf", "nature": evil}]))
    report = check(broken)
    sarif = json.loads(render(report, "sarif"))
    results = sarif["runs"][0]["results"]
    assert sarif["version"] == "2.1.0" and len(results) == len(report.problems)
    place = next(result for result in results if result["level"] == "error")["locations"][0]["physicalLocation"]
    assert place["artifactLocation"]["uri"] == "herbs/herbs.csv" and place["region"]["startLine"] == 3
    lines = render(report, "github").splitlines()
    assert len(lines) == len(report.problems)
    error = next(line for line in lines if line.startswith("::error"))
    assert error.startswith("::error file=datapackage/herbs/herbs.csv,line=3,title=") and "%0A" not in error
    assert "%250A" in error


def test_what_an_export_prints_meets_its_schema(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An export that is written and one that fails both print what the schema says."""
    main(
        [
            "export",
            "parquet",
            "--data",
            str(little(tmp_path / "package")),
            "--out",
            str(tmp_path / "out"),
            "--format",
            "json",
        ]
    )
    schema("results/export.json").validate(json.loads(capsys.readouterr().out))
