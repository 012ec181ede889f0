"""The two files a plugin author copies: installed as a stranger would, run by the host, held to the contract."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from materia_data.testing import exporter_keeps_contract
from tests.exporters.plugins import materia

PLUGIN = Path(__file__).resolve().parents[2] / "exporters" / "example-plugin"


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that pip installed the plugin into."""
    target = tmp_path_factory.mktemp("installed")
    command = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-build-isolation"]
    subprocess.run([*command, "--no-index", "--target", target, PLUGIN], check=True, capture_output=True)
    return target


def test_it_is_two_files() -> None:
    """Nothing else is needed."""
    assert sorted(path.name for path in PLUGIN.iterdir() if path.name != "__pycache__") == [
        "bench_labels.py",
        "pyproject.toml",
    ]


def test_the_host_lists_and_runs_it(installed: Path, tmp_path: Path, little_package: Path) -> None:
    """It stands in the list beside the built-in ones, and its labels carry the cautions of forms too."""
    listed = json.loads(materia("export", "--list", "--format", "json", plugins=installed).stdout)["exporters"]
    (mine,) = [one for one in listed if one["name"] == "bench-labels"]
    assert mine["distribution"] == "materia-bench-labels" and mine["summary"] and not mine["refused"]
    ended = materia("export", "bench-labels", "--data", little_package, "--out", tmp_path / "out", plugins=installed)
    labels = (tmp_path / "out" / "bench-labels" / "labels.txt").read_text(encoding="utf-8")
    assert ended.returncode == 0
    assert "制示例根 (demo-root.zhi): contraindicated, pregnancy" in labels


def test_it_keeps_the_contract(installed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the two lines that its documentation shows."""
    monkeypatch.syspath_prepend(str(installed))
    monkeypatch.setenv("PYTHONPATH", str(installed))
    exporter_keeps_contract("bench-labels", tmp_path)
