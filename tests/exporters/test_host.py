"""The host: runs exporters apart, keeps old outputs whole, and says what went wrong by name."""

import json
import os
import subprocess
import time
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from materia_data import load
from materia_data.exporting.listing import BUILT_IN, exporters
from tests.exporters.plugins import COMMAND, NAMES, distribution, environment, materia

SENTINEL = "raise SystemExit('imported')\n"


@pytest.fixture
def plugins(tmp_path: Path) -> Path:
    """A folder with one installed distribution of well and badly behaved exporters."""
    return distribution(tmp_path / "plugins", "trial-plugin", {name: f"trial_plugin:{name}" for name in NAMES})


def export(package: Path, out: Path, plugins: Path, *words: str, **variables: str) -> tuple[int, dict[str, Any], str]:
    """Exit code, each output by name, and what went to stderr."""
    ended = materia("export", *words, "--data", package, "--out", out, "--format", "json", plugins=plugins, **variables)
    assert ended.stdout, ended.stderr
    return ended.returncode, {each["name"]: each for each in json.loads(ended.stdout)["outputs"]}, ended.stderr


def files(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, hidden ones too."""
    paths = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def test_listing_imports_no_exporter(tmp_path: Path) -> None:
    """A plugin whose import would end the program is listed with name, distribution and version."""
    plugins = distribution(tmp_path / "plugins", "deadly", {"deadly": "deadly:export"}, SENTINEL)
    ended = materia("export", "--list", "--format", "json", plugins=plugins)
    listed = {one["name"]: one for one in json.loads(ended.stdout)["exporters"]}
    assert ended.returncode == 0
    assert listed["deadly"] == {
        "name": "deadly", "distribution": "deadly", "version": "1.0", "summary": "exporters for a test", "refused": "",
    }  # fmt: skip
    assert {"parquet", "jsonld", "monographs"} <= set(listed)
    assert "deadly  " in materia("export", "--list", plugins=plugins).stdout


def test_listed_summaries_are_those_of_the_exporters() -> None:
    """What the list says of a built-in exporter, without importing it, is what its `summary` says."""
    from importlib import import_module

    for one in exporters():
        if one.distribution == "materia-data":
            module, _, name = one.value.partition(":")
            assert getattr(import_module(module), name).summary == BUILT_IN[one.name]


@pytest.mark.parametrize("taken", ["parquet", "sqlite"])
def test_an_outsider_cannot_take_a_built_in_name(taken: str, tmp_path: Path, little_package: Path) -> None:
    """It is refused and said; a built-in of that name still runs."""
    plugins = distribution(tmp_path / "plugins", "thief", {taken: "thief:good"})
    listed = materia("export", "--list", plugins=plugins).stdout
    assert f"refused: the name {taken} is kept for an exporter of materia-data" in listed
    code, outputs, said = export(little_package, tmp_path / "out", plugins, taken)
    assert f"not run: {taken} of thief" in said
    ran = taken == "parquet"
    assert (code, outputs[taken]["state"]) == ((0, "written") if ran else (1, "failed"))
    assert (tmp_path / "out" / taken / "medicinals.parquet").exists() == ran


def test_two_of_one_name_and_names_that_are_paths_are_refused(tmp_path: Path, little_package: Path) -> None:
    """Nobody is run by chance, and no name leads out of the folder."""
    plugins = distribution(tmp_path / "plugins", "one", {"twin": "one:good", "../up": "one:good"})
    distribution(plugins, "two", {"twin": "two:good"})
    listed = materia("export", "--list", plugins=plugins).stdout
    assert "two offers the same name" in listed and "one offers the same name" in listed
    assert "its name is no name for a folder" in listed
    code, outputs, _ = export(little_package, tmp_path / "out", plugins, "../up", "twin")
    assert code == 1 and {each["state"] for each in outputs.values()} == {"failed"}
    assert not (tmp_path / "up").exists()


def test_an_output_has_a_manifest_that_sha256_agrees_with(tmp_path: Path, little_package: Path, plugins: Path) -> None:
    """Files, digests, release, counts and safety digest stand in manifest.json."""
    code, outputs, _ = export(little_package, tmp_path / "out", plugins, "good")
    folder = tmp_path / "out" / "good"
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    made = files(folder)
    made.pop("manifest.json")
    data = load(little_package)
    assert code == 0
    assert {each["path"]: each["sha256"] for each in manifest["files"]} == {
        path: sha256(content).hexdigest() for path, content in made.items()
    }
    assert manifest["release"] == data.release_id == made["release.txt"].decode()
    assert manifest["counts"] == {"herbs": 4, "forms": 2, "formulas": 1, "cautions": 5}
    assert len(manifest["safety_sha256"]) == 64
    assert outputs["good"]["files"] == 21 and outputs["good"]["folder"] == str(folder)
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["good"]


def test_the_safety_digest_changes_with_safety_and_with_nothing_else(tmp_path: Path, plugins: Path) -> None:
    """A weakened caution changes it; an English name does not."""
    from tests.little import little

    changes: dict[str, dict[str, Any]] = {
        "as it is": {},
        "renamed": {"herbs": [{"id": "demo-leaf", "name_en": "another name"}]},
        "weakened": {"cautions": [{"subject": "demo-root", "topic": "pregnancy", "target": "", "state": "avoid"}]},
    }
    digests = {}
    for name, change in changes.items():
        export(little(tmp_path / name / "data", **change), tmp_path / name / "out", plugins, "good")
        manifest = (tmp_path / name / "out" / "good" / "manifest.json").read_text(encoding="utf-8")
        digests[name] = json.loads(manifest)["safety_sha256"]
    assert digests["as it is"] == digests["renamed"] != digests["weakened"]


BAD = {
    "raising": "ValueError: the ink ran out",
    "crashing": "its process was ended by SIGSEGV",
    "leaving": "left with exit code 0 before it was done",
    "linking": "link is a link or a special file",
    "claiming": "it wrote manifest.json itself",
    "empty": "it wrote no file",
}


def test_failures_are_named_and_touch_neither_old_outputs_nor_neighbours(
    tmp_path: Path, little_package: Path, plugins: Path
) -> None:
    """Each failure says what it was, leaves what stood there before, and the good one between them is written."""
    out = tmp_path / "out"
    for name in BAD:
        old = distribution(tmp_path / f"old-{name}", "trial-plugin", {name: "trial_plugin:good"})
        assert export(little_package, out, old, name)[0] == 0
    before = files(out)
    code, outputs, said = export(little_package, out, plugins, *list(BAD)[:3], "good", *list(BAD)[3:])
    after = files(out)
    assert code == 1
    assert {name: output["state"] for name, output in outputs.items()} == dict.fromkeys(BAD, "failed") | {
        "good": "written"
    }
    for name, message in BAD.items():
        assert message in outputs[name]["message"]
    assert {path: content for path, content in after.items() if not path.startswith("good/")} == before
    assert "good/manifest.json" in after
    assert "trial_plugin.py" in said


def test_an_exporter_that_patches_the_program_harms_only_itself(
    tmp_path: Path, little_package: Path, plugins: Path
) -> None:
    """It breaks modules and the data in its own process; host and neighbour do not see it."""
    code, outputs, _ = export(little_package, tmp_path / "out", plugins, "patching", "good", "parquet")
    assert code == 1
    assert [outputs[name]["state"] for name in ("patching", "good", "parquet")] == ["failed", "written", "written"]


def test_what_an_exporter_prints_stays_out_of_the_answer(tmp_path: Path, little_package: Path, plugins: Path) -> None:
    """Standard output holds one JSON document; the end of what was printed stands in its log."""
    code, outputs, said = export(little_package, tmp_path / "out", plugins, "shouting")
    assert code == 0
    assert outputs["shouting"]["log"].endswith("straight to the descriptor")
    assert len(outputs["shouting"]["log"]) < 20_000
    assert "\x1b" not in said


def test_one_that_takes_too_long_is_stopped_with_what_it_started(
    tmp_path: Path, little_package: Path, plugins: Path
) -> None:
    """The time limit ends the process and its child; the other output is written."""
    notes = tmp_path / "notes.txt"
    began = time.monotonic()
    code, outputs, _ = export(
        little_package, tmp_path / "out", plugins, "stuck", "good", "--timeout", "8", PLUGIN_NOTES=str(notes)
    )
    assert code == 1 and time.monotonic() - began < 60
    assert outputs["stuck"]["message"] == "it took longer than 8 s and was stopped"
    assert outputs["good"]["state"] == "written"
    for process in map(int, notes.read_text(encoding="utf-8").split()):
        assert _gone(process)


def _gone(process: int) -> bool:
    for _ in range(100):
        state = Path(f"/proc/{process}/stat")
        if not state.exists() or state.read_text().rpartition(")")[2].split()[0] == "Z":
            return True
        time.sleep(0.05)
    return False


@pytest.mark.parametrize("made", ["thesis.txt", "sub/thesis.txt", ".hidden"])
def test_a_folder_that_is_not_ours_is_refused(made: str, tmp_path: Path, little_package: Path, plugins: Path) -> None:
    """Someone's files are never replaced, whether the folder is all theirs or an output they put something into."""
    out = tmp_path / "out"
    theirs = out / "good" / made
    for ours_before in (False, True):
        if ours_before:
            theirs.unlink()
            if theirs.parent.name == "sub":
                theirs.parent.rmdir()
            assert export(little_package, out, plugins, "good")[0] == 0
        theirs.parent.mkdir(parents=True, exist_ok=True)
        theirs.write_text("two years of work", encoding="utf-8")
        before = files(out)
        code, outputs, _ = export(little_package, out, plugins, "good")
        assert code == 1 and "Move it away" in outputs["good"]["message"]
        assert files(out) == before


def test_a_file_a_link_or_another_exporters_output_is_not_replaced(
    tmp_path: Path, little_package: Path, plugins: Path
) -> None:
    """What stands at OUT/NAME must be an output of that name."""
    out = tmp_path / "out"
    assert export(little_package, out, plugins, "good")[0] == 0
    (out / "good").rename(out / "shouting")
    (out / "good").symlink_to(out / "shouting")
    before = files(out)
    code, outputs, _ = export(little_package, out, plugins, "good", "shouting")
    assert code == 1
    assert "is not a folder" in outputs["good"]["message"]
    assert "not an output of this exporter" in outputs["shouting"]["message"]
    assert files(out) == before


def test_the_same_data_gives_the_same_bytes_again(tmp_path: Path, little_package: Path, plugins: Path) -> None:
    """Exported anew, elsewhere, on another day: every file is the same, the manifest too."""
    names = ("parquet", "jsonld", "monographs")
    assert export(little_package, tmp_path / "one", plugins, *names)[0] == 0
    assert export(little_package, tmp_path / "one", plugins, *names)[0] == 0
    assert (
        export(little_package, tmp_path / "two", plugins, *names, SOURCE_DATE_EPOCH="2000000000", TZ="Asia/Tokyo")[0]
        == 0
    )
    assert files(tmp_path / "one") == files(tmp_path / "two")


def test_it_does_not_write_into_the_data(little_package: Path, plugins: Path) -> None:
    """An output inside the package would be a file of the package."""
    ended = materia("export", "good", "--data", little_package, "--out", little_package / "out", plugins=plugins)
    assert ended.returncode == 2 and "inside the data package" in ended.stderr
    assert not (little_package / "out").exists()


def test_what_cannot_run_says_what_to_do(tmp_path: Path, plugins: Path) -> None:
    """A typo gets the nearest name, a missing folder its option; both leave with 2."""
    cases = {("parqet", "--out", str(tmp_path / "o")): "Did you mean parquet?", ("parquet",): "--out DIR", (): "--list"}
    for words, said in cases.items():
        ended = materia("export", *words, plugins=plugins)
        assert ended.returncode == 2 and said in ended.stderr and ended.stdout == ""


def test_two_exports_into_one_folder_do_not_meet(tmp_path: Path, little_package: Path, plugins: Path) -> None:
    """The second says that another is running, and changes nothing."""
    from materia_data.exporting.place import hold

    (tmp_path / "out").mkdir()
    with hold(tmp_path / "out"):
        ended = materia("export", "good", "--data", little_package, "--out", tmp_path / "out", plugins=plugins)
    assert ended.returncode == 2 and "another export is running" in ended.stderr
    assert list((tmp_path / "out").iterdir()) == []


def test_a_plugin_leaves_when_its_host_is_killed(tmp_path: Path, little_package: Path, plugins: Path) -> None:
    """No exporter goes on writing after the command is gone."""
    notes = tmp_path / "notes.txt"
    command = [*COMMAND, "export", "stuck", "--data", str(little_package), "--out", str(tmp_path / "out")]
    host = subprocess.Popen(command, env=environment(plugins, PLUGIN_NOTES=str(notes)), stderr=subprocess.DEVNULL)
    for _ in range(600):
        if notes.exists() and notes.read_text(encoding="utf-8").count(" "):
            break
        time.sleep(0.05)
    host.kill()
    host.wait()
    exporter, child = map(int, notes.read_text(encoding="utf-8").split())
    assert _gone(exporter)
    os.kill(child, 9)
