"""Cases in the trade's words: each page of `cases/` is named after a check, each sentence over rows is one case.

A case is a sentence and the rows under it: a line `table: columns` and then, after two blanks or on lines of their own,
rows. A row that should be found ends in `# severity: check at column`. Columns left out take a valid value.
"""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import pytest

from materia_data.check.registry import checks
from materia_data.check.run import run_check
from materia_data.facts.build import build_facts
from materia_data.read.schema import table_schemas
from tests.little import little_package

PAGES = sorted(Path(__file__).with_name("cases").glob("*.md"))
MARK = re.compile(r"\s+# (error|warning|note): ([a-z-]+) at ([a-z_]+)$")


@dataclass
class Case:
    """A sentence, rows by table, and what should be found: severity, check, table, values of the row given, column."""

    says: str
    tables: dict[str, list[dict[str, str]]] = field(default_factory=dict)
    expected: list[tuple[str, str, str, str]] = field(default_factory=list)


def cases() -> Iterator[object]:
    """Every case of every page."""
    for page in PAGES:
        for case in read_page(page.read_text(encoding="utf-8")):
            yield pytest.param(page.stem, case, id=f"{page.stem}: {case.says}")


def read_page(text: str) -> list[Case]:
    """The cases of a page."""
    found: list[Case] = []
    columns: list[str] = []
    table = ""
    for line in text.splitlines():
        if not line.startswith("    "):
            if line.strip() and not line.startswith(("#", "<!--")):
                if not found or found[-1].tables:
                    found.append(Case(line.strip()))
                else:
                    found[-1].says += f" {line.strip()}"
            continue
        mark = MARK.search(line)
        cells = (line[: mark.start()] if mark else line).strip()
        header = re.match(r"([a-z_]+): (\S+)(?:\s{2,}(.*))?$", cells)
        if header:
            table, columns, cells = header[1], header[2].split(","), header[3] or ""
        if cells:
            row = dict(zip(columns, next(csv.reader([cells])), strict=True))
            found[-1].tables.setdefault(table, []).append(row)
            if mark:
                at = "|".join(row.get(column, "") for column in table_schemas()[table].key[:1])
                found[-1].expected.append((*mark.groups(), at))
    return found


@pytest.mark.parametrize(("id", "case"), list(cases()))
def test_case(id: str, case: Case) -> None:
    """The check finds the marked rows at the marked columns, and nothing else."""
    declared = checks()[id]
    assert case.tables, "a sentence without rows proves nothing"
    problems = run_check(declared, build_facts(little_package(**case.tables)), date(2026, 1, 1))
    found = [(one.severity, one.rule, one.column, one.record.split("|")[0]) for one in problems]
    assert sorted(found) == sorted(case.expected)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_shows_both_sides(page: Path) -> None:
    """Each page has a case that passes and one that does not."""
    marked = [bool(case.expected) for case in read_page(page.read_text(encoding="utf-8"))]
    assert any(marked)
    assert not all(marked)
