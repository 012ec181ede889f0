"""Time a look-up of messy names among 10,000 stored ones and more: `python benchmarks/names.py` prints the medians.

The shipped names are taken as they are and filled up with invented ones, their syllables shuffled.
"""

import csv
import random
import statistics
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from materia_data.materia import Materia, load  # noqa: E402
from materia_data.names.index import build_index  # noqa: E402

SIZE = 10_000


def main() -> None:
    materia = load()
    fill(materia, random.Random(1))
    began = time.perf_counter()
    index = build_index(materia.package)
    print(f"{len(index.names.text)} names laid out in {1000 * (time.perf_counter() - began):.0f} ms")
    materia.__dict__["names"] = index
    with (ROOT / "tests" / "teach" / "messy_names.csv").open(encoding="utf-8", newline="") as source:
        rows = list(csv.DictReader(source))
    materia.resolve("川穹")
    taken: dict[str, list[float]] = {}
    for row in rows:
        began = time.perf_counter()
        materia.resolve(row["text"])
        taken.setdefault(row["how"], []).append(1000 * (time.perf_counter() - began))
    for how, times in taken.items():
        print(f"{how:34} median {statistics.median(times):5.1f} ms   worst {max(times):5.1f} ms   of {len(times)}")
    every = [one for times in taken.values() for one in times]
    print(f"{'all':34} median {statistics.median(every):5.1f} ms   worst {max(every):5.1f} ms   of {len(every)}")


def fill(materia: Materia, chance: random.Random) -> None:
    """Add invented names to the table of names until cells and rows together hold at least 10,000."""
    names = materia.package.tables["names"].columns
    herbs = materia.package.tables["herbs"].columns
    characters = sorted({char for name in herbs["name_hans"] for char in name})
    syllables = sorted({syllable for reading in herbs["pinyin"] for syllable in reading.split()})
    while len(names["name"]) < SIZE:
        length = chance.choice((2, 3, 4))
        lang, parts = chance.choice((("zh-Hans", characters), ("zh-Latn", syllables)))
        row = {
            "subject": chance.choice(herbs["id"]),
            "name": ("" if lang == "zh-Hans" else " ").join(chance.choices(parts, k=length)),
            "lang": lang,
            "kind": "alternate",
        }
        for column, cells in names.items():
            cells.append(row.get(column, ""))


if __name__ == "__main__":
    main()
