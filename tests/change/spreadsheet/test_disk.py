"""Whatever moment writing dies at, and whatever the disk does, the package is the old one or the new one.

A few moments are tried each time, all of them with MATERIA_DEEP=1.
"""

import errno
import json
import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from materia_data import load
from materia_data.change.spreadsheet import swap
from materia_data.change.spreadsheet.inward import spreadsheet_in
from materia_data.change.spreadsheet.trouble import SpreadsheetError
from tests.change.spreadsheet.hands import Desk

DEEP = bool(os.environ.get("MATERIA_DEEP"))
WRITE = """
import json, os, sys
from pathlib import Path
from materia_data.change.spreadsheet import swap
root, at, step = Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
if step == "renames":
    swap._exchanged = lambda one, other: False
seen = []
def die(event, arguments):
    if event.startswith(("os.", "shutil.", "tempfile.", "ctypes.")) or event == "open":
        seen.append(event)
        if len(seen) == at:
            os._exit(77)
files = {"herbs/herbs.csv": b"new herbs", "herbs/new.csv": b"new too", "teaching/aids.csv": b"new aids"}
with swap.alone(root):
    sys.addaudithook(die)
    swap.write_together(root, files)
print(json.dumps(seen))
"""


def contents(root: Path) -> dict[str, bytes]:
    return {str(path.relative_to(root)): path.read_bytes() for path in sorted(root.rglob("*")) if path.is_file()}


