"""Whatever moment `tidy` or `release` dies at, the package is the old one or the new one, and nothing is lost.

A few moments are tried each time, 200 of each kind with MATERIA_DEEP=1. Then a full disk, a read-only folder, two
runs at once.
"""

import errno
import os
import random
import resource
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest

from materia_data.change.release import Release, ReleaseError, release
from materia_data.change.tidy import tidy
from materia_data.change.verify import verify
from materia_data.change.write import CannotWrite, lock, write_all
from materia_data.check.run import check
from materia_data.materia import load
from materia_data.read.pending import FOLDER
from tests.change.dying import answer, die_at, kill_after, operations
from tests.little import little

DEEP = bool(os.environ.get("MATERIA_DEEP"))
ON = date(2026, 11, 25)
Said = Callable[[str, object], None]


def snapshot(folder: Path) -> dict[str, bytes]:
    """Every file, as a reader of the package sees it."""
    from materia_data.read.files import list_files
    from materia_data.read.pending import place

    return {path: place(folder, path).read_bytes() for path in list_files(folder)[0]}


def untidy(folder: Path) -> Path:
    """A package of which three files are not canonical."""
    little(folder)
    for name in ("herbs/herbs.csv", "herbs/names.csv", "herbs/cautions.csv"):
        header, *rows = (folder / name).read_text(encoding="utf-8").strip().split("\n")
        (folder / name).write_text("\r\n".join([header, *reversed(rows), ""]), encoding="utf-8", newline="")
    return folder


def run_tidy(folder: Path) -> None:
    tidy(load(folder).package)


def run_release(folder: Path, version: str = "0.1.0") -> Release:
    return release(
        load(folder / "datapackage"), version, out=folder / "releases", changelog=folder / "CHANGELOG.md", on=ON,
        exporters=(),
    )  # fmt: skip


def moments(events: list[str], seed: int, few: int) -> list[int]:
    """A few moments (200 with MATERIA_DEEP=1) with all renames and what follows each."""
    renames = [number for number, event in enumerate(events, 1) if event == "os.rename"]
    others = random.Random(seed).sample(range(1, len(events) + 1), min(200 if DEEP else few, len(events)))
    near = {*renames, *(number + 1 for number in renames)}
    return sorted(moment for moment in {*others, *near} if moment <= len(events))


def test_tidy_dying_at_any_operation(tmp_path: Path, record_property: Said) -> None:
    """Read at once after it, the package is wholly the old or wholly the new one; the next tidy leaves the new one."""
    old, new = snapshot(untidy(tmp_path / "old")), snapshot(little(tmp_path / "new"))
    events = operations(lambda: run_tidy(untidy(tmp_path / "all")), tmp_path / "log")
    begun = operations(lambda: untidy(tmp_path / "made"), tmp_path / "log2")
    events = events[len(begun) :]
    outcomes = []
    for moment in moments(events, 3, 25):
        folder = untidy(tmp_path / f"at-{moment}")
        die_at(lambda folder=folder: run_tidy(folder), moment)  # type: ignore[misc]
        seen = snapshot(folder)
        assert seen in (old, new), moment
        outcomes.append("new" if seen == new else "old")
        run_tidy(folder)
        assert snapshot(folder) == new and not (folder / FOLDER).exists(), moment
    record_property("sample", f"{len(outcomes)} of {len(events)} moments to die at in tidy")
    assert outcomes == sorted(outcomes, key=["old", "new"].index) and set(outcomes) == {"old", "new"}


def test_the_check_names_a_change_that_is_not_all_in_its_place(tmp_path: Path) -> None:
    """Other programs would see half of it, so the check says so until the next run that writes has finished it."""
    folder = untidy(tmp_path / "package")
    (folder / FOLDER / "ready/herbs").mkdir(parents=True)
    (folder / FOLDER / "ready/herbs/herbs.csv").write_bytes((little(tmp_path / "new") / "herbs/herbs.csv").read_bytes())
    assert "unfinished-write" in {problem.rule for problem in check(load(folder)).problems}
    run_tidy(folder)
    assert not check(load(folder)).failed()


def _school(folder: Path) -> Path:
    little(folder / "datapackage")
    return folder


