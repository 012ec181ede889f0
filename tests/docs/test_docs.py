"""The pages say what is so: their commands are run, their examples judged, their lists compared with the code."""

import argparse
import doctest
import json
import re
import shutil
import tomllib
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

import materia_data
from materia_data.check.registry import checks
from materia_data.cli import pages
from materia_data.exporting.listing import OURS, exporters
from materia_data.facts.predicates import predicates
from materia_data.places import data_root
from materia_data.read.findings import FINDINGS
from materia_data.read.schema import table_schemas
from tests.docs.pages import PAGES, ROOT, ROUND, VERB_PAGES, Block, blocks, change, commands, matches, remove, run

_LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
_CODE = re.compile(r"`([^`]+)`")


def _name(page: Path) -> str:
    return str(page.relative_to(ROOT))


def _of(language: str) -> list[Any]:
    return [
        pytest.param(page, block, id=f"{_name(page)}:{block.line}")
        for page in PAGES
        if page != ROUND
        for block in blocks(page)
        if block.language == language
    ]


@pytest.fixture
def school(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a copy of the data in `datapackage`, the unchanged one in `before`, a layer, and the examples."""
    work = tmp_path / "work"
    shutil.copytree(ROOT / "examples" / "harbor-school", work / "harbor-school")
    for copy in ("datapackage", "before"):
        shutil.copytree(data_root(), work / copy)
    shutil.copytree(ROOT / "examples", work / "examples")
    monkeypatch.chdir(work)
    return work


def _files(page: Path, school: Path, before: int | None = None) -> None:
    """Write the files that the page shows, all or those before a line."""
    for block in blocks(page):
        for word, rest in block.setup:
            if word == "file" and (before is None or block.line < before):
                (school / "datapackage" / rest).write_text(block.text, encoding="utf-8", newline="\n")


def _prepare(page: Path, block: Block, school: Path) -> None:
    _files(page, school, block.line)
    for word, rest in block.setup:
        if word in ("change", "remove"):
            {"change": change, "remove": remove}[word](school / "datapackage", rest)


@pytest.mark.parametrize(("page", "block"), _of("console"))
def test_a_command_shown_prints_what_is_shown(page: Path, block: Block, school: Path) -> None:
    """Each `$ materia …` of a page prints the lines under it, `…` standing for any."""
    _prepare(page, block, school)
    code = 0
    for command, shown in commands(block.text):
        assert shown, f"{_name(page)}:{block.line}: nothing is shown under `{command}`"
        printed, code = run(command, code)
        assert matches(printed, shown, ("numbers", "move") in block.setup), f"`{command}` prints:\n" + "\n".join(
            printed[:60]
        )


@pytest.mark.parametrize(("page", "block"), _of("pycon"))
def test_a_python_session_answers_what_is_shown(page: Path, block: Block, school: Path) -> None:
    """Each `>>>` of a page gives the answer under it."""
    _prepare(page, block, school)
    example = doctest.DocTestParser().get_doctest(block.text, {}, _name(page), None, block.line)
    assert example.examples
    said: list[str] = []
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    assert not runner.run(example, out=said.append).failed, "".join(said)


@pytest.mark.parametrize(("page", "block"), _of("python"))
def test_python_shown_runs_or_stands_in_the_code(page: Path, block: Block, school: Path) -> None:
    """A python block either stands word for word in the file that it names, or runs."""
    if not _quoted(block):
        exec(compile(block.text, f"{_name(page)}:{block.line}", "exec"), {})


def _quoted(block: Block) -> bool:
    """Whether the block names a file of the repository, in which it must stand word for word."""
    named = [rest for word, rest in block.setup if word == "from"]
    for path in named:
        assert block.text in (ROOT / path).read_text(encoding="utf-8"), f"{path} reads otherwise"
    return bool(named)


@pytest.mark.parametrize(("page", "block"), _of("csv"))
def test_csv_shown_stands_in_the_file_that_it_names(page: Path, block: Block) -> None:
    """CSV said to be that of a file of the repository is; any other is a file or a line of the reader's own."""
    assert _quoted(block) is any(word == "from" for word, _ in block.setup)


@pytest.mark.parametrize(("page", "block"), _of("toml"))
def test_toml_shown_stands_in_a_file_or_is_a_rule_that_can_be_used(page: Path, block: Block, school: Path) -> None:
    """TOML on a page stands in the file that it names, or is a rule that is read and that its own rows bear out."""
    if not _quoted(block):
        assert block.text.startswith("[[rule]]")
        (school / "datapackage" / "rules" / "shown.toml").write_text(block.text, encoding="utf-8", newline="\n")
        printed, _ = run("materia check --data datapackage --notes")
        assert not [line for line in printed if line.startswith("rules/shown.toml")]


@pytest.mark.parametrize("page", [page for page in PAGES if page.parent == VERB_PAGES], ids=_name)
def test_a_verb_page_names_every_option_and_no_other(page: Path) -> None:
    """The table of options is the command's own."""
    parser = argparse.ArgumentParser(add_help=False)
    import_module(pages()[page.stem]).register(parser)
    real = {name for action in parser._actions for name in action.option_strings}
    told = {code.split()[0] for row in _rows(page, "Options") for code in _CODE.findall(row[0])}
    assert {name for name in told if name.startswith("-")} == real


@pytest.mark.parametrize("page", [page for page in PAGES if page.parent == VERB_PAGES], ids=_name)
def test_a_verb_page_names_every_key_of_its_json(page: Path, school: Path) -> None:
    """The JSON that the page's own command gives has the keys that the page names, and no others at the top."""
    section = _section(page, "JSON")
    _files(page, school)
    (command,) = (code for code in _CODE.findall(section.partition("|")[0]) if code.startswith("materia "))
    printed, _ = run(command)
    document = json.loads("\n".join(printed[next(at for at, line in enumerate(printed) if line[:1] in "{[") :]))
    assert {_CODE.findall(row[0])[0] for row in _rows(page, "JSON")} == set(document)
    assert set(_keys(document)) <= set(_CODE.findall(section))


def _keys(document: Any) -> Iterator[str]:
    if isinstance(document, dict):
        for key, value in document.items():
            yield key
            yield from _keys(value)
    elif isinstance(document, list):
        for value in document[:50]:
            yield from _keys(value)


def _section(page: Path, title: str) -> str:
    found = re.search(rf"^## {title}\n(.*?)(?=^## |\Z)", page.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    assert found, f"{_name(page)} has no section {title}"
    return found[1]


def _rows(page: Path, title: str) -> list[list[str]]:
    """The rows of the section's table, without its head."""
    lines = [line for line in _section(page, title).splitlines() if line.startswith("|")]
    return [re.split(r"(?<!\\)\|", line.strip("|")) for line in lines[2:]]


def test_every_verb_has_a_page_and_every_page_a_verb() -> None:
    """docs/verbs holds a page for each verb, and each says what its exit codes mean."""
    assert {page.stem for page in VERB_PAGES.glob("*.md")} == set(pages())
    for page in VERB_PAGES.glob("*.md"):
        assert {_CODE.findall(row[0])[0] for row in _rows(page, "Exit code")} >= {"0", "2"}, page.name


def test_every_built_in_exporter_is_told_of_and_no_other() -> None:
    """docs/exporting.md has a row for each exporter of the package."""
    told = {_CODE.findall(row[0])[0] for row in _rows(ROOT / "docs" / "exporting.md", "Built-in exporters")}
    assert told == {one.name for one in exporters() if one.distribution == OURS}


@pytest.mark.parametrize(
    ("page", "names"),
    [
        ("tables.md", lambda: table_schemas()),
        ("predicates.md", lambda: predicates()),
        ("findings.md", lambda: FINDINGS),
        ("checks.md", lambda: checks()),
    ],
)
def test_every_table_predicate_finding_and_check_is_listed(page: str, names: Any) -> None:
    """The lists of docs/ leave nothing out."""
    text = (ROOT / "docs" / page).read_text(encoding="utf-8")
    missing = [name for name in names() if not re.search(rf"`{re.escape(name)}`|^### {re.escape(name)}:", text, re.M)]
    assert not missing, f"docs/{page} leaves out {', '.join(missing)}: run `make generate`"


def test_every_problem_about_rules_exceptions_and_loosenings_is_told_of() -> None:
    """What `check` says beside findings, rules and checks stands in docs/rules.md or docs/safety.md."""
    code = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "materia_data" / "check").glob("*.py"))
    ids = set(re.findall(r'"((?:rule|exception|safety|loosening)-[a-z]+(?:-[a-z]+)*)"', code))
    pages = "".join((ROOT / "docs" / name).read_text(encoding="utf-8") for name in ("rules.md", "safety.md"))
    assert len(ids) > 8
    assert not [id for id in ids if f"`{id}`" not in pages]


