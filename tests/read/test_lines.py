"""Lines that are not rows: one bad line costs that line."""

from pathlib import Path

import pytest

from materia_data.read.package import read_package
from tests.little import little
from tests.read.damage import change, only, place, places, verdict

FILE = "teaching/aids.csv"  # id,subject,kind,text
HEAD = "id,subject,kind,text\n"
GOOD = "c-aid,demo-leaf,image,A leaf.\n"


def _write(folder: Path, text: str) -> None:
    (folder / FILE).write_bytes((HEAD + text).encode())


@pytest.mark.parametrize(
    ("line", "column", "rule", "tip"),
    [
        ("a-aid,demo-leaf,image", "text", "ragged-row", "comma"),
        ("a-aid,demo-leaf", "kind", "ragged-row", "comma"),
        ("a-aid", "subject", "ragged-row", "comma"),
        ("a-aid,demo-leaf,image,A leaf,in the wind.", "", "ragged-row", "quotes"),
        ("a-aid,demo-leaf,image,A leaf.,", "", "ragged-row", "comma"),
        ('a-aid,demo-leaf,image,"A leaf.', "text", "unclosed-quote", "quote"),
        ('a-aid,demo-leaf,"image,A leaf.', "kind", "unclosed-quote", "quote"),
        ('"a-aid,demo-leaf,image,A leaf.', "id", "unclosed-quote", "quote"),
        ('a-aid,demo-leaf,image,"A leaf" in wind.', "text", "text-after-quote", "twice"),
        ('a-aid,demo-leaf,image,"A "leaf".', "text", "text-after-quote", "twice"),
        ("", "", "blank-line", "out"),
        (",,,", "", "blank-line", "out"),
        ("   ", "", "blank-line", "out"),
        ("a-aid,demo-leaf,image," + "x" * 70000, "", "oversized-line", "line ends"),
        ('a-aid,demo-leaf,image,"' + "x" * 140000 + '"', "", "oversized-line", "line ends"),
    ],
    ids=lambda value: value[:30] if isinstance(value, str) else "",
)
@pytest.mark.parametrize("where", ["first", "between", "last"])
def test_a_bad_line_costs_that_line(
    little_package: Path, line: str, column: str, rule: str, tip: str, where: str
) -> None:
    """It is said at its line and column; the lines around it are read."""
    before = {
        "first": "",
        "between": "0-aid,demo-leaf,image,A leaf.\n",
        "last": GOOD + "d-aid,demo-leaf,image,A leaf.\n",
    }
    text = {"first": f"{line}\n{GOOD}", "between": f"a0-aid,demo-leaf,image,A leaf.\n{line}\n{GOOD}"}
    _write(little_package, text.get(where, f"{before[where]}{line}\n"))
    problem = only(little_package)
    number = {"first": 2, "between": 3, "last": 4}[where]
    assert place(problem) == (FILE, number, column, rule)
    assert tip in problem.tip
    table = read_package(little_package).tables["aids"]
    assert "c-aid" in table.columns["id"]
    assert "a-aid" not in table.columns["id"]
    assert [table.lines[i] for i, id in enumerate(table.columns["id"]) if id == "c-aid"] == [
        {"first": 3, "between": 4, "last": 2}[where]
    ]


def test_a_stray_quote_is_said_and_its_row_is_read(little_package: Path) -> None:
    """A mark inside a cell without quotes round it."""
    _write(little_package, 'a-aid,demo-leaf,image,A leaf of 6" width.\n')
    problem = only(little_package)
    assert place(problem) == (FILE, 2, "text", "stray-quote")
    assert read_package(little_package).tables["aids"].columns["text"] == ['A leaf of 6" width.']


@pytest.mark.parametrize("lines", [2, 3, 5])
def test_a_line_break_in_a_cell_is_one_problem_at_its_first_line(little_package: Path, lines: int) -> None:
    """The cell is read with spaces in the place of the breaks, and later lines keep their numbers."""
    text = "\n".join(f"part {number}" for number in range(lines))
    _write(little_package, f'a-aid,demo-leaf,image,"{text}"\n{GOOD}')
    assert place(only(little_package)) == (FILE, 2, "text", "line-break-in-cell")
    table = read_package(little_package).tables["aids"]
    assert table.columns["text"][0] == text.replace("\n", " ")
    assert list(table.lines) == [2, 2 + lines]


