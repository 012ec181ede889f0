"""What changed between two packages (semantics.md §5 and §6; the issue's own list of changes that must count)."""

import shutil
import subprocess
import tarfile
import zipfile
from pathlib import Path
from typing import Any

import pytest

from materia_data import load
from materia_data.change.diff import Change, Diff, diff
from materia_data.change.versions import VersionError, open_version
from materia_data.cli import main
from tests.layers import layer
from tests.little import little
from tests.ruletext import rule


def changed(tmp_path: Path, old: dict[str, Any], new: dict[str, Any]) -> Diff:
    return diff(load(little(tmp_path / "old", **old)), load(little(tmp_path / "new", **new)))


def only(found: Diff) -> Change:
    assert len(found.changes) == 1, [change.words for change in found.changes]
    return found.changes[0]


SAFETY = {"safety": True, "over": ["herbs", "forms"], "strength": "must"}
KELP = {"subject": "demo-kelp", "topic": "pregnancy", "target": "", "evidence": "tradition"}


def test_nothing_changed_is_nothing_told(tmp_path: Path) -> None:
    """Two equal packages differ in nothing, and call for no step."""
    found = changed(tmp_path, {}, {})
    assert (found.changes, found.bump) == ((), "none")


def test_a_weakened_caution_is_told_in_words(tmp_path: Path) -> None:
    """A cell's change carries its effect on safety, and a loosening is a major step."""
    found = changed(tmp_path, {"cautions": [KELP | {"state": "avoid"}]}, {"cautions": [KELP | {"state": "caution"}]})
    change = only(found)
    assert (change.table, change.column, change.before, change.after) == ("cautions", "state", "avoid", "caution")
    assert change.safety == "weakened"
    assert change.words.startswith("示例藻 demo-kelp, pregnancy: State, avoid → caution")
    assert found.bump == "major"


def test_where_a_milder_value_was_read_is_no_weakening_of_its_own(tmp_path: Path) -> None:
    """Source, page and other words given with a milder state are told, and the state alone is told as weakened."""
    read = {"basis": "collated", "source": "demo-standard", "locator": "p. 1", "detail": "Otherwise said."}
    found = changed(
        tmp_path, {"cautions": [KELP | {"state": "avoid"}]}, {"cautions": [KELP | {"state": "caution"} | read]}
    )
    assert {change.column for change in found.changes} == {"state", *read}
    assert [change.column for change in found.changes if change.safety != "none"] == ["state"]
    assert found.why.startswith("safety is loosened in one place")


def test_what_moved_under_a_layer_is_told(tmp_path: Path) -> None:
    """A layer's cell that hides a stricter word of the base does not hide that the base moved."""
    own = layer(tmp_path / "second", cautions=[{k: KELP[k] for k in ("subject", "topic")} | {"state": "avoid"}])
    old = little(tmp_path / "old", cautions=[KELP | {"state": "caution"}])
    new = little(tmp_path / "new", cautions=[KELP | {"state": "contraindicated"}])
    change = only(diff(load(old, [own]), load(new, [own])))
    assert (change.table, change.column, change.before, change.after) == (
        "cautions",
        "state",
        "caution",
        "contraindicated",
    )
    assert change.words == (
        "demo-kelp, pregnancy: beneath, state, caution → contraindicated; the layer second still says avoid"
    )


def test_a_tightened_caution_is_a_patch(tmp_path: Path) -> None:
    """A stricter cell weakens nothing."""
    found = changed(tmp_path, {"cautions": [KELP | {"state": "caution"}]}, {"cautions": [KELP | {"state": "avoid"}]})
    assert (only(found).safety, found.bump) == ("strengthened", "patch")


def test_a_lost_caution_is_a_row_taken_out(tmp_path: Path) -> None:
    """A row that is gone is one change without a column, and its loss is named."""
    found = changed(tmp_path, {"cautions": [KELP | {"state": "avoid"}]}, {})
    change = only(found)
    assert (change.column, change.after, change.safety, found.bump) == ("", "", "removed", "major")


def test_a_new_row_is_a_minor_step(tmp_path: Path) -> None:
    """What is added without taking anything away calls for a minor step."""
    aid = {"id": "demo-aid-two", "subject": "demo-leaf", "kind": "image", "text": "A leaf in the rain."}
    found = changed(tmp_path, {}, {"aids": [aid]})
    assert (only(found).before, found.bump) == ("", "minor")


def test_a_caution_moved_to_one_form_is_a_loss(tmp_path: Path) -> None:
    """A caution moved from the medicinal to one form is lost to the medicinal."""
    form = {"forms": [{"id": "demo-kelp.chao", "herb": "demo-kelp", "kind": "prepared", "method": "stir-frying"}]}
    moved = KELP | {"subject": "demo-kelp.chao", "state": "avoid"}
    found = changed(tmp_path, form | {"cautions": [KELP | {"state": "avoid"}]}, form | {"cautions": [moved]})
    assert {change.safety for change in found.changes} & {"removed", "weakened"}
    assert found.bump == "major"