def _whole_release(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def _judge(folder: Path, old: str, wanted: dict[str, bytes]) -> str:
    """Which state a death left, which must be whole; and the same command brings the new one, to the byte."""
    state = load(folder / "datapackage").release_id
    assert state in (old, "0.1.0")
    made = folder / "releases/0.1.0"
    assert not made.exists() or not verify(made).findings
    if state == "0.1.0":
        assert made.exists()
        with pytest.raises(ReleaseError, match="already"):
            run_release(folder)
        write_all(folder / "datapackage", {})
        shutil.rmtree(folder / "releases/.0.1.0.old", ignore_errors=True)
    else:
        run_release(folder)
    assert _whole_release(folder) == wanted
    return "new" if state == "0.1.0" else "made" if made.exists() else "old"


def test_release_dying_at_any_operation(tmp_path: Path, record_property: Said) -> None:
    """The data are the old or the new ones, the folder of the release is whole or not there, and running it again
    gives what an undisturbed run gives."""
    reference = _school(tmp_path / "reference")
    old = load(reference / "datapackage").release_id
    _school(tmp_path / "all")
    events = operations(lambda: run_release(tmp_path / "all"), tmp_path / "log")
    run_release(reference)
    wanted = _whole_release(reference)
    few = moments(events, 4, 12)
    for moment in few:
        folder = _school(tmp_path / f"at-{moment}")
        die_at(lambda folder=folder: run_release(folder), moment)  # type: ignore[misc]
        _judge(folder, old, wanted)
        shutil.rmtree(folder)
    record_property("sample", f"{len(few)} of {len(events)} moments to die at in release")


@pytest.mark.parametrize("verb", ["tidy", "release"])
def test_killed_after_a_while(verb: str, tmp_path: Path, record_property: Said) -> None:
    """SIGKILL at seeded moments of a run: old or new, and the next run gives the new."""
    began = time.monotonic()
    if verb == "tidy":
        old, new = snapshot(untidy(tmp_path / "old")), snapshot(little(tmp_path / "new"))
        run_tidy(untidy(tmp_path / "timed"))
    else:
        reference = _school(tmp_path / "reference")
        before = load(reference / "datapackage").release_id
        run_release(reference)
        wanted = _whole_release(reference)
    span, seed, running = time.monotonic() - began, random.Random(7), 0
    count = 200 if DEEP else 8
    for number in range(count):
        folder = tmp_path / f"run-{number}"
        if verb == "tidy":
            untidy(folder)
            running += kill_after(lambda folder=folder: run_tidy(folder), seed.uniform(0, span))  # type: ignore[misc]
            assert snapshot(folder) in (old, new)
            run_tidy(folder)
            assert snapshot(folder) == new
        else:
            _school(folder)
            running += kill_after(lambda folder=folder: run_release(folder), seed.uniform(0, span))  # type: ignore[misc]
            _judge(folder, before, wanted)
        shutil.rmtree(folder)
    record_property("sample", f"{count} kills of {verb}, {running} while it ran")
    assert running


# Full, read-only, twice at once.


def test_a_full_disk_changes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No space while the files are made: said in a sentence, and every byte stays."""
    school, package = _school(tmp_path / "school"), untidy(tmp_path / "package")
    before = snapshot(package), _whole_release(school)

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    for work in (lambda: run_tidy(package), lambda: run_release(school)):
        with pytest.raises(CannotWrite, match="no space left on device"):
            work()
    assert (snapshot(package), _whole_release(school)) == before
    assert not (package / FOLDER).exists() and not any((school / "releases").iterdir())


def test_a_file_that_cannot_grow_changes_nothing(tmp_path: Path) -> None:
    """The system's own limit on the size of a file, met while writing."""
    school, package = _school(tmp_path / "school"), untidy(tmp_path / "package")
    before = snapshot(package), _whole_release(school)

    def limited(work: Callable[[], object]) -> Callable[[], str]:
        def run() -> str:
            resource.setrlimit(resource.RLIMIT_FSIZE, (200, 200))
            try:
                work()
            except CannotWrite as error:
                return str(error)[:150]
            return "done"

        return run

    for work in (lambda: run_tidy(package), lambda: run_release(school)):
        assert "cannot be written to" in answer(limited(work), tmp_path / "said")
    assert (snapshot(package), _whole_release(school)) == before


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that another user may look into."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield Path(name)


def test_a_read_only_folder_is_named(open_folder: Path, tmp_path: Path) -> None:
    """Without the right to write, the message names the folder, and nothing is changed."""
    school, package = _school(open_folder / "school"), untidy(open_folder / "package")
    before = snapshot(package), _whole_release(school)
    for path in (open_folder, *open_folder.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)

    def without_rights(work: Callable[[], object]) -> Callable[[], str]:
        def run() -> str:
            said = "done"
            if os.geteuid() == 0:
                os.seteuid(65534)
            try:
                work()
            except CannotWrite as error:
                said = str(error)
            finally:
                os.seteuid(os.getuid())
            return said

        return run

    run_tidy(little(tmp_path / "warm"))
    for work, named in ((lambda: run_tidy(package), "package"), (lambda: run_release(school), "releases")):
        said = answer(without_rights(work), tmp_path / "said")
        assert named in said and "permission denied" in said
    for path in (open_folder, *open_folder.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    assert (snapshot(package), _whole_release(school)) == before


def test_two_runs_at_once(tmp_path: Path) -> None:
    """The second one is told to wait, and changes nothing; afterwards it runs."""
    school, package = _school(tmp_path / "school"), untidy(tmp_path / "package")
    (school / "releases").mkdir()
    before = snapshot(package)
    with lock(package), pytest.raises(CannotWrite, match="another run"):
        run_tidy(package)
    with lock(school / "releases"), pytest.raises(CannotWrite, match="another run"):
        run_release(school)
    assert snapshot(package) == before and not any((school / "releases").iterdir())
    run_tidy(package)
    run_release(school)
