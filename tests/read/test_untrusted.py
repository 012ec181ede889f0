"""Packages made to stop, slow or fool the reader."""

import json
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from materia_data.read.package import read_package
from materia_data.read.schema import table_schemas
from tests.little import little
from tests.read.damage import verdict

FILE = "teaching/aids.csv"
HEAD = b"id,subject,kind,text\n"
KIB = 1024
SLOWEST = 10  # seconds of processor time for 512 KiB; a reader that goes back over its steps needs minutes


@pytest.fixture(scope="module")
def package(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small package whose aids are overwritten again and again."""
    return little(tmp_path_factory.mktemp("untrusted"))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(content=st.binary(max_size=400), header=st.booleans())
def test_no_bytes_make_the_reader_raise(package: Path, content: bytes, header: bool) -> None:
    """Whatever stands in a file, the reader returns problems with places."""
    (package / FILE).write_bytes((HEAD if header else b"") + content)
    for problem in verdict(package):
        assert problem.line >= 0


CELL = st.text(
    alphabet=st.sampled_from("ab-;|\"'\\0 9.,\t\r\n\u200b\u3000\ufeff\u202e\x00半é\ud7ff\U0001f33f＃９½"), max_size=12
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(cells=st.lists(CELL, min_size=1, max_size=40), table=st.sampled_from(sorted(table_schemas())))
def test_no_cells_make_the_reader_raise(tmp_path_factory: pytest.TempPathFactory, cells: list[str], table: str) -> None:
    """In any table, whatever the types of its columns."""
    folder = little(tmp_path_factory.mktemp("cells"))
    schema = table_schemas()[table]
    width = len(schema.fields)
    rows = [",".join(cells[start : start + width]) for start in range(0, len(cells), width)]
    header = ",".join(schema.by_name)
    (folder / schema.path).write_bytes(("\n".join([header, *rows]) + "\n").encode())
    for problem in verdict(folder):
        assert problem.line >= 0


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(lines=st.lists(st.text(alphabet=st.sampled_from('a,,,""\r ;'), max_size=14), min_size=1, max_size=8))
def test_no_line_is_lost_without_a_word(package: Path, lines: list[str]) -> None:
    """Each line is a row, or has a problem, or is the end of a cell whose break has one."""
    (package / FILE).write_bytes(HEAD + ("\n".join(lines) + "\n").encode())
    read = read_package(package)
    said = {problem.line for problem in read.problems if problem.file == FILE}
    broken = [problem for problem in read.problems if problem.rule == "line-break-in-cell"]
    said |= {problem.line + more + 1 for problem in broken for more in range(problem.value.count("\n"))}
    number = (package / FILE).read_bytes().replace(b"\r\n", b"\n").count(b"\n")
    assert set(read.tables["aids"].lines) | said >= set(range(2, number + 1))


@pytest.mark.parametrize(
    "content",
    [
        b'"' * (512 * KIB),
        b'a,"' * (128 * KIB) + b"\n",
        b'a,b,c,"\n' * (64 * KIB),
        b'a,b,c,"x""\n' * (40 * KIB),
        b'a,"b"x,c,d\n' * (40 * KIB),
        b"," * (512 * KIB),
        b"\n" * (128 * KIB),
        b"a\n" * (128 * KIB),
        b"\0" * (512 * KIB),
        b"a,b,c," + b"9" * (512 * KIB) + b"\n",
        b"a,b,c,d\n" + b"x" * 60000 + b",b,c,d\n",
        b"\xff" * (512 * KIB),
        b"\xb0\xeb\xcf\xc4\n" * (64 * KIB),
        b";" * 60000 + b",b,c,d\n",
        ("a,b,c," + "\u200b" * 20000 + "\n").encode() * 8,
        ("a,b,c," + "a\u0301" * 20000 + "\n").encode() * 8,
    ],
    ids=lambda content: str(content[:12]),
)
def test_malice_takes_linear_time(package: Path, content: bytes) -> None:
    """No content makes the reader go back over its steps."""
    (package / FILE).write_bytes(HEAD + content)
    begun = time.process_time()
    verdict(package)
    assert time.process_time() - begun < SLOWEST


def test_a_header_of_many_names_takes_linear_time(package: Path) -> None:
    """Each unknown column gets its line, in bounded time."""
    names = ",".join(f"column{number}" for number in range(5000))
    (package / FILE).write_bytes(f"id,subject,kind,text,{names}\n".encode())
    begun = time.process_time()
    assert sum(problem.rule == "unknown-column" for problem in verdict(package)) == 5000
    assert time.process_time() - begun < SLOWEST


def test_ids_that_look_alike_by_thousands_take_bounded_time(tmp_path: Path) -> None:
    """Looking for the nearest of many similar ids stops in time."""
    rows = [{"id": f"{'ab' * 20}-{number:05}"} for number in range(3000)]
    aids = [{"id": f"aid-{number:05}", "subject": f"{'ba' * 20}-{number:05}"} for number in range(3000)]
    folder = little(tmp_path, herbs=rows, aids=aids)
    begun = time.process_time()
    assert sum(problem.rule == "dangling-reference" for problem in verdict(folder)) == 3000
    assert time.process_time() - begun < SLOWEST


def test_a_list_of_thousands_of_members_takes_linear_time(tmp_path: Path) -> None:
    """Each repeated member is said once."""
    members = ";".join(f"demo-{number % 4500:05}" for number in range(5000))
    folder = little(tmp_path, pairs=[{"id": "a-pair", "subjects": members}])
    begun = time.process_time()
    assert sum(problem.rule == "repeated-member" for problem in verdict(folder)) == 500
    assert time.process_time() - begun < SLOWEST


def test_circles_by_thousands_take_bounded_time(tmp_path: Path) -> None:
    """At most a hundred are shown; who mends them sees the next."""
    terms = [{"id": f"t{n:05}", "broader": f"t{n + 1:05};t{n // 2:05}" if n < 3999 else ""} for n in range(4000)]
    folder = little(tmp_path, indications=terms)
    begun = time.process_time()
    assert 1 <= sum(problem.rule == "broader-cycle" for problem in verdict(folder)) <= 100
    assert time.process_time() - begun < SLOWEST


def test_a_descriptor_nested_in_strings_is_not_called_deep(tmp_path: Path) -> None:
    """Brackets inside strings do not nest."""
    folder = little(tmp_path)
    (folder / "datapackage.json").write_text(json.dumps({"name": "[" * 100 + '"' + "{" * 100}))
    assert [problem.rule for problem in verdict(folder)] == ["outdated-descriptor"]


def test_a_message_shows_no_control_character(tmp_path: Path) -> None:
    """Nothing of a cell reaches a terminal unescaped through a message or tip."""
    evil = "\x1b[2J\u202e%0A::error::"
    folder = little(tmp_path)
    for table in ("herbs", "names", "doses"):
        path = folder / table_schemas()[table].path
        lines = path.read_text(encoding="utf-8").split("\n")
        lines[1] = ",".join(evil for _ in table_schemas()[table].fields)
        path.write_text("\n".join(lines), encoding="utf-8")
    problems = verdict(folder)
    assert len(problems) > 30
    assert all(problem.message.isprintable() and problem.tip.isprintable() for problem in problems)
