"""Whatever moment an export is killed at, the old output is whole: where it stood, or after the next run at the latest.

A few moments are tried each time, all of them with MATERIA_DEEP=1.
"""

import json
import os
import random
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from materia_data.exporting.manifest import whole
from materia_data.exporting.place import recover
from tests.exporters.plugins import COMMAND, distribution, environment, materia

DEEP = bool(os.environ.get("MATERIA_DEEP"))
SETTLE = """
import json, os, shutil, sys
from pathlib import Path
from materia_data.exporting.place import begin, recover, settle
out, new, at = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
seen = []
def die(event, arguments):
    if event.startswith(("os.", "shutil.", "tempfile.")) or event == "open":
        seen.append(event)
        if len(seen) == at:
            os._exit(77)
sys.addaudithook(die)
recover(out, "made")
work = begin(out, "made")
made = Path(shutil.copytree(new, work / "out"))
settle(made, out, "made")
shutil.rmtree(work, ignore_errors=True)
print(json.dumps(seen))
"""


def output(folder: Path, text: str) -> Path:
    """An output with three files and a manifest that names them."""
    from materia_data.exporting.listing import Exporter
    from materia_data.exporting.manifest import write_manifest

    (folder / "sub").mkdir(parents=True)
    for name in ("a.txt", "b.txt", "sub/c.txt"):
        (folder / name).write_text(f"{text} {name}", encoding="utf-8")
    write_manifest(folder, Exporter("made", "made:export", "made", "1.0", ""), {"made_with": "materia export"})
    return folder


def state(folder: Path) -> str:
    """`old` or `new`, if it is whole."""
    assert whole(folder), sorted(path.name for path in folder.parent.rglob("*"))
    return (folder / "a.txt").read_text(encoding="utf-8").split()[0]


def test_dying_between_any_two_file_operations_leaves_the_old_or_the_new_output(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """The process ends just before its n-th operation on the file system; the renames are always among those tried."""
    new = output(tmp_path / "new", "new")
    events = json.loads(_settle(tmp_path / "whole", new, 0).stdout)
    renames = [number for number, event in enumerate(events, 1) if event == "os.rename"]
    assert len(renames) >= 2
    others = random.Random(5).sample(range(1, len(events) + 1), 12)
    moments = range(1, len(events) + 1) if DEEP else {*others, *renames, *(number + 1 for number in renames)}
    record_property("sample", f"{len(moments)} of {len(events)} moments to die at")
    outcomes = [_after_dying(tmp_path / str(moment), new, moment) for moment in sorted(moments)]
    assert outcomes == sorted(outcomes, key=["old", "new"].index)
    assert set(outcomes) == {"old", "new"}


def _settle(out: Path, new: Path, moment: int) -> "subprocess.CompletedProcess[str]":
    output(out / "made", "old")
    command = [sys.executable, "-c", SETTLE, str(out), str(new), str(moment)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60)


def _after_dying(out: Path, new: Path, moment: int) -> str:
    """Which output there is after the next run has recovered."""
    assert _settle(out, new, moment).returncode == 77
    if (out / "made").exists():
        assert whole(out / "made")
    recover(out, "made")
    assert [path.name for path in out.iterdir()] == ["made"]
    return state(out / "made")


@pytest.mark.parametrize("victim", ["host", "exporter"])
def test_killing_host_or_exporter_leaves_a_whole_output(victim: str, tmp_path: Path, little_package: Path) -> None:
    """SIGKILL at seeded moments; what stands is whole, and the next run gives the new output and no litter."""
    plugins = distribution(tmp_path / "plugins", "trial-plugin", {"slow": "trial_plugin:slow"})
    out, notes = tmp_path / "out", tmp_path / "notes.txt"
    words = ["export", "slow", "--data", str(little_package), "--out", str(out)]
    variables = {"PLUGIN_NOTES": str(notes)}
    began = time.monotonic()
    assert materia(*words, plugins=plugins, **variables).returncode == 0
    span = time.monotonic() - began
    seed = random.Random(11)
    for _ in range(60 if DEEP else 5):
        notes.unlink(missing_ok=True)
        host = subprocess.Popen(
            [*COMMAND, *words],
            env=environment(plugins, **variables),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        if victim == "host":
            time.sleep(seed.uniform(0, span))
            host.kill()
            host.wait()
        else:
            while host.poll() is None and not (notes.exists() and notes.read_text(encoding="utf-8")):
                time.sleep(0.01)
            time.sleep(seed.uniform(0, 0.4))
            if host.poll() is None:
                with suppress(ProcessLookupError):
                    os.kill(int(notes.read_text(encoding="utf-8")), 9)
            assert host.wait(60) in (0, 1)
        if victim == "exporter" or (out / "slow").exists():
            assert whole(out / "slow")
    assert materia(*words, plugins=plugins, **variables).returncode == 0
    assert whole(out / "slow")
    assert [path.name for path in out.iterdir()] == ["slow"]
