"""Merging by record and cell: what goes together does, what does not stays a conflict with both values and sources."""

import random
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from materia_data.change.merge import merge
from materia_data.change.merge_setup import set_up
from materia_data.check.ledger import unrecorded_loosenings
from materia_data.cli import main
from materia_data.materia import load
from tests.little import little

HEADER = "subject,route,per,population,purpose,min,max,unit,max_days,note,source,locator,basis"
LEAF = "demo-leaf,decoction,day,adult,,3,9,g,,,,,common-practice"
SEED = "demo-seed,decoction,day,adult,,3,9,g,,,,,common-practice"
Sides = Callable[[list[str], list[str], list[str]], tuple[int, list[str], str]]


@pytest.fixture
def sides(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Sides:
    """Merge three lists of dose rows: exit code, lines of the result, what is said of conflicts."""

    def run(base: list[str], ours: list[str], theirs: list[str]) -> tuple[int, list[str], str]:
        for name, rows in (("base", base), ("ours", ours), ("theirs", theirs)):
            (tmp_path / name).write_text("".join(f"{line}\n" for line in [HEADER, *rows]), encoding="utf-8")
        words = ["merge", *(str(tmp_path / name) for name in ("base", "ours", "theirs")), "herbs/doses.csv"]
        code = main(words)
        return code, (tmp_path / "ours").read_text(encoding="utf-8").splitlines()[1:], capsys.readouterr().err

    return run


def leaf(**cells: str) -> str:
    row = dict(zip(HEADER.split(","), LEAF.split(","), strict=True)) | cells
    return ",".join(row.values())


def test_two_cells_of_one_record(sides: Sides) -> None:
    """One changed the least, the other the largest dose, and a record beside it: both are kept."""
    new = SEED.replace("demo-seed", "demo-root")
    code, rows, said = sides([LEAF, SEED], [leaf(min="2"), SEED], [leaf(max="8"), new, SEED])
    assert (code, rows, said) == (0, [leaf(min="2", max="8"), new, SEED], "")


def test_one_cell_changed_twice_is_a_conflict(sides: Sides) -> None:
    """Both values stand between git's marks and are said, each with its source; what else was changed is merged."""
    read = {"source": "demo-standard", "locator": "p. 1", "basis": "collated"}
    code, rows, said = sides([LEAF, SEED], [leaf(max="8"), SEED], [leaf(max="12", **read), SEED.replace(",9,", ",6,")])
    assert code == 1
    assert rows == [
        "<<<<<<< ours: max 8 (common-practice)", leaf(max="8"),
        "||||||| before: max 9 (common-practice)", LEAF,
        "=======", leaf(max="12", **read), ">>>>>>> theirs: max 12 (demo-standard; p. 1; collated)",
        SEED.replace(",9,", ",6,"),
    ]  # fmt: skip
    assert "max 8 (common-practice)" in said and "max 12 (demo-standard, p. 1, collated)" in said


def test_the_same_change_twice_is_no_conflict(sides: Sides) -> None:
    """Both made the same change, or both took the record out."""
    assert sides([LEAF, SEED], [leaf(max="8")], [leaf(max="8")]) == (0, [leaf(max="8")], "")


def test_a_source_never_comes_to_speak_for_a_value_it_does_not_state(sides: Sides) -> None:
    """One changed a value, the other read the old value in a source: merged, the record would say that the new value
    was read there."""
    read = leaf(source="demo-standard", locator="p. 1", basis="collated")
    for ours, theirs in ((leaf(max="12"), read), (read, leaf(max="12"))):
        code, rows, said = sides([LEAF], [ours], [theirs])
        assert code == 1 and ours in rows and theirs in rows and "source that speaks" in said


@pytest.mark.parametrize("gone", ["ours", "theirs"])
def test_taken_out_by_one_and_changed_by_the_other(gone: str, sides: Sides) -> None:
    """It is a conflict; taken out by one and left by the other, it goes."""
    changed = [leaf(max="8"), SEED]
    ours, theirs = ([SEED], changed) if gone == "ours" else (changed, [SEED])
    code, rows, said = sides([LEAF, SEED], ours, theirs)
    assert code == 1 and "no such record" in said and rows.count(leaf(max="8")) == 1 and rows[-1] == SEED
    assert sides([LEAF, SEED], *(([SEED], [LEAF, SEED]) if gone == "ours" else ([LEAF, SEED], [SEED])))[1] == [SEED]


def test_one_key_added_twice(sides: Sides) -> None:
    """Equal rows are one; unequal ones are a conflict, also where there was no file before."""
    assert sides([SEED], [LEAF, SEED], [LEAF, SEED])[:2] == (0, [LEAF, SEED])
    assert sides([SEED], [LEAF, SEED], [leaf(max="8"), SEED])[0] == 1


def test_what_is_no_sound_table_is_merged_by_lines(sides: Sides, tmp_path: Path) -> None:
    """A key that stands twice, a line that cannot be read, and a file that is no table are merged as git does."""
    code, rows, said = sides([SEED], [SEED], [SEED, LEAF, LEAF])
    assert code == 0 and rows == [SEED, LEAF, LEAF] and "by lines" in said
    code, rows, said = sides([LEAF, SEED], [leaf(max="8"), 'open,"en', SEED], [leaf(max="12"), SEED])
    assert code == 1 and "by lines" in said and any(line.startswith("<<<<<<<") for line in rows)
    for name, text in (("base", "a\n"), ("ours", "a\nb\n"), ("theirs", "a\n")):
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert merge(tmp_path / "base", tmp_path / "ours", tmp_path / "theirs", "examples/shelf.csv").by == "lines"
    assert (tmp_path / "ours").read_text(encoding="utf-8") == "a\nb\n"


def test_cells_that_both_sides_may_change_go_together(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """Seeded: two people change different cells of the caution table; the merge has every change and no other, and
    where git itself merges the lines without conflict it makes the same file (git-merge-file)."""
    table = load().package.tables["cautions"]
    header = ",".join(table.schema.by_name)
    rng, agreed = random.Random(5), 0
    cells = [name for name in table.schema.by_name if name not in (*table.schema.key, "source", "locator", "basis")]
    for number in range(40):
        at = sorted(rng.sample(range(len(table)), 12))
        rows = [table.row(row) for row in at]
        edits = {(rng.randrange(12), rng.choice(cells)): rng.choice(("ours", "theirs")) for _ in range(8)}
        texts = {}
        for side in ("base", "ours", "theirs", "both"):
            made = [dict(row) for row in rows]
            for (row, column), who in edits.items():
                if side in (who, "both"):
                    made[row][column] = f"changed by {who}"
            texts[side] = "\n".join([header, *(_line(row) for row in made), ""])
        for side in ("base", "ours", "theirs"):
            (tmp_path / side).write_text(texts[side], encoding="utf-8")
        shutil.copy(tmp_path / "ours", tmp_path / "by-git")
        files = [str(tmp_path / name) for name in ("by-git", "base", "theirs")]
        git = subprocess.run(["git", "merge-file", *files], capture_output=True, check=False)
        found = merge(tmp_path / "base", tmp_path / "ours", tmp_path / "theirs", table.file)
        assert (found.by, found.conflicts) == ("cells", 0), number
        assert (tmp_path / "ours").read_text(encoding="utf-8") == texts["both"]
        if git.returncode == 0:
            agreed += 1
            assert (tmp_path / "by-git").read_bytes() == (tmp_path / "ours").read_bytes()
    record_property("sample", f"40 merges of the caution table, {agreed} of which git can do by lines")
    assert 0 < agreed < 40


def _line(row: dict[str, str]) -> str:
    import csv
    import io

    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(row.values())
    return out.getvalue()


def _git(folder: Path, *words: str) -> "subprocess.CompletedProcess[str]":
    who = ["-c", "user.name=demo", "-c", "user.email=demo@example.org"]
    return subprocess.run(["git", *who, *words], cwd=folder, capture_output=True, text=True, check=False)


def _change(folder: Path, file: str, old: str, new: str) -> None:
    path = folder / "datapackage" / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    """A git repository with the little package, set up to merge by cell."""
    little(tmp_path / "datapackage")
    assert _git(tmp_path, "init", "-q", "-b", "main").returncode == 0
    made = set_up(tmp_path / "datapackage")
    assert made.added and not set_up(tmp_path).added
    _git(tmp_path, "add", "-A")
    assert _git(tmp_path, "commit", "-qm", "base").returncode == 0
    _git(tmp_path, "branch", "theirs")
    return tmp_path


def _commit_both(
    folder: Path, mine: Callable[[], None], other: Callable[[], None]
) -> "subprocess.CompletedProcess[str]":
    mine()
    assert _git(folder, "commit", "-qam", "ours").returncode == 0
    assert _git(folder, "checkout", "-q", "theirs").returncode == 0
    other()
    assert _git(folder, "commit", "-qam", "theirs").returncode == 0
    assert _git(folder, "checkout", "-q", "main").returncode == 0
    return _git(folder, "merge", "-q", "theirs")


def test_git_merges_with_it(repository: Path) -> None:
    """After the one command, `git merge` joins two changes of one line; without it git finds a conflict."""
    ours, theirs = leaf(min="2"), leaf(max="8")
    done = _commit_both(
        repository,
        lambda: _change(repository, "herbs/doses.csv", LEAF, ours),
        lambda: _change(repository, "herbs/doses.csv", LEAF, theirs),
    )
    assert done.returncode == 0, done.stderr
    assert leaf(min="2", max="8") in (repository / "datapackage/herbs/doses.csv").read_text(encoding="utf-8")
    _git(repository, "reset", "-q", "--hard", "HEAD^")
    _git(repository, "config", "--remove-section", "merge.materia")
    assert _git(repository, "merge", "-q", "theirs").returncode == 1


def test_two_harmless_changes_that_loosen_together_are_named(
    repository: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of two rows that state one antagonism each side takes another out: neither loses anything, together they do. The
    merge goes through, and `check --against` names the loss."""
    data = repository / "datapackage"
    file = data / "relations/antagonisms.csv"
    header, first = file.read_text(encoding="utf-8").splitlines()
    second = first.replace(",other,", ",pharmacopoeia,")
    assert first != second
    file.write_text("\n".join([header, first, second, ""]), encoding="utf-8")
    _git(repository, "commit", "-qam", "twice")
    _git(repository, "branch", "-f", "theirs")
    before = load(data)
    each = []

    def take_out(row: str) -> None:
        _change(repository, "relations/antagonisms.csv", f"{row}\n", "")
        each.append([one for one in unrecorded_loosenings(before, load(data)) if one.severity == "error"])

    done = _commit_both(repository, lambda: take_out(first), lambda: take_out(second))
    assert done.returncode == 0, done.stderr
    assert each == [[], []]
    assert main(["check", "--data", str(data), "--against", "main~2"]) == 1
    said = capsys.readouterr().out
    assert "safety-lost" in said and "demo-kelp" in said


def test_a_conflict_left_in_the_file_fails_the_check(repository: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Git stops at a conflict, and the check names its marks at their lines."""
    done = _commit_both(
        repository,
        lambda: _change(repository, "herbs/doses.csv", LEAF, leaf(max="8")),
        lambda: _change(repository, "herbs/doses.csv", LEAF, leaf(max="12")),
    )
    assert done.returncode == 1 and "max 8 (common-practice)" in done.stderr
    assert main(["check", "--data", str(repository / "datapackage")]) == 1
    assert capsys.readouterr().out.count("A merge left its mark") == 4
