"""docs/round.md, a school's whole year, run from top to bottom in one folder.

Beside the comments that `pages` knows, each with the folder it works on before it, the page has
`<!-- sheet TABLE KEY COLUMN: OLD -> NEW -->`, a colleague's correction in the spreadsheet, and `date` for a cell that
the spreadsheet program makes a date of;
`<!-- touches FILE -->`: the block changes one line of that file of the data, and no other byte;
`<!-- copy FROM TO -->`, `<!-- file PATH -->`, `<!-- tamper ARCHIVE FILE: OLD -> NEW -->`, and
`<!-- forget LAYER TABLE KEY COLUMN -->`, which takes a line out of the layer's base.csv.
"""

import csv
import hashlib
import io
import shutil
import tarfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from tests.change.spreadsheet.hands import Book
from tests.docs.pages import ROUND, Block, blocks, change, commands, matches, run
from tests.little import little

SHEET = "corrections.xlsx"


@pytest.fixture(scope="module")
def year(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The folder in which the whole page was run, each command answering what is shown."""
    folder = tmp_path_factory.mktemp("year")
    little(folder / "datapackage")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        for block in blocks(ROUND):
            _prepare(block)
            if block.language == "console":
                with _touched(block):
                    _run(block)
        yield folder


def _run(block: Block) -> None:
    code = 0
    for command, shown in commands(block.text):
        assert shown, f"line {block.line}: nothing is shown under `{command}`"
        printed, code = run(command, code)
        told = "\n".join(printed)
        assert matches(printed, shown, ("numbers", "move") in block.setup), f"line {block.line}: `{command}`:\n{told}"


def _prepare(block: Block) -> None:
    for word, rest in block.setup:
        if word == "file":
            path = Path(rest)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(block.text, encoding="utf-8", newline="\n")
        elif word not in ("numbers", "touches"):
            _WORDS[word](*rest.split(" ", 1))


def _sheet(table: str, rest: str) -> None:
    _correct(table, rest, lambda text: text)


def _date(table: str, rest: str) -> None:
    _correct(table, rest, date.fromisoformat)


def _correct(table: str, rest: str, value: Callable[[str], str | date]) -> None:
    key, _, cell = rest.rpartition("| ")
    column, texts = cell.split(": ", 1)
    was, now = texts.split(" -> ")
    hand = Book(openpyxl.load_workbook(SHEET))
    assert hand.cell(table, f"{key}|", column).value == was
    hand.cell(table, f"{key}|", column).value = value(now)
    hand.book.save(SHEET)


def _copy(source: str, target: str) -> None:
    shutil.copytree(source, target)


def _change(folder: str, rest: str) -> None:
    change(Path(folder), rest)


def _tamper(archive: str, rest: str) -> None:
    """Write the archive again with one word for another in one of its files."""
    file, words = rest.split(": ")
    old, new = (word.encode() for word in words.split(" -> "))
    made = io.BytesIO()
    with tarfile.open(archive) as source, tarfile.open(fileobj=made, mode="w:gz") as target:
        for member in source:
            held = source.extractfile(member)
            data = held.read() if held else b""
            if Path(member.name).name == file:
                assert old in data
                data = data.replace(old, new)
                member.size = len(data)
            target.addfile(member, io.BytesIO(data))
    Path(archive).write_bytes(made.getvalue())


def _forget(layer: str, rest: str) -> None:
    path = Path(layer) / "base.csv"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [line for line in lines if not line.startswith(rest.replace(" ", ",") + ",")]
    assert len(kept) == len(lines) - 1
    path.write_text("".join(kept), encoding="utf-8", newline="\n")


_WORDS: Mapping[str, Callable[[str, str], None]] = {
    "sheet": _sheet,
    "date": _date,
    "copy": _copy,
    "change": _change,
    "tamper": _tamper,
    "forget": _forget,
}


@contextmanager
def _touched(block: Block) -> Iterator[None]:
    """Whether the block changes one line of the file that it names, and nothing else of the data."""
    named = [rest for word, rest in block.setup if word == "touches"]
    before = _lines(Path("datapackage"))
    yield
    after = _lines(Path("datapackage"))
    for file in named:
        was, is_ = before.pop(file), after.pop(file)
        assert len(was) == len(is_) and sum(one != other for one, other in zip(was, is_, strict=True)) == 1
        assert before == after


def _lines(folder: Path) -> dict[str, list[bytes]]:
    paths = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes().splitlines(keepends=True) for path in paths}


def test_the_round_leaves_what_was_agreed_and_nothing_else(year: Path) -> None:
    """After the year the data have the accepted cell, the loosening with its row, and the tightening; what nobody
    agreed to and the date are nowhere."""
    data = year / "datapackage"
    doses = {row["subject"]: (row["min"], row["max"]) for row in _rows_of(data / "herbs/doses.csv")}
    assert doses["demo-seed"] == ("3", "6") and doses["demo-kelp"] == ("6", "12")
    states = {(row["subject"], row["topic"]): row["state"] for row in _rows_of(data / "herbs/cautions.csv")}
    assert states == {
        ("demo-root", "pregnancy"): "contraindicated",
        ("demo-leaf", "pregnancy"): "none-stated",
        ("demo-kelp", "condition"): "contraindicated",
    }
    (loosening,) = _rows_of(data / "record/loosenings.csv")
    assert (loosening["subject"], loosening["now"], loosening["source"]) == (
        "demo-leaf",
        "none-stated",
        "demo-standard",
    )
    (kelp,) = (row for row in _rows_of(data / "herbs/cautions.csv") if row["subject"] == "demo-kelp")
    assert kelp["evidence"] == "pharmacopoeia"


def test_the_releases_are_what_their_checksums_say(year: Path) -> None:
    """hashlib and tarfile find each file of each release as SHA256SUMS names it; the changelog tells of all."""
    for version in ("0.1.0", "0.2.0", "0.2.1"):
        folder = year / "releases" / version
        sums = dict(reversed(line.split("  ")) for line in (folder / "SHA256SUMS").read_text("utf-8").splitlines())
        assert {path.name for path in folder.iterdir()} == {*sums, "SHA256SUMS"}
        for name, digest in sums.items():
            assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    changelog = (year / "CHANGELOG.md").read_text(encoding="utf-8")
    assert [line[3:13] for line in changelog.splitlines() if line.startswith("## ")] == [
        "Data 0.2.1", "Data 0.2.0", "Data 0.1.0"]  # fmt: skip
    fetched = (year / "fetched" / "materia-data-0.2.0.tar.gz").read_bytes()
    assert fetched != (year / "releases/0.2.0/materia-data-0.2.0.tar.gz").read_bytes()


def test_the_verdicts_go_back_to_the_colleague(year: Path) -> None:
    """The copy names each of the three cells, and the spreadsheet that came back stands as it came."""
    book = openpyxl.load_workbook(year / "corrections.verdicts.xlsx")
    told = " ".join(str(cell) for row in book.worksheets[0].iter_rows(values_only=True) for cell in row if cell)
    for words in ("ACCEPTED", "LOOSENS SAFETY", "CAME BACK AS ANOTHER TYPE"):
        assert words in told
    assert (
        Book(openpyxl.load_workbook(year / SHEET)).cell("cautions", "demo-root|pregnancy|", "state").value == "caution"
    )


def _rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as source:
        return list(csv.DictReader(source))
