"""Bytes that are not UTF-8 with LF line ends."""

from collections.abc import Callable
from pathlib import Path

import pytest

from materia_data.read.package import read_package
from tests.read.damage import only, place, verdict

HERBS = "herbs/herbs.csv"
ROOT = 4


def _rewrite(folder: Path, make: Callable[[str], bytes], file: str = HERBS) -> None:
    path = folder / file
    path.write_bytes(make(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    ("make", "line", "rule", "says"),
    [
        (lambda text: b"\xef\xbb\xbf" + text.encode(), 1, "byte-order-mark", "without BOM"),
        (lambda text: text.encode("utf-16"), 1, "not-utf-8", "UTF-8"),
        (lambda text: text.encode("utf-16-le"), 1, "not-utf-8", "UTF-8"),
        (lambda text: text.encode("utf-16-be"), 1, "not-utf-8", "UTF-8"),
        (lambda text: b"\xfe\xff" + text.encode("utf-16-be"), 1, "not-utf-8", "UTF-8"),
        (lambda text: text.replace("\n", "\r\n").encode(), 1, "crlf-line-ends", "LF"),
        (lambda text: text.replace("\n", "\r").encode(), 1, "cr-line-ends", "LF"),
        (lambda text: text.removesuffix("\n").encode(), 5, "unfinished-last-line", "end the line"),
    ],
    ids=["bom", "utf-16-bom", "utf-16-le", "utf-16-be", "utf-16-be-bom", "crlf", "cr", "no-last-lf"],
)
def test_a_file_saved_another_way_is_one_problem(
    little_package: Path, make: Callable[[str], bytes], line: int, rule: str, says: str
) -> None:
    """The way a file was saved is said once, and its rows are read all the same."""
    _rewrite(little_package, make)
    problem = only(little_package)
    assert (problem.file, problem.column, problem.rule) == (HERBS, "", rule)
    assert problem.line == line
    assert says in problem.tip
    assert read_package(little_package).tables["herbs"].columns["name_hant"][1] == "示例葉"


def test_gbk_is_named_and_read(little_package: Path) -> None:
    """A spreadsheet program in China saves so."""
    _rewrite(
        little_package, lambda text: text.replace("ì", "i").replace("è", "e").replace("ē", "e").encode("gbk", "replace")
    )
    problems = [problem for problem in verdict(little_package) if problem.rule == "not-utf-8"]
    assert [place(problem) for problem in problems] == [(HERBS, 2, "", "not-utf-8")]
    assert "GBK" in problems[0].message
    assert read_package(little_package).tables["herbs"].columns["name_hans"][0] == "示例藻"


def test_big5_is_named_and_read(little_package: Path) -> None:
    """A spreadsheet program in Taiwan saves so."""
    words = {
        "示例叶": "半夏",
        "示例葉": "半夏",
        "示例子": "蘇子",
        "示例": "黃芩",
        "ì": "i",
        "è": "e",
        "ē": "e",
        "ǐ": "i",
        "ǎ": "a",
    }

    def make(text: str) -> bytes:
        for old, new in words.items():
            text = text.replace(old, new)
        return text.encode("big5")

    _rewrite(little_package, make)
    problems = [problem for problem in verdict(little_package) if problem.rule == "not-utf-8"]
    assert [place(problem) for problem in problems] == [(HERBS, 2, "", "not-utf-8")]
    assert "Big5" in problems[0].message
    assert read_package(little_package).tables["herbs"].columns["name_hans"][1] == "半夏"


def test_one_damaged_character_costs_its_line_only(little_package: Path) -> None:
    """A single bad byte is said at its line, and the file is not called GBK for it."""
    _rewrite(little_package, lambda text: text.encode().replace(b"demo seed", b"demo\xff seed"))
    found = [place(problem) for problem in verdict(little_package)]
    assert (HERBS, 5, "", "not-utf-8") in found
    assert {line for _, line, _, _ in found} == {5}


def test_a_nul_is_said_at_its_cell(little_package: Path) -> None:
    """NUL hides the rest of a cell from some programs."""
    _rewrite(little_package, lambda text: text.encode().replace(b"demo root", b"demo\0 root"))
    problem = only(little_package)
    assert place(problem) == (HERBS, ROOT, "name_en", "invisible-character")
    assert "NUL" in problem.message


def test_a_carriage_return_inside_a_line_is_said_at_its_cell(little_package: Path) -> None:
    """A CR that ends no line is damage of one cell."""
    _rewrite(little_package, lambda text: text.encode().replace(b"demo root", b"demo\rroot"))
    problem = only(little_package)
    assert place(problem) == (HERBS, ROOT, "name_en", "invisible-character")


def test_crlf_is_one_problem_however_many_lines_have_it(little_package: Path) -> None:
    """It stands at the first such line."""
    _rewrite(little_package, lambda text: text.replace("\ndemo-r", "\r\ndemo-r").encode())
    problem = only(little_package)
    assert place(problem) == (HERBS, 3, "", "crlf-line-ends")


def test_several_things_wrong_with_one_file_are_all_said(little_package: Path) -> None:
    """BOM, CR LF and a last line cut short in one pass."""
    _rewrite(little_package, lambda text: b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode().removesuffix(b"\r\n"))
    assert {problem.rule for problem in verdict(little_package)} == {
        "byte-order-mark",
        "crlf-line-ends",
        "unfinished-last-line",
    }
