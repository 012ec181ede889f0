"""Monographs are read as CommonMark by another library, the way a reader sees them."""

import re
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from materia_exporters.monographs import export
from materia_exporters.monographs.markdown import file_name, plain

from materia_data import TEACHING, Materia, explain, load
from materia_data.exporting.trial import ODD_TEXTS, odd_package
from tests.exporters.outputs import items_of


@pytest.fixture(scope="module")
def made(shipped: Materia, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shipped data as pages."""
    folder = tmp_path_factory.mktemp("monographs")
    export(shipped, folder, {})
    return folder


def headings(page: Path) -> list[str]:
    """Section names in order."""
    tokens = MarkdownIt("commonmark").parse(page.read_text(encoding="utf-8"))
    return [
        tokens[place + 1].content
        for place, token in enumerate(tokens)
        if token.type == "heading_open" and token.tag == "h2"
    ]


def test_one_page_a_medicinal_and_a_formula_and_every_link_leads_to_one(made: Path, shipped: Materia) -> None:
    """No page is missing, none is left over, no link is broken."""
    tables = shipped.package.tables
    assert {page.stem for page in (made / "medicinals").iterdir()} == set(tables["herbs"].columns["id"])
    assert {page.stem for page in (made / "formulas").iterdir()} == set(tables["formulas"].columns["id"])
    linked = set()
    for page in made.rglob("*.md"):
        for target in re.findall(r"\]\(([^)]*)\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).is_file(), f"{page.name}: {target}"
            linked.add((page.parent / target).resolve())
    assert linked == {page.resolve() for page in made.rglob("*.md") if page.parent != made}


def test_safety_comes_first_and_every_page_ends_with_release_and_teaching_line(made: Path, shipped: Materia) -> None:
    """Nothing charming stands before the cautions, and no page can be torn from its release."""
    for page in made.rglob("*.md"):
        text = page.read_text(encoding="utf-8")
        assert text.rstrip().endswith(TEACHING) and shipped.release_id in text.rstrip().rsplit("\n", 1)[1]
        if page.parent != made:
            assert headings(page)[0] == "Safety first"


def test_what_nobody_checked_is_said_in_words(made: Path, shipped: Materia) -> None:
    """Each page of a subject with an unchecked topic says so, and names the topics."""
    topics = {
        row["id"]: row["name_en"]
        for row in map(shipped.package.tables["topics"].row, range(len(shipped.package.tables["topics"])))
    }
    for herb in shipped.package.tables["herbs"].columns["id"]:
        checked = {dict(fact.qualifiers)["topic"] for fact in shipped.facts.of(herb, "caution")}
        (line,) = [
            item
            for item in items_of(made / "medicinals" / f"{herb}.md", "Safety first")
            if item.startswith("not checked")
        ]
        assert all((f" {name}" in line.split("(nobody")[0]) >= (id not in checked) for id, name in topics.items())
        assert "no finding of safety" in line


def test_each_property_stands_with_its_reason_its_exception_or_a_named_gap(made: Path, shipped: Materia) -> None:
    """As `explain` says it: because, exception, given together, or no reason recorded."""
    begins = {
        "explained": "because: ",
        "excepted": "exception: ",
        "together": "given together",
        "unexplained": "no reason",
    }
    for one in explain(shipped, shipped.package.tables["herbs"].columns["id"]).subjects:
        items = items_of(made / "medicinals" / f"{one.id}.md", "Nature, flavors, channels")
        for item in one.properties:
            place = next(
                n
                for n, text in enumerate(items)
                if re.match(rf"(Nature|Flavor|Channel): {re.escape(item.label)} ", text)
            )
            assert items[place + 1].startswith(begins[item.verdict])
            if item.verdict == "explained":
                assert item.reasons[0].measure in items[place + 1]


def test_the_formula_that_breaks_the_verse_says_that_it_does_so_on_purpose(made: Path) -> None:
    """海藻玉壶汤 holds 海藻 with 甘草, one of the eighteen antagonisms (common practice, no source)."""
    items = items_of(made / "formulas" / "hai-zao-yu-hu-tang.md", "Safety first")
    (line,) = [item for item in items if "海藻" in item and "甘草" in item and " with " in item]
    assert "here on purpose" in line and "no door" in line


def test_odd_texts_print_as_they_are(tmp_path: Path) -> None:
    """Each odd English name is read off its page letter for letter; nothing of it becomes mark-up, HTML or a link."""
    data = load(odd_package(tmp_path / "data"))
    (tmp_path / "out").mkdir()
    export(data, tmp_path / "out", {})
    seen = set()
    for row in map(data.package.tables["herbs"].row, range(len(data.package.tables["herbs"]))):
        tokens = (
            MarkdownIt("commonmark")
            .enable("table")
            .parse((tmp_path / "out/medicinals" / f"{row['id']}.md").read_text(encoding="utf-8"))
        )
        (_, names, *_) = [token for token in tokens if token.type == "inline"]
        assert {child.type for child in names.children or ()} <= {"text", "text_special"}
        assert "".join(child.content for child in names.children or ()).startswith(f"{row['name_en']} · ")
        seen.add(row["name_en"])
    assert seen == set(ODD_TEXTS)


@pytest.mark.parametrize(
    "text", [*ODD_TEXTS, "a\u202eb", "1. one", "# one", "> one", "```", "&lt;", "\\<b>", "*", "__init__"]
)
def test_escaped_text_reads_back_as_itself_in_a_table_cell(text: str) -> None:
    """CommonMark with tables; characters that turn or hide text are spelt out."""
    shown = text.replace("\u202e", "U+202E")
    tokens = MarkdownIt("commonmark").enable("table").parse(f"| x |\n| --- |\n| {plain(text)} |\n")
    cell = [token for token in tokens if token.type == "inline"][1]
    assert "".join(child.content for child in cell.children or ()) == shown
    assert {child.type for child in cell.children or ()} <= {"text", "text_special"}


@pytest.mark.parametrize("id", ["../../up", ".hidden", "a/b", "a\\b", "..", "ban-xia.sheng", "半夏", "a..b"])
def test_no_id_leads_out_of_the_folder(id: str) -> None:
    """A package with broken ids writes strange names, and inside."""
    name = file_name(id)
    assert re.fullmatch(r"[a-z0-9_][a-z0-9._-]*\.md", name) and ".." not in name
    assert (name == f"{id}.md") == (id == "ban-xia.sheng")
