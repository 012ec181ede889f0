"""Time a key press in the search box of the site, in Chromium: `python benchmarks/find.py` prints the medians.

Once with the shipped names, once filled up to 10,000 subjects with invented ones, their characters and syllables
shuffled. Measured is what the page does until the list stands: looking up, drawing, laying out; of each text the best
of five, and beside it the processor time of the page's process for a press on average, which a busy machine does not
lengthen. Names are typed letter by letter, messy ones pasted whole.
"""

import csv
import gzip
import json
import os
import random
import shutil
import statistics
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from materia_exporters.site import export  # noqa: E402
from materia_exporters.site.book import Book  # noqa: E402
from materia_exporters.site.search.names import names_script  # noqa: E402
from playwright.sync_api import Browser, sync_playwright  # noqa: E402

from materia_data import load  # noqa: E402
from materia_data.exporting.trial import small_package  # noqa: E402

SIZE = 10_000
TYPED = ("banxia", "bàn xià", "pinellia", "stop bleeding", "gui zhi tang", "半夏泻心汤", "rhizoma pinelliae")
PRESS = """texts => { const field = document.getElementById("q"), taken = []; for (const text of texts) {
  let least = Infinity;
  for (let i = 0; i < 5; i += 1) {
    const began = performance.now(); field.value = text; field.dispatchEvent(new Event("input"));
    void document.body.offsetHeight; least = Math.min(least, performance.now() - began); }
  taken.push(least); } return taken; }"""


def main() -> None:
    with (ROOT / "tests" / "teach" / "messy_names.csv").open(encoding="utf-8", newline="") as source:
        messy = [row["text"] for row in csv.DictReader(source)]
    typed = [text[: end + 1] for text in TYPED for end in range(len(text))]
    shipped = names_script(Book(load()))
    head, data = shipped[: shipped.index(".names=") + 7], json.loads(shipped[shipped.index(".names=") + 7 : -2])
    print(f"names, packed: {len(gzip.compress(shipped.encode(), 9)) / 1000:.0f} kB")
    with TemporaryDirectory() as folder, sync_playwright() as play:
        site = Path(folder) / "site"
        export(load(small_package(Path(folder) / "data")), site, {})
        named = next(one for one in (site / "js").iterdir() if one.name.startswith("names."))
        found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))))
        browser = play.chromium.launch(executable_path=found, args=["--no-sandbox"] if os.geteuid() == 0 else [])
        for whole in (data, filled(data, random.Random(1))):
            named.write_text(head + json.dumps(whole, ensure_ascii=False) + ";\n", encoding="utf-8")
            measure(browser, site, len(whole["subjects"]), typed, messy)
        browser.close()


def measure(browser: Browser, site: Path, subjects: int, typed: list[str], messy: list[str]) -> None:
    page = browser.new_page()
    page.goto((site / "search.html").as_uri())
    began = page.evaluate("performance.now()")
    page.focus("#q")
    page.wait_for_selector("form.find[data-ready]", timeout=120_000)
    laid = page.evaluate("performance.now()") - began
    print(f"{subjects:,} subjects: laid out {laid:.0f} ms after the field had focus")
    page.evaluate(PRESS, typed[:20])
    for what, texts in (("typed letter by letter", typed), ("messy names, whole", messy[::6])):
        before = _busy(browser)
        taken = sorted(page.evaluate(PRESS, texts))
        spent = 1000 * (_busy(browser) - before) / (5 * len(texts))
        late = taken[int(0.95 * len(taken))]
        print(
            f"  {what:24} median {statistics.median(taken):5.1f} ms   95 in 100 within {late:5.1f} ms   "
            f"worst {taken[-1]:5.1f} ms   processor {spent:5.1f} ms a press   of {len(taken)}"
        )
    page.close()


def _busy(browser: Browser) -> float:
    """Seconds of processor time of all pages so far."""
    told = browser.new_browser_cdp_session().send("SystemInfo.getProcessInfo")
    return sum(one["cpuTime"] for one in told["processInfo"] if one["type"] == "renderer")


def filled(data: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """The data with invented subjects, each with as many names as a shipped one, up to 10,000 in all."""
    subjects, names = list(data["subjects"]), list(data["names"])
    characters = sorted({char for one in subjects for char in one[2]})
    syllables = sorted({part for one in subjects for part in one[4].split()})
    words = sorted({part for one in subjects for part in one[5].split()})
    for at in range(len(subjects), SIZE):
        like = chance.randrange(len(data["subjects"]))
        old, new = data["subjects"][like], []
        for text, parts, joint in ((old[2], characters, ""), (old[4], syllables, " "), (old[5], words, " ")):
            count = len(text) if joint == "" else len(text.split())
            new.append(joint.join(chance.choices(parts, k=count)))
        subjects.append([old[0], f"x-{at}", new[0], new[0], new[1], new[2], "", "", *old[8:]])
        names.append(
            [_other(cell, characters, chance) if isinstance(cell, str) else cell for cell in data["names"][like]]
        )
    moved = len(subjects) - len(data["subjects"])
    known = len(data["subjects"])
    mixed = [[*(at + moved if at >= known else at for at in row[:2]), *row[2:]] for row in data["mixed"]]
    return {**data, "subjects": subjects, "names": names, "mixed": mixed}


def _other(text: str, characters: list[str], chance: random.Random) -> str:
    """A name as long, of the same kind of letters."""
    if text[:1] > "\u2e80":
        return "".join(chance.choices(characters, k=len(text)))
    letters = list(text)
    for _ in range(max(1, len(letters) // 3)):
        letters[chance.randrange(len(letters))] = chance.choice("abcdeghilmnopqstuxyz")
    return "".join(letters)


if __name__ == "__main__":
    main()
