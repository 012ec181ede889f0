"""Releasing: the step, the checks, the changelog, and that the same release has the same bytes anywhere."""

import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from materia_data.change.release import Release, ReleaseError, release
from materia_data.change.signoff import sign
from materia_data.change.verify import verify
from materia_data.change.versions import open_version
from materia_data.exporting.listing import OURS, exporters
from materia_data.materia import load
from tests.docs.pages import ROOT
from tests.little import little

ON = date(2026, 11, 25)
BUILT_IN = sorted(one.name for one in exporters() if one.distribution == OURS)
LOWER = {"cautions": [{"subject": "demo-leaf", "topic": "pregnancy", "state": "none-stated", "basis": "collated",
                       "source": "demo-standard", "locator": "p. 1"}]}  # fmt: skip
LOOSENING = {"subject": "demo-leaf", "predicate": "caution", "qualifiers": "topic=pregnancy", "was": "caution",
             "now": "none-stated", "reason": "The standard was read again.", "source": "demo-standard",
             "by": "course owner", "on_date": "2026-02-01"}  # fmt: skip
NAME = {"herbs": [{"id": "demo-kelp", "name_en": "demo weed"}]}
HIGHER = {"cautions": [{"subject": "demo-leaf", "topic": "pregnancy", "state": "avoid"}]}
NEW = {"aids": [{"id": "demo-aid", "subject": "demo-kelp", "kind": "sound", "text": "Demo."}]}


def made(folder: Path, version: str, *, on: date = ON, since: str = "", write: bool = True) -> Release:
    data = folder / "datapackage"
    return release(load(data), version, out=folder / "releases", changelog=folder / "CHANGELOG.md", on=on,
                   exporters=(), since=since, write=write)  # fmt: skip


def changed(folder: Path, **tables: Sequence[Mapping[str, object]]) -> Path:
    """The school's data with these rows, its descriptor as it was."""
    descriptor = (folder / "datapackage/datapackage.json").read_bytes()
    shutil.rmtree(folder / "datapackage")
    little(folder / "datapackage", **tables)
    (folder / "datapackage/datapackage.json").write_bytes(descriptor)
    return folder


@pytest.fixture
def school(tmp_path: Path) -> Path:
    """A folder with the little package released as 0.1.0."""
    little(tmp_path / "school/datapackage")
    made(tmp_path / "school", "0.1.0")
    return tmp_path / "school"


def test_a_release_is_whole_and_its_id_is_the_plain_version(school: Path) -> None:
    """Folder, checksums, changelog and version are there; a changed cell makes another id, and back the plain one."""
    assert verify(school / "releases/0.1.0").findings == ()
    assert load(school / "datapackage").release_id == "0.1.0"
    with open_version(str(school / "releases/0.1.0/materia-data-0.1.0.tar.gz")) as released:
        assert released.release_id == "0.1.0"
    changelog = (school / "CHANGELOG.md").read_text(encoding="utf-8")
    assert "## Data 0.1.0, 2026-11-25" in changelog and "Not signed off." in changelog
    changed(school, **NAME)
    assert load(school / "datapackage").release_id.startswith("0.1.0+")
    changed(school)
    assert load(school / "datapackage").release_id == "0.1.0"


STEPS: dict[str, tuple[dict[str, Any], str, str]] = {
    "a corrected name": (NAME, "0.1.1", ""),
    "a new row": (NEW, "0.2.0", "0.1.9"),
    "a loosened caution": ({**LOWER, "loosenings": [LOOSENING]}, "0.2.0", "0.1.1"),
    "a tightened caution": (HIGHER, "0.1.1", ""),
}


@pytest.mark.parametrize("what", STEPS)
def test_a_step_too_small_is_refused(what: str, school: Path) -> None:
    """Below 1.0 what is major or minor moves the middle number; the step that is named is enough."""
    tables, enough, too_small = STEPS[what]
    changed(school, **tables)
    if too_small:
        with pytest.raises(ReleaseError, match=rf"too small .* at least {enough}"):
            made(school, too_small, write=False)
    assert made(school, enough, write=False).state == "planned"


