"""Reading costs little more than the csv module alone."""

import csv
import gc
import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from materia_data.places import data_root
from materia_data.read.package import read_package
from materia_data.read.schema import table_schemas


def _best(work: Callable[[], object], times: int) -> float:
    """Shortest of several runs, processor time. [s]"""
    spent = []
    for _ in range(times):
        gc.collect()
        begun = time.process_time()
        kept = work()
        spent.append(time.process_time() - begun)
        del kept
    return min(spent)


def _bare(root: Path) -> int:
    """One pass of csv.reader over the same files; the number of lines."""
    count = 0
    for schema in table_schemas().values():
        with (root / schema.path).open(encoding="utf-8", newline="") as file:
            for _ in csv.reader(file):
                count += 1
    return count


def _repeated(folder: Path, times: int) -> Path:
    """The shipped tables with their rows so many times over."""
    for schema in table_schemas().values():
        header, rows = (data_root() / schema.path).read_text(encoding="utf-8").split("\n", 1)
        path = folder / schema.path
        path.parent.mkdir(exist_ok=True)
        path.write_text(f"{header}\n{rows * times}", encoding="utf-8", newline="\n")
    return folder


def test_loading_takes_at_most_twice_a_bare_pass() -> None:
    """Over the shipped files."""
    root = data_root()
    table_schemas()
    assert _best(lambda: read_package(root), 15) <= 2 * _best(lambda: _bare(root), 15)


@pytest.mark.skipif(not os.environ.get("MATERIA_DEEP"), reason="half a minute and a gigabyte: only with MATERIA_DEEP=1")
def test_loading_a_hundred_times_as_much_takes_at_most_three_and_a_half_times_a_bare_pass(tmp_path: Path) -> None:
    """Time grows with the rows and no faster."""
    root = _repeated(tmp_path, 100)
    assert _best(lambda: read_package(root, most=2**30), 3) <= 3.5 * _best(lambda: _bare(root), 3)
