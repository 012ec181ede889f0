"""The command: one door, exit codes, one JSON document, no traceback."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from materia_data.cli import VERBS, main
from tests.little import little

LOADED = "print([module for module in {} if module in sys.modules])"


def run(*words: str, cwd: Path | None = None, stdin: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "materia_data", *words],
        cwd=cwd,
        input=stdin,
        capture_output=True,
        text=True,
        env=os.environ | {"COLUMNS": "100"},
    )


def test_help_lists_every_verb_and_loads_nothing_heavy() -> None:
    """`--help` names each verb and imports no pandas, pyarrow, frictionless, pydantic or mkdocs."""
    heavy = "('pandas', 'pyarrow', 'frictionless', 'pydantic', 'mkdocs')"
    code = f"import sys; from materia_data.cli import main; main(['--help']); {LOADED.format(heavy)}"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.rstrip().endswith("[]")
    assert all(f"  {verb} " in done.stdout for verb in VERBS)


def test_check_loads_nothing_heavy(little_package: Path) -> None:
    """`check` loads no pydantic, pandas, pyarrow, frictionless, pypinyin or opencc."""
    heavy = "('pandas','pyarrow','frictionless','pydantic','mkdocs','pypinyin','opencc')"
    checked = f"main(['check', '--data', {str(little_package)!r}])"
    code = f"import sys; from materia_data.cli import main; {checked}; {LOADED.format(heavy)}"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.rstrip().endswith("[]"), done.stdout


@pytest.mark.parametrize("verb", sorted(VERBS))
def test_every_verb_has_help(verb: str) -> None:
    """Each verb's help begins with what it does and ends with code 0."""
    done = run(verb, "--help")
    assert done.returncode == 0 and f"materia {verb}" in done.stdout and len(done.stdout) > 150


def test_an_unknown_verb_gets_the_nearest() -> None:
    """A misspelt verb exits 2 with the nearest one."""
    done = run("chekc")
    assert done.returncode == 2 and "Did you mean check?" in done.stderr and "Traceback" not in done.stderr


def test_json_is_one_document_and_nothing_else(little_package: Path) -> None:
    """With `--format json` stdout holds one JSON document; the origin goes to stderr."""
    for words in (
        ["check"],
        ["explain", "--all"],
        ["explain", "demo-leaf"],
        ["match", "nature:cool"],
        ["rules"],
        ["tidy", "--check"],
    ):
        done = run(*words, "--data", str(little_package), "--format", "json")
        assert isinstance(json.loads(done.stdout), dict), words
        assert "release 0.1.0+" in done.stderr


def test_check_exit_codes(tmp_path: Path) -> None:
    """Exit 0 nothing wrong, 1 problems, 2 could not run; warnings and notes exit 0 unless --strict."""
    broken = little(tmp_path / "broken", herbs=[{"id": "demo-leaf", "nature": "cooll"}])
    done = run("check", "--data", str(broken))
    assert done.returncode == 1 and "herbs/herbs.csv:3" in done.stdout and "Did you mean cool" in done.stdout
    assert run("check", "--data", str(tmp_path / "nowhere")).returncode == 2
    assert run("check", "--data", str(broken), "--on", "yesterday").returncode == 2


@pytest.mark.parametrize("damage", ["missing", "ragged"])
def test_an_older_package_that_lost_safety_rows_is_refused(tmp_path: Path, damage: str) -> None:
    """What could not be read of the older package cannot be seen to be lost, so it is named and nothing is compared."""
    now, old = little(tmp_path / "now"), little(tmp_path / "old")
    cautions = old / "herbs/cautions.csv"
    if damage == "missing":
        cautions.unlink()
    else:
        cautions.write_text(cautions.read_text(encoding="utf-8") + "demo-seed,pregnancy\n", encoding="utf-8")
    done = run("check", "--data", str(now), "--against", str(old))
    assert done.returncode == 2 and "herbs/cautions.csv" in done.stderr and "Traceback" not in done.stderr


def test_a_pattern_error_points_at_the_character(little_package: Path) -> None:
    """A pattern that cannot be read exits 2 and shows where."""
    done = run("match", "nature:cool and flavr:salty", "--data", str(little_package))
    assert done.returncode == 2 and "^" in done.stderr and "flavor" in done.stderr and "Traceback" not in done.stderr


def test_match_answers_in_categories(little_package: Path) -> None:
    """`match` lists who matches, and counts who is stated not to and who does not say."""
    done = run("match", "nature:warm..", "--data", str(little_package))
    assert done.returncode == 0 and "demo-seed" in done.stdout and "demo-kelp" not in done.stdout
    document = json.loads(run("match", "nature:warm..", "--data", str(little_package), "--format", "json").stdout)
    assert {"id", "name_hans", "category", "unit"} <= set(document["subjects"][0])


def test_new_asks_and_writes(little_package: Path) -> None:
    """`new` asks every question, asks again what was wrong, and writes the row."""
    done = run(
        "new", "aids", "--data", str(little_package), stdin="demo-aid\ndemo-leaf\nsond\nLeaf, light, lung.\nsound\n"
    )
    assert done.returncode == 0 and "Did you mean sound?" in done.stderr
    assert "demo-aid,demo-leaf,sound," in (little_package / "teaching/aids.csv").read_text(encoding="utf-8")
    assert run("new", "aids", "--data", str(little_package), stdin="second-aid\n").returncode == 2


def test_a_surprise_becomes_a_report_and_no_traceback(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A surprise exits 2 with one sentence; the details stand in a report file that holds nothing of the data."""
    import materia_data.cli.match as verb

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(verb, "match", lambda *_, **__: 1 / 0)
    assert main(["match", "nature:cool", "--data", str(little(tmp_path / "package"))]) == 2
    shown = capsys.readouterr().err
    assert "materia-report.txt" in shown and "Traceback" not in shown
    assert "ZeroDivisionError" in (tmp_path / "materia-report.txt").read_text(encoding="utf-8")
