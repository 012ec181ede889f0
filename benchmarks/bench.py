"""Time check, load, help and the Parquet export against their yardsticks, at size 1, 10 and 100, and write
benchmarks/result.md.

    python benchmarks/bench.py            all sizes
    python benchmarks/bench.py 1 10       these sizes

Each ratio is taken in one run on one machine: both sides in turn, several times, the medians compared. Whole
processes are timed from
outside; `load`, the csv pass and the Parquet writes inside one process each, with imports done.
"""

import json
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))
BIN = Path(sys.executable).parent


@dataclass(frozen=True)
class Ratio:
    """One measured ratio: ours and the yardstick in seconds, the most it may be, and the peak memory of ours in MiB."""

    what: str
    size: int
    ours: float
    yardstick: float
    most: float | None
    memory: float = 0.0

    def row(self) -> str:
        holds = self.most is not None and self.ours / self.yardstick <= self.most
        verdict = "" if self.most is None else "holds" if holds else "**too slow**"
        most = "" if self.most is None else f"≤ {self.most}"
        memory = f"{self.memory:.0f}" if self.memory else ""
        ratio = f"{self.ours / self.yardstick:.2f}"
        cells = (self.what, self.size, f"{self.ours:.3f}", f"{self.yardstick:.3f}", ratio, most, verdict, memory)
        return f"| {' | '.join(map(str, cells))} |"


def main(sizes: list[int]) -> int:
    from scale import scale

    ratios: list[Ratio] = [help_ratio()]
    with tempfile.TemporaryDirectory() as folder:
        for size in sizes:
            package = scale(size, Path(folder) / f"x{size}")
            ratios += of_size(package, size)
            for ratio in ratios[-4:]:
                print(ratio.row(), flush=True)
    (HERE / "result.md").write_text(report(ratios), encoding="utf-8")
    print(f"written to {HERE / 'result.md'}")
    return int(any(ratio.most is not None and ratio.ours / ratio.yardstick > ratio.most for ratio in ratios))


def of_size(package: Path, size: int) -> list[Ratio]:
    repeats = 5 if size < 10 else 3 if size < 100 else 1
    materia, frictionless = str(BIN / "materia"), str(BIN / "frictionless")
    whole, structure, referee = in_turn(
        repeats,
        [materia, "check", "--data", str(package)],
        [materia, "check", "--structure", "--data", str(package)],
        [frictionless, "validate", str(package / "datapackage.json")],
    )
    load = inside(package, "load")
    parquet = inside(package, "parquet")
    return [
        Ratio(
            "check with every rule / frictionless validate",
            size,
            whole[0],
            referee[0],
            most(size, 0.33, 0.67),
            whole[1],
        ),
        Ratio(
            "check of structure / frictionless validate",
            size,
            structure[0],
            referee[0],
            most(size, 0.15, 0.3),
            structure[1],
        ),
        Ratio(
            "load / csv.reader over the same files",
            size,
            load["ours"],
            load["yardstick"],
            most(size, 2, 3.5),
            load["memory"],
        ),
        Ratio(
            "Parquet export / bare Arrow write",
            size,
            parquet["ours"],
            parquet["yardstick"],
            3 if size == 100 else None,
            parquet["memory"],
        ),
    ]


def most(size: int, at_one: float, at_hundred: float) -> float | None:
    """What the ratio may be at size 1 and at size 100; between them nothing is asked but a straight line."""
    return {1: at_one, 100: at_hundred}.get(size)


def help_ratio() -> Ratio:
    ours, bare = in_turn(9, [str(BIN / "materia"), "--help"], [sys.executable, "-c", "pass"])
    return Ratio("materia --help / bare Python", 1, ours[0], bare[0], 4, ours[1])


def in_turn(repeats: int, *commands: list[str]) -> list[tuple[float, float]]:
    """The median seconds and the peak MiB of each command, run in turn, the first turn not counted if there are
    several."""
    runs: list[list[tuple[float, float]]] = [[] for _ in commands]
    for turn in range(repeats + (repeats > 1)):
        for place, command in enumerate(commands):
            measured = timed(command)
            if turn or repeats == 1:
                runs[place].append(measured)
    return [(statistics.median(seconds for seconds, _ in run), max(peak for _, peak in run)) for run in runs]


def timed(command: list[str]) -> tuple[float, float]:
    started = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, _, usage = os.wait4(process.pid, 0)
    return time.perf_counter() - started, usage.ru_maxrss / 1024


def inside(package: Path, what: str) -> dict[str, float]:
    """Run this file in a process of its own as `--inside WHAT PACKAGE`, and read what it measured."""
    done = subprocess.run(
        [sys.executable, __file__, "--inside", what, str(package)], capture_output=True, text=True, check=True
    )
    return dict(json.loads(done.stdout))


def inside_load(package: Path) -> dict[str, float]:
    from scale import csv_pass

    from materia_data.materia import load

    load(package), csv_pass(package)
    repeats = 7 if sum(path.stat().st_size for path in package.rglob("*.csv")) < 20_000_000 else 3
    return alternated(repeats, lambda: load(package), lambda: csv_pass(package))


def inside_parquet(package: Path) -> dict[str, float]:
    """The exporter from loaded data, against the bare write of the same tables from Arrow in memory."""
    import pyarrow.parquet as pq
    from materia_exporters.parquet import export

    from materia_data.materia import load
    from materia_data.read.schema import table_schemas

    materia = load(package)
    materia.facts  # noqa: B018
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder)

        def ours() -> None:
            export(materia, out, {})

        def bare() -> None:
            for name in sorted(path.stem for path in out.glob("**/*.parquet") if path.stem in table_schemas()):
                pq.write_table(materia.arrow(name), out / f"{name}.bare", compression="zstd")

        ours(), bare()
        medicinals = next(out.glob("**/medicinals.parquet"))
        wide = pq.read_table(medicinals)

        def bare_with_medicinals() -> None:
            bare()
            pq.write_table(wide, out / "medicinals.bare", compression="zstd")

        return alternated(3, ours, bare_with_medicinals)


def alternated(repeats: int, ours: Callable[[], object], yardstick: Callable[[], object]) -> dict[str, float]:
    import resource

    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(repeats):
        for place, run in enumerate((ours, yardstick)):
            started = time.perf_counter()
            run()
            times[place].append(time.perf_counter() - started)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"ours": statistics.median(times[0]), "yardstick": statistics.median(times[1]), "memory": peak}


def report(ratios: list[Ratio]) -> str:
    from materia_data import __version__, load

    machine = f"Python {platform.python_version()}, {os.cpu_count()} cores"
    lines = [
        "# Speed",
        "",
        f"materia-data {__version__}, data {load().release_id}; {machine}. Made by `make bench`.",
        "Seconds are medians of runs in turn; the ratio is what counts, for machines differ.",
        "Size is how many times the shipped package.",
        "",
        "| what / yardstick | size | ours [s] | yardstick [s] | ratio | asked | verdict | peak [MiB] |",
        "|---|---:|---:|---:|---:|---:|---|---:|",
        *(ratio.row() for ratio in ratios),
        "",
        (HERE / "bounds.md").read_text(encoding="utf-8"),
    ]
    return "\n".join(lines)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--inside"]:
        measured = {"load": inside_load, "parquet": inside_parquet}[sys.argv[2]](Path(sys.argv[3]))
        print(json.dumps(measured))
        raise SystemExit(0)
    raise SystemExit(main([int(text) for text in sys.argv[1:]] or [1, 10, 100]))