def test_every_room_is_in_the_table_of_rooms() -> None:
    """DEVELOPERS.md has a line for each folder of the code, and for no folder that is not there."""
    told = {_CODE.findall(row[0])[0].rstrip("/") for row in _rows(ROOT / "DEVELOPERS.md", "Find your room")}
    rooms = {path.parent for path in (ROOT / "materia_data").glob("*/__init__.py")}
    assert {f"materia_data/{path.name}" for path in rooms} <= told
    assert not [path for path in told if not (ROOT / path).exists()]


def test_every_public_name_is_told_and_no_other() -> None:
    """DEVELOPERS.md lists what `from materia_data import …` offers."""
    rows = _rows(ROOT / "DEVELOPERS.md", "What materia_data offers")
    assert {name for row in rows for name in _CODE.findall(row[0])} == set(materia_data.__all__)


def test_every_word_of_the_makefile_is_told() -> None:
    """DEVELOPERS.md names each target that `make help` lists, and no other."""
    targets = set(re.findall(r"^([a-z]+):.*##", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE))
    told = {_CODE.findall(row[0])[0] for row in _rows(ROOT / "DEVELOPERS.md", "The words of the Makefile")}
    assert told == {f"make {target}" for target in targets}


def test_the_readme_begins_with_the_job() -> None:
    """After its title the README tells the whole job in one paragraph, before any heading, list or block."""
    title, job, *_ = (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n")
    job = " ".join(job.split()).lower()
    assert title.startswith("# ")
    assert not re.match(r"[#\-*>`|!<\[]", job)
    words = ("category", "correct", "safety", "release", "publish", "developer")
    assert not [word for word in words if word not in job]


def test_the_readme_says_what_this_is_not() -> None:
    """The cautions stand on the first page."""
    text = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    for words in (
        "or teaching; local law, the current pharmacopoeia and licensed practice decide",
        "from memory",
        "2025 edition",
        "make site",
        "make test",
        "apt-get install python3-venv make",
    ):
        assert words in text


@pytest.mark.parametrize("page", PAGES, ids=_name)
def test_links_lead_somewhere(page: Path) -> None:
    """Each link to a file or a heading of the repository finds it."""
    for target in _LINK.findall(re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)):
        if re.match(r"[a-z]+:", target):
            continue
        path, _, heading = target.partition("#")
        file = (page.parent / path).resolve() if path else page
        assert file.exists(), f"{_name(page)} links to {target}, which is not there"
        if heading:
            assert heading in _headings(file), f"{_name(page)} links to {target}, a heading that is not there"