def test_an_unclosed_quote_does_not_swallow_the_lines_after_it(little_package: Path) -> None:
    """Problems further down the file are still said, at their own lines."""
    rows = "".join(f"b-{name},demo-leaf,image,A leaf.\n" for name in "abcdefgh")
    _write(little_package, f'a-aid,demo-leaf,image,"A leaf.\n{rows}c-aid,demo-leef,image,A leaf.\n')
    assert places(little_package) == [(FILE, 2, "text", "unclosed-quote"), (FILE, 11, "subject", "dangling-reference")]


def test_two_unclosed_quotes_are_two_problems(little_package: Path) -> None:
    """One is not taken for the end of the other when a whole row stands between."""
    _write(little_package, f'a-aid,demo-leaf,image,"A leaf.\n{GOOD}d-aid,demo-leaf,image,"A leaf.\n')
    assert places(little_package) == [(FILE, 2, "text", "unclosed-quote"), (FILE, 4, "text", "unclosed-quote")]


def test_two_unclosed_quotes_on_lines_that_follow_are_two_problems(little_package: Path) -> None:
    """A line with all its commas is no continuation."""
    _write(little_package, 'a-aid,demo-leaf,image,"A leaf.\nd-aid,demo-leaf,image,"A leaf.\n')
    assert places(little_package) == [(FILE, 2, "text", "unclosed-quote"), (FILE, 3, "text", "unclosed-quote")]


def test_quoted_cells_are_read_as_rfc_4180_says(little_package: Path) -> None:
    """Commas and doubled quotes inside quotes are text. Source: RFC 4180, section 2."""
    _write(
        little_package, 'a-aid,demo-leaf,image,"A leaf, ""green"", in wind"\n"b-aid","demo-leaf","image","A leaf."\n'
    )
    assert verdict(little_package) == []
    assert read_package(little_package).tables["aids"].columns["text"] == ['A leaf, "green", in wind', "A leaf."]


def test_many_bad_lines_are_all_said_in_one_pass(little_package: Path) -> None:
    """Nothing stops at the first problem."""
    _write(little_package, 'a,b\nb-aid,demo-leef,image,A leaf.\n\nd-aid,demo-leaf,imago,A leaf.\ne-aid,"x\n')
    assert places(little_package) == [
        (FILE, 2, "kind", "ragged-row"),
        (FILE, 3, "subject", "dangling-reference"),
        (FILE, 4, "", "blank-line"),
        (FILE, 5, "kind", "unknown-term"),
        (FILE, 6, "subject", "unclosed-quote"),
    ]


def test_references_to_a_lost_line_are_not_called_dangling(little_package: Path) -> None:
    """A herb whose line is torn is still a herb."""
    change(little_package, "herbs/herbs.csv", "demo-leaf,示例叶", "demo-leaf,,示例叶")
    assert place(only(little_package)) == ("herbs/herbs.csv", 3, "", "ragged-row")


def test_large_files_are_read_alike_in_pieces(tmp_path: Path) -> None:
    """Rows beyond the first thousand keep their order and lines, with quotes or without."""
    rows = [
        {"id": f"aid-{number:05}", "text": f"A leaf, number {number}." if number % 7 else f"Leaf {number}"}
        for number in range(2500)
    ]
    folder = little(tmp_path, aids=rows)
    table = read_package(folder).tables["aids"]
    assert table.columns["text"][1:1] == []
    assert [table.columns["text"][i] for i, id in enumerate(table.columns["id"]) if id.startswith("aid-")] == [
        row["text"] for row in rows
    ]
    assert verdict(folder) == []
    change(folder, FILE, "Leaf 2499", 'Leaf "2499')
    assert place(only(folder))[2:] == ("text", "stray-quote")
