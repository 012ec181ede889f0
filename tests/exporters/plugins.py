"""Distributions that offer exporters, made in a folder as an installer would leave them there."""

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

SOURCE = """
import os, sys, time, signal, subprocess
from pathlib import Path

def _write(materia, out):
    (out / "release.txt").write_text(materia.release_id)
    (out / "more").mkdir()
    for number in range(20):
        (out / "more" / f"{number}.txt").write_text(f"{number} " * 1000)

def good(materia, out, options):
    _write(materia, out)
good.summary = "good"

def shouting(materia, out, options):
    print('{"outputs": "mine"}')
    print("\\x1b[2Jto stderr \\u202e", file=sys.stderr)
    os.write(1, b"straight to the descriptor\\n" * 10000)
    _write(materia, out)

def raising(materia, out, options):
    _write(materia, out)
    raise ValueError("the ink ran out")

def crashing(materia, out, options):
    _write(materia, out)
    os.kill(os.getpid(), signal.SIGSEGV)

def leaving(materia, out, options):
    _write(materia, out)
    os._exit(0)

def stuck(materia, out, options):
    _write(materia, out)
    child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
    Path(os.environ["PLUGIN_NOTES"]).write_text(f"{os.getpid()} {child.pid}")
    time.sleep(600)

def slow(materia, out, options):
    Path(os.environ["PLUGIN_NOTES"]).write_text(str(os.getpid()))
    for number in range(40):
        (out / f"{number}.txt").write_text(f"{number} " * 1000)
        time.sleep(0.01)

def linking(materia, out, options):
    (out / "link").symlink_to("/etc/hostname")

def claiming(materia, out, options):
    (out / "manifest.json").write_text("{}")

def empty(materia, out, options):
    pass

def patching(materia, out, options):
    import json, shutil
    json.dumps = shutil.rmtree = None
    materia.package.tables.clear()
    _write(materia, out)
"""
COMMAND = [sys.executable, "-P", "-c", "import sys; from materia_data.cli import main; sys.exit(main())"]
NAMES = (
    "good", "shouting", "raising", "crashing", "leaving", "stuck", "slow", "linking", "claiming", "empty", "patching",
)  # fmt: skip


def distribution(folder: Path, name: str, points: Mapping[str, str], source: str = SOURCE) -> Path:
    """Write a distribution with these entry points into the folder; its module is named as the distribution is."""
    module = name.replace("-", "_")
    folder.mkdir(exist_ok=True)
    (folder / f"{module}.py").write_text(source, encoding="utf-8")
    info = folder / f"{module}-1.0.dist-info"
    info.mkdir()
    about = f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\nSummary: exporters for a test\n"
    (info / "METADATA").write_text(about, encoding="utf-8")
    lines = [f"{point} = {value}" for point, value in points.items()]
    (info / "entry_points.txt").write_text("[materia_data.exporters]\n" + "\n".join(lines), encoding="utf-8")
    return folder


def materia(*words: str | Path, plugins: Path | None = None, **variables: str) -> "subprocess.CompletedProcess[str]":
    """Run a command line as typed, with the plugins of a folder installed."""
    command = [*COMMAND, *map(str, words)]
    return subprocess.run(command, env=environment(plugins, **variables), capture_output=True, text=True, timeout=120)


def environment(plugins: Path | None, **variables: str) -> dict[str, str]:
    """The variables of a process that has the plugins of a folder installed."""
    return {**os.environ, **({"PYTHONPATH": str(plugins)} if plugins else {}), **variables}