def _headings(page: Path) -> set[str]:
    heads = re.findall(r"^#+ (.*)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


def test_versions_agree() -> None:
    """The code's version is the same in pyproject.toml, the package, the changelog's first entry and CITATION.cff."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    newest = re.search(r"^## (\d+\.\d+\.\d+)", (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE)
    cited = re.search(r'^version: "?([\d.]+)', (ROOT / "CITATION.cff").read_text(encoding="utf-8"), re.MULTILINE)
    assert newest and cited
    assert {project, materia_data.__version__, newest[1], cited[1]} == {project}


def test_pages_name_no_machine_path() -> None:
    """No page shows a folder of the machine it was written on."""
    for page in PAGES:
        assert not re.search(r"/(work|root|tmp|home)/", page.read_text(encoding="utf-8")), _name(page)


def test_the_matcher_of_this_test_can_fail() -> None:
    """`…` stands for any lines or any text, and for nothing else."""
    assert matches(["a", "b", "c"], ["a", "…"])
    assert matches(["3 errors, 1 note"], ["… errors, …"])
    assert matches([], ["…"])
    assert matches(["of 9: 8 hold"], ["of 10: 10 hold"], numbers_move=True)
    assert not matches(["of 9: 8 hold"], ["of 10: 10 hold"])
    assert not matches(["of 9: 8 hold"], ["of 9: 8 break"], numbers_move=True)
    assert not matches(["a", "b"], ["a"])
    assert not matches(["a"], ["b"])
    assert not matches(["a", "b"], ["…", "a"])
