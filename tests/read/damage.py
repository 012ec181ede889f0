"""Ways to damage a package, and to ask the reader what it finds."""

from pathlib import Path

from materia_data.problem import Problem
from materia_data.read.findings import FINDINGS
from materia_data.read.package import read_package
from materia_data.read.structure import check_structure

Place = tuple[str, int, str, str]


def verdict(folder: Path) -> list[Problem]:
    """All that the reader finds: each an error, known to the table of findings, with a message and a tip."""
    package = read_package(folder)
    problems = package.problems + check_structure(package)
    for problem in problems:
        assert problem.severity == "error", problem
        assert problem.rule in FINDINGS, problem
        assert problem.message.endswith((".", "…")) and problem.message.isprintable(), problem
        assert problem.tip and problem.tip.isprintable(), problem
    return problems


def places(folder: Path) -> list[Place]:
    """File, line, column and finding of each problem, in order."""
    return sorted((problem.file, problem.line, problem.column, problem.rule) for problem in verdict(folder))


def only(folder: Path) -> Problem:
    """The one problem of a package that has one."""
    problems = verdict(folder)
    assert len(problems) == 1, [place(problem) for problem in problems][:5]
    return problems[0]


def place(problem: Problem) -> Place:
    """File, line, column and finding of a problem."""
    return problem.file, problem.line, problem.column, problem.rule


def change(folder: Path, file: str, old: str, new: str) -> None:
    """Put the new text in the place of the old one, which must stand in the file once."""
    path = folder / file
    text = path.read_bytes().decode("utf-8")
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {file}"
    path.write_bytes(text.replace(old, new).encode("utf-8", "surrogatepass"))


def set_cell(folder: Path, file: str, line: int, column: str, value: str) -> None:
    """Write the value, as it is, over one cell of a line without quotes."""
    path = folder / file
    lines = path.read_bytes().decode("utf-8").split("\n")
    assert '"' not in lines[line - 1]
    cells = lines[line - 1].split(",")
    cells[lines[0].split(",").index(column)] = value
    lines[line - 1] = ",".join(cells)
    path.write_bytes("\n".join(lines).encode("utf-8", "surrogatepass"))


def line_of(folder: Path, file: str, start: str) -> int:
    """The number of the one line that begins so."""
    lines = (folder / file).read_bytes().decode("utf-8").split("\n")
    (found,) = [number for number, line in enumerate(lines, 1) if line.startswith(start)]
    return found