def test_a_link_between_terms_that_is_cut_is_told(tmp_path: Path) -> None:
    """A `broader` link counts whose loss takes a subject out of a safety rule's reach."""
    text = rule(
        "explains",
        **SAFETY,
        when="trait:demo-poison",
        expect="caution[topic:pregnancy]",
        holds=["trait:demo-poison and caution:avoid[topic:pregnancy]"],
        breaks=["trait:demo-poison"],
    )
    terms = [{"id": "demo-poison", "name_en": "demo poison"}, {"id": "demo-resin", "name_en": "demo resin"}]
    kept = {
        "herbs": [{"id": "demo-leaf", "traits": "demo-resin"}],
        "cautions": [KELP | {"subject": "demo-leaf", "state": "avoid"}],
    }
    linked = [terms[0], terms[1] | {"broader": "demo-poison"}]
    found = changed(
        tmp_path,
        kept | {"traits": linked, "rules": {"demo.toml": text}},
        kept | {"traits": terms, "rules": {"demo.toml": text}},
    )
    assert any(change.safety in ("weakened", "removed") for change in found.changes), found


def test_a_renamed_id_is_followed(tmp_path: Path) -> None:
    """Rows of a retired id are matched with those of what replaced it."""
    aid = {"id": "demo-aid-two", "kind": "image", "text": "A leaf in the rain."}
    retired = [
        {"id": "demo-old", "kind": "herbs", "replaced_by": "demo-new", "on_date": "2026-11-25", "reason": "Renamed."}
    ]
    base = {"name_hans": "示例新", "name_hant": "示例新", "pinyin": "shì lì xīn", "name_en": "demo new"}
    found = changed(
        tmp_path,
        {"herbs": [{"id": "demo-old", **base}], "aids": [aid | {"subject": "demo-old"}]},
        {"herbs": [{"id": "demo-new", **base}], "aids": [aid | {"subject": "demo-new"}], "retired": retired},
    )
    assert not any(change.safety in ("weakened", "removed") for change in found.changes)
    assert [change.table for change in found.changes if change.table not in ("retired", "herbs")] == []


def test_a_softened_safety_rule_is_told(tmp_path: Path) -> None:
    """A rule's own keys are compared, and a safety rule that is taken out is a major step."""
    text = rule(
        "explains",
        **SAFETY,
        when="toxicity:slight..",
        expect="caution[topic:pregnancy]",
        holds=["toxicity:toxic and caution:avoid[topic:pregnancy]"],
        breaks=["toxicity:toxic"],
    )
    found = changed(tmp_path, {"rules": {"demo.toml": text}}, {"rules": {}})
    assert found.bump == "major"
    assert any(change.table == "rules" for change in found.changes)


@pytest.fixture
def two(tmp_path: Path) -> tuple[Path, Path]:
    old = little(tmp_path / "old", cautions=[KELP | {"state": "avoid"}])
    new = little(tmp_path / "new", cautions=[KELP | {"state": "caution"}])
    return old, new


def test_archives_and_wheels_open(two: tuple[Path, Path], tmp_path: Path) -> None:
    """A zip, a wheel and a tar archive are read as the folder is, wherever in them the package stands."""
    old = two[0]
    wheel, tar = tmp_path / "demo.whl", tmp_path / "demo.tar.gz"
    with zipfile.ZipFile(wheel, "w") as archive:
        for path in sorted(old.rglob("*")):
            if path.is_file():
                archive.write(path, f"materia_data/_data/datapackage/{path.relative_to(old)}")
    with tarfile.open(tar, "w:gz") as packed:
        packed.add(old, "release/datapackage")
    for name in (wheel, tar):
        with open_version(str(name)) as found:
            assert found.release_id == load(old).release_id


def test_a_path_out_of_the_archive_is_not_followed(two: tuple[Path, Path], tmp_path: Path) -> None:
    """A member that climbs out of the folder is left out."""
    evil = tmp_path / "evil.zip"
    with zipfile.ZipFile(evil, "w") as archive:
        archive.write(two[0] / "datapackage.json", "datapackage.json")
        archive.writestr("../outside.csv", "id\n")
        archive.writestr("/absolute.csv", "id\n")
    with open_version(str(evil)) as found:
        assert not (found.package.root.parent / "outside.csv").exists()


def test_git_revisions_open(two: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A revision is read from the repository of the current folder."""
    repository = tmp_path / "repository"
    shutil.copytree(two[0], repository / "datapackage")

    def git(*words: str) -> None:
        who = ["-c", "user.name=demo", "-c", "user.email=demo@example.org"]
        subprocess.run(["git", *who, *words], cwd=repository, check=True, capture_output=True)

    git("init", "-q")
    git("add", ".")
    git("commit", "-qm", "old")
    shutil.rmtree(repository / "datapackage")
    shutil.copytree(two[1], repository / "datapackage")
    git("commit", "-qam", "new")
    monkeypatch.chdir(repository)
    with open_version("HEAD~1") as old, open_version("HEAD") as new:
        assert [change.safety for change in diff(old, new).changes] == ["weakened"]


@pytest.mark.parametrize("name", ["nowhere", "-x", "HEAD:::", "no.zip"])
def test_what_cannot_be_opened_says_so(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A version that is none of the kinds is one clear message."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "no.zip").write_bytes(b"PK not really")
    with pytest.raises(VersionError), open_version(name):
        pass


def test_the_verb_answers_in_three_forms(two: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    """Text, JSON and Markdown name the weakening; Markdown escapes what could be markup."""
    for form in ("text", "json", "markdown"):
        assert main(["diff", *map(str, two), "--format", form]) == 0
        shown = capsys.readouterr().out
        assert "caution" in shown and ("weakened" in shown or "WEAKENED" in shown)