def test_from_one_on_each_step_has_its_number(tmp_path: Path) -> None:
    """Loosened safety asks for a major step, an addition for a minor one, a correction for a patch (semver.org 2.0.0,
    6 to 8), and all of them for sign-offs."""
    for tables, least, small in (
        ({**LOWER, "loosenings": [LOOSENING]}, "2.0.0", "1.9.0"),
        (NEW, "1.1.0", "1.0.9"),
        (NAME, "1.0.1", "0.9.9"),
    ):
        folder = tmp_path / least
        data = little(folder / "datapackage")
        for by in ("A", "B"):
            sign(load(data), list(load(data)), "safety", by=by, role="demo", on=ON)
        signoffs = (data / "record/signoffs.csv").read_bytes()
        assert made(folder, "1.0.0").signed_off == "safety signed off"
        changed(folder, **tables)
        (data / "record/signoffs.csv").write_bytes(signoffs)
        with pytest.raises(ReleaseError, match=r"too small|higher"):
            made(folder, small, write=False)
        if "cautions" in tables:
            with pytest.raises(ReleaseError, match="check finds 1 error") as refused:
                made(folder, least, write=False)
            assert [problem.record for problem in refused.value.problems] == ["demo-leaf"]
        else:
            made(folder, least, write=False)


REFUSED: dict[str, tuple[str, str]] = {
    "no version": ("0.2", "is no version"),
    "a leading zero": ("0.02.0", "is no version"),
    "a lower one": ("0.0.9", "higher"),
    "the same again": ("0.1.0", "released already"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_is_no_next_version(what: str, school: Path) -> None:
    """It is refused with the reason, and nothing is written."""
    version, said = REFUSED[what]
    changed(school, **(NAME if what != "the same again" else {}))
    before = sorted(path for path in school.rglob("*"))
    with pytest.raises(ReleaseError, match=said):
        made(school, version)
    assert sorted(path for path in school.rglob("*")) == before


def test_nothing_changed_is_nothing_to_release(school: Path) -> None:
    """A second version of the same data is refused."""
    with pytest.raises(ReleaseError, match="nothing changed"):
        made(school, "0.1.1")


def test_an_error_of_the_check_stops_it(school: Path) -> None:
    """A loosening that nobody recorded is an error against the last release, and nothing is written."""
    changed(school, **LOWER)
    before = {path: path.read_bytes() for path in school.rglob("*") if path.is_file()}
    with pytest.raises(ReleaseError) as refused:
        made(school, "0.2.0")
    assert [problem.rule for problem in refused.value.problems] == ["safety-loosened"]
    assert {path: path.read_bytes() for path in school.rglob("*") if path.is_file()} == before


def test_the_last_release_must_be_the_last(school: Path, tmp_path: Path) -> None:
    """Another older state, or none, in place of the last release is refused: a loosening between could hide there."""
    changed(school, **NAME)
    with pytest.raises(ReleaseError, match="not the last release"):
        made(school, "0.1.1", since=str(little(tmp_path / "other", **LOWER)))
    (school / "releases/0.1.0").rename(tmp_path / "kept")
    with pytest.raises(ReleaseError, match="--since"):
        made(school, "0.1.1")
    assert made(school, "0.1.1", since=str(tmp_path / "kept/materia-data-0.1.0.tar.gz"), write=False).since == "0.1.0"


def test_the_changelog_tells_it_to_a_teacher(school: Path) -> None:
    """What was loosened comes first, with the reason on record and who answers; then what was tightened, then the
    rest. An entry goes before the older ones and changes none of them."""
    before = (school / "CHANGELOG.md").read_text(encoding="utf-8")
    toxic = [{"id": "demo-seed", "toxicity": "slight"}, *NAME["herbs"]]
    changed(school, **LOWER, loosenings=[LOOSENING], herbs=toxic)
    made(school, "0.2.0")
    text = (school / "CHANGELOG.md").read_text(encoding="utf-8")
    head, new, old = text.split("## Data ")
    assert head + "## Data " + old == before
    order = ("**Safety loosened**", "The standard was read again (demo-standard, course owner)", "**Safety tightened**",
             "demo-seed", "**Corrected**", "demo weed")  # fmt: skip
    places = [new.index(word) for word in order]
    assert places == sorted(places)
    with pytest.raises(ReleaseError, match="nothing changed"):
        made(school, "0.3.0")


def test_a_stopped_release_is_finished(school: Path) -> None:
    """If the run died with the folder in its place, the same command writes changelog and version, and nothing else."""
    changed(school, **NAME)
    descriptor, changelog = school / "datapackage/datapackage.json", school / "CHANGELOG.md"
    before = descriptor.read_bytes(), changelog.read_bytes()
    made(school, "0.1.1")
    after = descriptor.read_bytes(), changelog.read_bytes()
    descriptor.write_bytes(before[0])
    changelog.write_bytes(before[1])
    assert made(school, "0.1.1", on=date(2027, 1, 1)).state == "finished"
    assert (descriptor.read_bytes(), changelog.read_bytes()) == after


def _run(folder: Path, zone: str, mask: int) -> str:
    """SHA256SUMS of a release by the command with every built-in exporter, from another folder and time zone."""
    shutil.copytree(ROOT / "materia_data", folder / "materia_data", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(ROOT / "exporters/materia_exporters", folder / "exporters/materia_exporters",
                    ignore=shutil.ignore_patterns("__pycache__"))  # fmt: skip
    shutil.copytree(ROOT / "schemas", folder / "schemas")
    for name in ("pyproject.toml", "README.md", "LICENSE", "LICENSE-DATA"):
        shutil.copy(ROOT / name, folder / name)
    little(folder / "datapackage")
    command = [sys.executable, "-m", "materia_data", "release", "0.1.0", "--data", "datapackage", "--on", "2026-11-25"]
    variables = {**os.environ, "TZ": zone, "SOURCE_DATE_EPOCH": str(1_700_000_000 + mask), "LC_ALL": "C.UTF-8"}
    done = subprocess.run(command, cwd=folder, env=variables, capture_output=True, text=True, umask=mask, check=False)
    assert done.returncode == 0, done.stderr
    return (folder / "releases/0.1.0/SHA256SUMS").read_text(encoding="utf-8")


def test_the_same_release_has_the_same_bytes_anywhere(tmp_path: Path) -> None:
    """Archives of data and of every built-in export, and the wheel, are the same bytes from another folder, time zone,
    clock and umask; `sha256sum` agrees, and the wheel holds the released data."""
    here = tmp_path / "here"
    sums = _run(here, "Pacific/Auckland", 0o022)
    assert _run(tmp_path / "a much longer/place elsewhere", "America/Los_Angeles", 0o077) == sums
    folder = here / "releases/0.1.0"
    checked = subprocess.run(
        ["sha256sum", "-c", "--strict", "SHA256SUMS"], cwd=folder, capture_output=True, check=False
    )
    assert checked.returncode == 0
    names = sorted(path.name for path in folder.iterdir())
    assert [f"materia-data-0.1.0-{name}.tar.gz" for name in BUILT_IN] == [
        name for name in names if name.startswith("materia-data-0.1.0-")
    ]
    assert verify(folder).findings == ()
    (wheel,) = folder.glob("*.whl")
    inside = zipfile.ZipFile(wheel).read("materia_data/_data/datapackage/datapackage.json").decode()
    assert '"version": "0.1.0",\n  "released": "' in inside
    with tarfile.open(folder / "materia-data-0.1.0-jsonld.tar.gz") as archive:
        manifest = archive.extractfile("materia-data-0.1.0-jsonld/manifest.json")
        assert manifest is not None
        text = manifest.read().decode()
    assert '"release": "0.1.0"' in text and '"signed_off": "not signed off"' in text
