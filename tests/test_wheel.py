"""The wheel, from an empty folder, with only what it declares."""

import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from materia_data.exporting.trial import small_package

ROOT = Path(__file__).parents[1]
Run = Callable[..., str]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from the checkout."""
    folder = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "build", "--wheel", "--outdir", str(folder), str(ROOT)]
    subprocess.run(command, check=True, capture_output=True, text=True)
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module")
def run(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Run:
    """Run a command of a fresh environment that holds the wheel and its declared dependencies, in an empty folder."""
    home = tmp_path_factory.mktemp("fresh")
    subprocess.run([sys.executable, "-m", "venv", str(home / "venv")], check=True)
    python = home / "venv/bin/python"
    install = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-compile"]
    subprocess.run([*install, str(wheel)], check=True, capture_output=True, text=True)
    (home / "empty").mkdir()
    inherited = {key: value for key, value in os.environ.items() if key not in ("PYTHONPATH", "VIRTUAL_ENV")}

    def run_there(*words: str) -> str:
        command = [str(home / "venv/bin" / words[0]), *words[1:]]
        done = subprocess.run(command, cwd=home / "empty", capture_output=True, text=True, env=inherited)
        assert done.returncode == 0, f"{words}: {done.stdout[-2000:]}{done.stderr[-2000:]}"
        return done.stdout

    return run_there


def test_the_wheel_holds_both_packages_data_and_schemas(wheel: Path) -> None:
    """Two packages, the data, the schemas, py.typed and the licences go in; tests, hidden files and caches stay out."""
    names = zipfile.ZipFile(wheel).namelist()
    for wanted in (
        "materia_data/__init__.py",
        "materia_data/py.typed",
        "materia_exporters/__init__.py",
        "materia_data/_data/datapackage/datapackage.json",
        "materia_data/_data/datapackage/herbs/herbs.csv",
        "materia_data/_data/schemas/tables/herbs.json",
        "materia_data/_data/schemas/predicates.json",
    ):
        assert wanted in names, wanted
    assert {name.split("/")[0].split("-")[0] for name in names} == {"materia_data", "materia_exporters"}
    assert not [name for name in names if "/." in name or "__pycache__" in name or "tests/" in name]
    for path in (ROOT / "datapackage").rglob("*.csv"):
        assert f"materia_data/_data/{path.relative_to(ROOT).as_posix()}" in names


def test_check_finds_nothing_wrong_in_the_shipped_package(run: Run) -> None:
    """`materia check` works from the wheel, in a folder that holds nothing."""
    summary = json.loads(run("materia", "check", "--format", "json"))["summary"]
    assert summary["errors"] == 0 and summary["warnings"] == 0 and summary["subjects"] > 250


def test_two_lines_of_python_work_from_the_wheel(run: Run) -> None:
    """`load()` gives records and frames with no more than the declared dependencies."""
    code = "from materia_data import load; m = load(); print(m['ban-xia'].name_hans, len(m.frame('doses')) > 100, m)"
    assert run("python", "-c", code).startswith("半夏 True <Materia 0.1.0+")


def test_exporters_work_from_the_wheel(run: Run, tmp_path: Path) -> None:
    """Every built-in exporter runs from the wheel, on a small package."""
    small = small_package(tmp_path / "data")
    words = ("materia", "export", "--all", "--data", str(small), "--out", "out", "--format", "json")
    outputs = json.loads(run(*words))["outputs"]
    assert {output["name"] for output in outputs} == {"parquet", "jsonld", "monographs", "site"}
    assert {output["state"] for output in outputs} == {"written"}


def test_the_wheel_is_the_same_twice(wheel: Path, tmp_path: Path) -> None:
    """Building it again gives the same bytes."""
    command = [sys.executable, "-m", "build", "--wheel", "--outdir", str(tmp_path), str(ROOT)]
    subprocess.run(command, check=True, capture_output=True, text=True)
    assert next(tmp_path.glob("*.whl")).read_bytes() == wheel.read_bytes()