@pytest.mark.parametrize("step", ["exchange", "renames"])
def test_dying_between_any_two_operations_leaves_the_old_or_the_new_package(
    step: str, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """The process ends just before its n-th operation on the file system. Where the system exchanges two folders in one
    step, the package is whole at every moment; where it does not, after the next run has put it back at the latest."""
    whole = _package(tmp_path / "whole")
    old = contents(whole)
    events = json.loads(_die(whole, 0, step).stdout)
    new = contents(whole)
    assert new != old and new["herbs/names.csv"] == old["herbs/names.csv"] and new["herbs/herbs.csv"] == b"new herbs"
    renames = [number for number, event in enumerate(events, 1) if event in ("os.rename", "ctypes.dlsym")]
    moments = set(range(1, len(events) + 1))
    if not DEEP:
        around = {number + off for number in renames for off in (0, 1)} & moments
        moments = around | set(random.Random(3).sample(sorted(moments), 5))
    record_property("sample", f"{len(moments)} of {len(events)} moments to die at, {step}")
    outcomes = []
    for moment in sorted(moments):
        root = _package(tmp_path / str(moment))
        assert _die(root, moment, step).returncode == 77
        if step == "exchange":
            assert contents(root) in (old, new)
        swap.recover(root)
        assert [path.name for path in root.parent.iterdir()] == ["package"]
        found = contents(root)
        assert found in (old, new)
        outcomes.append("old" if found == old else "new")
    assert outcomes == sorted(outcomes, key=["old", "new"].index) and set(outcomes) == {"old", "new"}


def _package(folder: Path) -> Path:
    root = folder / "package"
    for name in ("herbs/herbs.csv", "herbs/names.csv", "teaching/aids.csv"):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(f"old {name}", encoding="utf-8")
    return root


def _die(root: Path, moment: int, step: str) -> "subprocess.CompletedProcess[str]":
    command = [sys.executable, "-c", WRITE, str(root), str(moment), step]
    return subprocess.run(command, capture_output=True, text=True, timeout=60)


def _corrected(package: Path) -> Desk:
    """A spreadsheet with accepted corrections in three tables."""
    desk = Desk(package)
    with desk.open() as book:
        book.set("herbs", "demo-kelp", "note", "Kelp.")
        book.set("aids", "demo-leaf-aid", "text", "A leaf.")
        book.add("names", subject="demo-kelp", name="demo weed", lang="en", kind="trade")
    return desk


def test_killing_the_command_at_any_moment_leaves_the_old_or_the_new_package(
    little_package: Path, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """SIGKILL at seeded moments of `spreadsheet in --apply`; the package is whole each time, and in the end the new
    one."""
    desk = _corrected(little_package)
    old = contents(little_package)
    keep = tmp_path / "keep"
    shutil.copytree(little_package, keep)
    words = [sys.executable, "-m", "materia_data", "spreadsheet", "in", str(desk.file), "--data", str(little_package)]
    began = time.monotonic()
    assert subprocess.run([*words, "--apply"], capture_output=True, timeout=120).returncode == 0
    span = time.monotonic() - began
    new = contents(little_package)
    assert new != old
    seed, times, outcomes = random.Random(7), 200 if DEEP else 6, []
    for number in range(times):
        shutil.rmtree(little_package)
        shutil.copytree(keep, little_package)
        process = subprocess.Popen([*words, "--apply"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(seed.uniform(0.2 if number % 2 else 0.8, 1.1) * span)
        process.kill()
        process.wait()
        found = contents(little_package)
        assert found in (old, new)
        outcomes.append(found == new)
    record_property("sample", f"{times} of 200 kills of spreadsheet in --apply, {sum(outcomes)} after the step")
    assert subprocess.run([*words, "--apply"], capture_output=True, timeout=120).returncode == 0
    assert contents(little_package) == new
    assert not list(tmp_path.glob(".package.new-*"))


def test_a_full_disk_loses_nothing_and_says_so(little_package: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk has no room the package is as it was, nothing is left lying about, and the message says it."""
    desk = _corrected(little_package)
    old = contents(little_package)

    def full(old: Path, new: Path, data: bytes) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(swap, "_fresh", full)
    with pytest.raises(SpreadsheetError, match=r"no space left on device.*It is as it was"):
        desk.bring_in(apply=True)
    assert contents(little_package) == old and not list(little_package.parent.glob(".package*"))


def test_a_read_only_folder_is_named(little_package: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the folder beside may not be written to, the package is as it was; where the verdicts cannot be written,
    the message says where to go."""
    desk = _corrected(little_package)
    old = contents(little_package)

    def denied(*_: object, **__: object) -> str:
        raise PermissionError(errno.EACCES, "Permission denied")

    with monkeypatch.context() as patch:
        patch.setattr(swap.tempfile, "mkdtemp", denied)
        with pytest.raises(SpreadsheetError, match=r"permission denied.*the right to write"):
            desk.bring_in(apply=True)
    monkeypatch.setattr(swap.tempfile, "mkstemp", denied)
    with pytest.raises(SpreadsheetError, match=r"verdicts could not be written.*permission denied"):
        desk.bring_in()
    assert contents(little_package) == old


def test_two_runs_at_once(little_package: Path) -> None:
    """While another run writes, this one says so and writes nothing."""
    desk = _corrected(little_package)
    old = contents(little_package)
    with swap.alone(little_package), pytest.raises(SpreadsheetError, match="another run is writing"):
        desk.bring_in(apply=True)
    assert contents(little_package) == old
    assert desk.bring_in(apply=True).written


def test_standing_in_the_folder_that_is_replaced(little_package: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever stands in the package's folder would be left in a folder that is gone, so nothing is written."""
    desk = _corrected(little_package)
    old = contents(little_package)
    monkeypatch.chdir(little_package / "herbs")
    with pytest.raises(SpreadsheetError, match="you stand in it"):
        desk.bring_in(apply=True)
    assert contents(little_package) == old


def test_a_package_changed_while_it_was_judged_is_not_written_to(little_package: Path) -> None:
    """The package that the verdicts are about must still be the one that is written to."""
    desk = _corrected(little_package)
    materia = load(little_package)
    path = little_package / "teaching/aids.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("wind", "breeze"), encoding="utf-8")
    changed = contents(little_package)
    with pytest.raises(SpreadsheetError, match="changed while this ran"):
        spreadsheet_in(materia, desk.file, apply=True)
    assert contents(little_package) == changed


def test_other_files_of_the_folder_stay(little_package: Path) -> None:
    """What else lies in the folder, links and modes among it, is there after the exchange."""
    (little_package / ".git").mkdir()
    (little_package / ".git" / "HEAD").write_text("ref", encoding="utf-8")
    (little_package / "link").symlink_to("herbs/herbs.csv")
    (little_package / "herbs/herbs.csv").chmod(0o640)
    with swap.alone(little_package):
        swap.write_together(little_package, {"herbs/herbs.csv": b"a", "herbs/names.csv": b"b"})
    assert (little_package / ".git" / "HEAD").read_text(encoding="utf-8") == "ref"
    assert (little_package / "link").is_symlink() and (little_package / "link").read_bytes() == b"a"
    assert (little_package / "herbs/herbs.csv").stat().st_mode & 0o777 == 0o640
    assert (little_package / "herbs/names.csv").stat().st_nlink == 1
