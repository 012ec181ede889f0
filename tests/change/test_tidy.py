"""Canonical files."""

from pathlib import Path

from materia_data import load
from materia_data.change.tidy import MENDS, tidy
from materia_data.read.findings import FINDINGS
from materia_data.read.structure import check_structure
from tests.little import little


def lines(folder: Path, file: str) -> list[str]:
    return (folder / file).read_text(encoding="utf-8").split("\n")


def findings(folder: Path) -> set[str]:
    package = load(folder).package
    return {problem.rule for problem in (*package.problems, *check_structure(package))}


def test_a_canonical_package_is_left_as_it_is(little_package: Path) -> None:
    """Tidying twice changes nothing, to the byte."""
    before = {path: path.read_bytes() for path in little_package.rglob("*") if path.is_file()}
    assert not [result for result in tidy(load(little_package).package) if result.changed or result.left_alone]
    assert {path: path.read_bytes() for path in little_package.rglob("*") if path.is_file()} == before


def test_what_tidy_mends_is_mended(little_package: Path) -> None:
    """Rows out of order, columns out of order, CRLF, a byte-order mark, blank lines and stray spaces go; no cell is
    lost."""
    path = little_package / "herbs/names.csv"
    before = path.read_text(encoding="utf-8")
    header, *rows = before.strip().split("\n")
    damaged = "\ufeff" + "\r\n".join([header, *reversed(rows), ""]).replace("demo mint", " demo mint ")
    path.write_bytes(damaged.encode("utf-8"))
    assert {"byte-order-mark", "crlf-line-ends", "stray-space", "rows-in-order"} <= findings(little_package)
    changed = [result.file for result in tidy(load(little_package).package) if result.changed]
    assert changed == ["herbs/names.csv"]
    assert path.read_text(encoding="utf-8") == before


def test_a_file_with_an_unreadable_line_is_left_alone(little_package: Path) -> None:
    """Nothing may be lost: a file with a line that could not be read stays as it is, and tidy says why."""
    path = little_package / "herbs/names.csv"
    path.write_text(path.read_text(encoding="utf-8") + 'demo-leaf,"open,en,old,\n', encoding="utf-8")
    before = path.read_bytes()
    result = next(result for result in tidy(load(little_package).package) if result.file == "herbs/names.csv")
    assert result.left_alone and not result.changed and path.read_bytes() == before


def test_only_telling_writes_nothing(little_package: Path) -> None:
    """With write=False the files stay, and the result tells which would change."""
    path = little_package / "herbs/names.csv"
    header, *rows = path.read_text(encoding="utf-8").strip().split("\n")
    path.write_text("\n".join([header, *reversed(rows), ""]), encoding="utf-8")
    before = path.read_bytes()
    assert [result.file for result in tidy(load(little_package).package, write=False) if result.changed] == [
        "herbs/names.csv"
    ]
    assert path.read_bytes() == before


def test_what_tidy_says_it_mends_the_reader_knows() -> None:
    """Every finding that tidy claims is one of the reader's."""
    assert set(FINDINGS) >= MENDS


def test_the_shipped_package_is_canonical() -> None:
    """The shipped files are as tidy writes them."""
    assert not [result for result in tidy(load().package, write=False) if result.changed or result.left_alone]


def test_little_is_little(tmp_path: Path) -> None:
    """The small package has no finding, so what these tests find is what they planted."""
    assert findings(little(tmp_path / "package")) == set()
