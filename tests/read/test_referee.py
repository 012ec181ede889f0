"""frictionless is the referee: on every file, line and column where it finds something, so do we."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from materia_data.problem import Problem
from tests.little import little
from tests.read.damage import change, line_of, places, set_cell, verdict
from tests.read.differences import OURS, THEIRS
from tests.read.mutations import CELLS, ROWS, TEXTS, Mutation, mutate
from tests.read.referee import Call, affected, referee
from tests.read.slice import shipped_slice

ALL = 406
FEW = 58
SEEDS = range(ALL if os.environ.get("MATERIA_DEEP") else FEW)
DOSES = "herbs/doses.csv"


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A valid part of the shipped package."""
    return shipped_slice(tmp_path_factory.mktemp("sound"))


def test_both_find_the_undamaged_package_valid(sound: Path) -> None:
    """Whatever is found later comes from the damage."""
    assert verdict(sound) == []
    assert referee(sound, {"herbs", "doses", "cautions", "herb_actions"}) == []


def test_our_verdict_holds_all_that_the_referee_finds(
    sound: Path, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """Seeded damage, one file at a time; what the referee says more is explained by a known difference."""
    unexplained: list[tuple[int, Mutation, Call]] = []
    spoken = 0
    kinds = set()
    for seed in SEEDS:
        folder = shutil.copytree(sound, tmp_path / "damaged", dirs_exist_ok=True)
        mutation = mutate(folder, seed)
        ours, theirs = verdict(folder), referee(folder, affected(mutation.table))
        kinds.add(mutation.kind)
        spoken += bool(theirs)
        unexplained += [(seed, mutation, call) for call in theirs if not _covered(call, ours)]
        shutil.rmtree(folder)
    record_property("sample", f"{len(SEEDS)} of {ALL} mutations of {len(kinds)} kinds; the referee spoke on {spoken}")
    assert unexplained == []
    assert spoken > len(SEEDS) / 3, "the damage is too mild to prove anything"
    assert kinds >= set(CELLS) | set(ROWS) | set(TEXTS) or len(SEEDS) < ALL


def _covered(call: Call, ours: list[Problem]) -> bool:
    """Whether we say something of the same line, and of the same column if we name one, or the difference is known."""
    here = [problem for problem in ours if problem.file == call.file and problem.line == call.line]
    if call.line == 0:
        here = [problem for problem in ours if problem.file == call.file]
    if any(not call.column or problem.column in ("", call.column) for problem in here):
        return True
    return any(difference.explains(call, ours) for difference in THEIRS.values())


@pytest.mark.parametrize("name", OURS)
def test_what_the_referee_takes_and_we_do_not(little_package: Path, name: str) -> None:
    """The list of semantics.md §7, item by item."""
    column, value, rule = OURS[name]
    set_cell(little_package, DOSES, 2, column, value)
    assert referee(little_package, {"doses"}) == []
    assert (DOSES, 2, column, rule) in places(little_package)


def test_the_referee_stops_nan_at_a_minimum_only(little_package: Path) -> None:
    """It is a number to it; it fails the comparison, not the type."""
    set_cell(little_package, DOSES, 2, "min", "NaN")
    assert [call.type for call in referee(little_package, {"doses"})] == ["constraint-error"]
    assert (DOSES, 2, "min", "not-a-number") in places(little_package)


def test_the_referee_takes_a_file_cut_short_after_a_row(little_package: Path) -> None:
    """A last line without its line feed."""
    path = little_package / DOSES
    path.write_bytes(path.read_bytes().removesuffix(b"\n"))
    assert referee(little_package, {"doses"}) == []
    assert places(little_package) == [(DOSES, 5, "", "unfinished-last-line")]


def test_the_referee_loses_the_lines_after_an_open_quote(little_package: Path) -> None:
    """We still find the wrong number three lines further down."""
    change(
        little_package, DOSES, "demo-kelp,decoction,day,adult,,6,12,g,,,", 'demo-kelp,decoction,day,adult,,6,12,g,,"'
    )
    set_cell(little_package, DOSES, line_of(little_package, DOSES, "demo-seed"), "min", "3g")
    assert not [call for call in referee(little_package, {"doses"}) if call.column == "min"]
    assert (DOSES, 5, "min", "number-with-unit") in places(little_package)


def test_the_referee_takes_rows_in_any_order_and_circles(tmp_path: Path) -> None:
    """What a table schema cannot say."""
    folder = little(tmp_path, actions=[{"id": "clear-heat", "broader": "cool-blood"}])
    assert referee(folder, {"actions"}) == []
    assert [found[3] for found in places(folder)] == ["broader-cycle"]


@pytest.mark.parametrize("value", ["2020-1-1", "2020-02-30", "20200101", "1/2/2020"])
def test_dates_are_judged_as_strictly_as_by_the_referee(little_package: Path, value: str) -> None:
    """It takes 2020-1-1 and nothing else of these; we take none."""
    set_cell(little_package, "herbs/controls.csv", 2, "valid_from", value)
    theirs = [call.column for call in referee(little_package, {"controls"})]
    assert theirs == ([] if value == "2020-1-1" else ["valid_from"])
    assert [found[:3] for found in places(little_package)] == [("herbs/controls.csv", 2, "valid_from")]


def test_every_known_difference_occurs(little_package: Path) -> None:
    """None of the differences is written down in vain."""
    base = little_package

    def calls(file: str, old: str, new: str, table: str, codec: str = "utf-8") -> tuple[list[Call], list[Problem]]:
        data = (base / file).read_bytes()
        assert data.decode().count(old) == 1
        (base / file).write_bytes(data.decode().replace(old, new).encode(codec, "replace"))
        found = referee(base, {table}), verdict(base)
        (base / file).write_bytes(data)
        return found

    shown = {
        "by-position": calls(DOSES, "min,max", "max,min", "doses"),
        "shifted-row": calls(DOSES, "demo-kelp,decoction,", "demo-kelp,", "doses"),
        "swallowed-lines": calls(DOSES, ",6,12,g,,", ',6,12,g,,"', "doses"),
        "carriage-return": calls(DOSES, "adult,,6", "adult,\r,6", "doses"),
        "unreadable-elsewhere": calls("herbs/herbs.csv", "demo kelp", "demo kelp", "forms", "gbk"),
    }
    assert set(shown) == set(THEIRS)
    for name, (theirs, ours) in shown.items():
        explained = [call for call in theirs if THEIRS[name].explains(call, ours)]
        assert explained, (name, theirs, [problem.rule for problem in ours])
