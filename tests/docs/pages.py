"""The pages for people, and what stands in them: fenced blocks with the set-up that a comment before them asks for.

A block may be preceded by comments, one a line, that a reader of the page does not see:
`<!-- change herbs/doses.csv KEY COLUMN: OLD -> NEW -->` changes one cell before the block is run;
`<!-- remove herbs/cautions.csv KEY -->` takes a line out;
`<!-- numbers move -->` says that the numbers shown are those of one day: any number may stand for any other;
`<!-- file rules/softening.toml -->` makes the block a file of the data, for the rest of the page;
`<!-- from PATH -->` says that the block stands word for word in that file of the repository.
"""

import csv
import re
import shlex
from collections.abc import Iterator, Sequence
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

from materia_data.cli import main
from materia_data.read.schema import table_schemas

ROOT = Path(__file__).parents[2]
GENERATED = frozenset({"tables.md", "predicates.md", "findings.md", "checks.md"})
VERB_PAGES = ROOT / "docs" / "verbs"
PAGES = [
    *(ROOT / name for name in ("README.md", "DEVELOPERS.md", "CONTRIBUTING.md", "CHANGELOG.md", "SECURITY.md")),
    *(path for path in sorted((ROOT / "docs").rglob("*.md")) if path.name not in GENERATED),
]
ROUND = ROOT / "docs" / "round.md"
"""One story, run from top to bottom in one folder by test_round.py; every other page block by block."""
_COMMENT = re.compile(r"<!-- (\w+) (.*) -->")
_CHANGE = re.compile(r"(\S+) (\S+) (\w+): (.*) -> (.*)")


@dataclass(frozen=True)
class Block:
    """A fenced block. line: of its fence; setup: the comments before it, as word and rest."""

    language: str
    text: str
    line: int
    setup: tuple[tuple[str, str], ...]


def blocks(page: Path) -> Iterator[Block]:
    """The fenced blocks of a page, first to last."""
    setup: list[tuple[str, str]] = []
    language, start, lines = "", 0, None
    for number, line in enumerate(page.read_text(encoding="utf-8").split("\n"), 1):
        if lines is not None:
            if line.strip() == "```":
                yield Block(language, "\n".join(lines) + "\n", start, tuple(setup))
                setup, lines = [], None
            else:
                lines.append(line)
        elif line.strip().startswith("```"):
            language, start, lines = line.strip()[3:], number, []
        elif found := _COMMENT.fullmatch(line.strip()):
            setup.append((found[1], found[2]))
        elif line.strip():
            setup = []


def commands(text: str) -> list[tuple[str, list[str]]]:
    """The commands of a console block with the lines shown under each."""
    found: list[tuple[str, list[str]]] = []
    for line in text.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        elif found[-1][0].endswith("\\"):
            found[-1] = (found[-1][0][:-1] + line.strip(), [])
        else:
            found[-1][1].append(line)
    return found


def run(command: str, last: int = 0) -> tuple[list[str], int]:
    """What a `materia …` command prints on both streams, and its exit code; `echo $?` prints the last one."""
    if command == "echo $?":
        return [str(last)], 0
    words = shlex.split(command)
    if words[0] != "materia":
        raise ValueError(f"a console block shows only materia and `echo $?`, not {words[0]}; use a sh block")
    out = StringIO()
    with redirect_stdout(out), redirect_stderr(out):
        try:
            code = main(words[1:])
        except SystemExit as left:
            code = int(left.code or 0)
    return out.getvalue().splitlines(), code


def matches(printed: Sequence[str], shown: Sequence[str], numbers_move: bool = False) -> bool:
    """Whether the lines are what is shown; a line `…` stands for any lines, `…` in a line for any text."""
    reach = {0}
    for line in shown:
        if line.strip() == "…":
            reach = set(range(min(reach), len(printed) + 1)) if reach else set()
            continue
        wanted = ".*".join(map(re.escape, line.rstrip().split("…")))
        if numbers_move:
            wanted = re.sub(r"\d+", r"\\d+", wanted)
        reach = {at + 1 for at in reach if at < len(printed) and re.fullmatch(wanted, printed[at].rstrip())}
    return len(printed) in reach


def change(data: Path, text: str) -> None:
    """Change one cell of the package in the folder `data`; its old value must be the one named."""
    found = _CHANGE.fullmatch(text)
    assert found, f"not a change: {text}"
    file, key, column, old, new = found.groups()
    rows, at = _rows(data, file, key)
    assert rows[at][column] == old, f"{file} {key} has {column} = {rows[at][column]}, not {old}"
    rows[at][column] = new
    _write(data / file, rows)


def remove(data: Path, text: str) -> None:
    """Take one line out of the package in the folder `data`."""
    file, key = text.split(" ", 1)
    rows, at = _rows(data, file, key)
    _write(data / file, rows[:at] + rows[at + 1 :])


def _rows(data: Path, file: str, key: str) -> tuple[list[dict[str, str]], int]:
    schema = next(schema for schema in table_schemas().values() if schema.path == file)
    with (data / file).open(encoding="utf-8", newline="") as source:
        rows = list(csv.DictReader(source))
    (at,) = (at for at, row in enumerate(rows) if "|".join(row[name] for name in schema.key) == key)
    return rows, at


def _write(path: Path, rows: list[dict[str, str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as target:
        writer = csv.DictWriter(target, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
