"""Building the reference site again: what is rendered, what is taken from before, what a host is given."""

import json
import os
import random
import re
import shutil
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
import rdflib
from materia_exporters.site.export import write_site
from materia_exporters.site.lay import Laid

from materia_data import load, schema_root, table_schemas
from materia_data.exporting.trial import small_package
from tests.little import little

DEEP = bool(os.environ.get("MATERIA_DEEP"))
_SAMPLE = 7


def laid(package: Path, out: Path, **options: str) -> Laid:
    """Build the site of the package into an empty folder."""
    shutil.rmtree(out, ignore_errors=True)
    out.mkdir(parents=True)
    return write_site(load(package), out, options)


def files(folder: Path) -> dict[str, bytes]:
    """Every file of the folder."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def edit(package: Path, table: str, key: str, column: str, text: str) -> None:
    """Set the cell of the row whose first cell is the key."""
    import csv

    path = package / table_schemas()[table].path
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    row = next(row for row in rows[1:] if row[0] == key)
    assert row[rows[0].index(column)] != text
    row[rows[0].index(column)] = text
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)


@pytest.fixture(scope="module")
def package(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small package, not to be changed."""
    return small_package(tmp_path_factory.mktemp("build") / "data")


@pytest.fixture
def fresh(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nothing is kept from before."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def test_a_cell_renders_only_the_pages_that_show_it(fresh: None, package: Path, tmp_path: Path) -> None:
    """All pages the first time, none the second; after an edit of one prose cell the one page that shows it; and the
    bytes are those of a build that kept nothing."""
    data = Path(shutil.copytree(package, tmp_path / "data"))
    first = laid(data, tmp_path / "one")
    assert first.rendered == first.pages and len(first.pages) > 40
    again = laid(data, tmp_path / "two")
    assert again.rendered == () and again.pages == first.pages
    assert files(tmp_path / "one") == files(tmp_path / "two")
    edit(data, "cautions", "ban-xia", "detail", "Reworded for a test.")
    assert laid(data, tmp_path / "three").rendered == ("medicinals/ban-xia.html",)
    assert "Reworded for a test." in (tmp_path / "three/medicinals/ban-xia.html").read_text(encoding="utf-8")
    before, after = files(tmp_path / "one"), files(tmp_path / "three")
    release = re.compile(rb"\d+\.\d+\.\d+\+[0-9a-f]{8}|release\.[0-9a-f]{10}\.css")
    changed = {path for path in after if release.sub(b"", after[path]) != release.sub(b"", before.get(path, b""))}
    assert {path for path in changed if not path.startswith(("css/", "js/"))} == {
        f"medicinals/ban-xia{ending}" for ending in (".html", ".md", ".jsonld")
    } - {path for path in ("medicinals/ban-xia.jsonld",) if path not in changed}


def test_whatever_cell_changes_the_site_is_that_of_a_fresh_build(
    fresh: None,
    package: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    record_property: Callable[[str, object], None],
) -> None:
    """Seeded edits of cells of every kind of column: built on what was kept and on nothing, the bytes are the same."""
    data = Path(shutil.copytree(package, tmp_path / "data"))
    tables = load(data).package.tables
    cells = [
        (name, row, field.name)
        for name, schema in table_schemas().items()
        for field in schema.fields
        for row in range(len(tables[name]))
        if field.name not in schema.key and tables[name].columns[field.name][row] and not field.refers
    ]
    draw = random.Random(20261125)
    common = [cell for cell in cells if not table_schemas()[cell[0]].path.startswith("terms/")]
    chosen = cells if DEEP else [*draw.sample(common, _SAMPLE), draw.choice(cells)]
    record_property("sample", f"{len(chosen)} of {len(cells)} cells, each edited and the site built twice")
    kept, none = tmp_path / "kept", tmp_path / "none"
    monkeypatch.setenv("XDG_CACHE_HOME", str(kept))
    laid(data, tmp_path / "out")
    for name, row, column in chosen:
        was = (data / table_schemas()[name].path).read_bytes()
        _set(data, name, row, column)
        monkeypatch.setenv("XDG_CACHE_HOME", str(kept))
        laid(data, tmp_path / "out")
        monkeypatch.setenv("XDG_CACHE_HOME", str(none))
        shutil.rmtree(none, ignore_errors=True)
        laid(data, tmp_path / "anew")
        assert files(tmp_path / "out") == files(tmp_path / "anew"), (name, row, column)
        (data / table_schemas()[name].path).write_bytes(was)


def _set(package: Path, name: str, row: int, column: str) -> None:
    """Change a cell to another valid value, or lengthen its text."""
    import csv

    field = table_schemas()[name].by_name[column]
    path = package / table_schemas()[name].path
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    at = rows[0].index(column)
    text = rows[row + 1][at]
    others = [value for value in field.enum if value != text]
    number = field.type in ("number", "integer")
    rows[row + 1][at] = others[0] if others else f"{text}1" if number else f"{text} 改" if not field.pattern else ""
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)


def test_what_was_kept_and_is_spoilt_is_made_anew(fresh: None, package: Path, tmp_path: Path) -> None:
    """A store cut short or full of rubbish costs time, not truth."""
    laid(package, tmp_path / "one")
    (store,) = (tmp_path / "cache" / "materia-data").glob("site-*.sqlite")
    store.write_bytes(b"rubbish" * 1000)
    assert laid(package, tmp_path / "two").rendered
    assert files(tmp_path / "one") == files(tmp_path / "two")


def test_a_store_that_others_can_write_is_passed_over(fresh: None, package: Path, tmp_path: Path) -> None:
    """What somebody else may have put there is not read."""
    laid(package, tmp_path / "one")
    (store,) = (tmp_path / "cache" / "materia-data").glob("site-*.sqlite")
    store.chmod(0o666)
    assert laid(package, tmp_path / "two").rendered


def test_assets_are_named_for_their_content(small_site: Path) -> None:
    """Styles and scripts that a page names carry a digest, so that a host may keep them for ever."""
    page = (small_site / "index.html").read_text(encoding="utf-8")
    named = re.findall(r'(?:href|src)="((?:css|js)/[^"]+)"', page)
    assert len(named) >= 3
    for path in named:
        assert re.fullmatch(r"(css|js)/[a-z]+\.[0-9a-f]{10}\.(css|js)", path)
        assert (small_site / path).is_file()
    assert not any("\ufdd0" in text.decode("utf-8", "replace") for text in files(small_site).values())


def test_a_page_stands_beside_its_linked_data_and_markdown(small_site: Path) -> None:
    """Each medicinal, formula, category and group links both; the linked data parse (JSON-LD 1.1, by rdflib) and name
    the cautions; the Markdown puts safety first and ends with the teaching line."""
    for folder in ("medicinals", "formulas", "categories"):
        for page in sorted((small_site / folder).glob("*.html")):
            text = page.read_text(encoding="utf-8")
            if page.stem.endswith("-apart") or "is no longer used" in text:
                continue
            for ending, kind in ((".md", "text/markdown"), (".jsonld", "application/ld+json")):
                assert page.with_suffix(ending).is_file(), page
                assert f'rel="alternate" type="{kind}" href="../{folder}/{page.stem}{ending}"' in text
    written = (small_site / "medicinals/ban-xia.md").read_text(encoding="utf-8")
    assert written.index("## Safety first") < written.index("## Nature and reasons")
    assert written.rstrip().endswith("licensed practice decide.")
    document = json.loads((small_site / "medicinals/ban-xia.jsonld").read_text(encoding="utf-8"))
    context = json.loads((schema_root() / "context.jsonld").read_text(encoding="utf-8"))["@context"]
    inlined = json.dumps({"@context": [context, document["@context"][1]], "@graph": document["@graph"]})
    graph = rdflib.Graph().parse(
        data=inlined, format="json-ld", publicID="https://school.example/medicinals/ban-xia.jsonld"
    )
    herb = rdflib.URIRef("https://school.example/herbs/ban-xia")
    effective = set(graph.objects(herb, rdflib.URIRef("https://materia-data.example/ns#effectiveCaution")))
    assert effective == {
        rdflib.URIRef(f"https://school.example/cautions/{','.join(fact)}")
        for fact in {
            (one.subject, dict(one.qualifiers)["topic"], dict(one.qualifiers).get("target", ""))
            for one in load().facts.of("ban-xia", "caution")
        }
    }


def test_a_map_and_a_folder_a_release(fresh: None, tmp_path: Path) -> None:
    """With an address there is a map of all pages (sitemaps.org 0.9); with releases a folder of this one and `latest`,
    the same, and a page that leads there."""
    data = little(tmp_path / "data")
    made = laid(data, tmp_path / "site", site_url="https://school.example/mm", releases="yes")
    release = load(data).release_id.replace("+", "-")
    assert files(tmp_path / "site" / release) == files(tmp_path / "site" / "latest")
    assert "latest/index.html" in (tmp_path / "site/index.html").read_text(encoding="utf-8")
    tree = ElementTree.parse(tmp_path / "site/sitemap.xml").getroot()
    found = [element.text for element in tree.iter("{http://www.sitemaps.org/schemas/sitemap/0.9}loc")]
    assert found == [f"https://school.example/mm/latest/{path}" for path in made.pages]


def test_a_retired_id_leads_to_what_took_its_place(fresh: None, tmp_path: Path) -> None:
    """The old address opens a page that says why, and goes on to the new one."""
    gone: list[Mapping[str, Any]] = [
        {
            "id": "demo-old",
            "kind": "herbs",
            "replaced_by": "demo-root",
            "on_date": "2026-01-01",
            "reason": "Told apart <b>",
        },
        {"id": "demo-gone", "kind": "formulas", "replaced_by": "", "on_date": "2026-01-01", "reason": "A slip."},
    ]
    laid(little(tmp_path / "data", retired=gone), tmp_path / "site")
    page = (tmp_path / "site/medicinals/demo-old.html").read_text(encoding="utf-8")
    assert 'content="3; url=../medicinals/demo-root.html"' in page and "Told apart &lt;b&gt;" in page
    assert "Nothing has taken its place" in (tmp_path / "site/formulas/demo-gone.html").read_text(encoding="utf-8")


def test_a_correction_names_table_line_and_column(small_site: Path) -> None:
    """With an address each row of the page has a link that names the cell; its line is the one in the file."""
    page = (small_site / "medicinals/ban-xia.html").read_text(encoding="utf-8")
    line = re.search(r"of=herbs%2Fherbs\.csv&amp;line=(\d+)&amp;column=nature", page)
    assert line


def test_without_an_address_a_correction_says_what_to_name(fresh: None, tmp_path: Path) -> None:
    """No link is invented."""
    laid(little(tmp_path / "data"), tmp_path / "site")
    page = (tmp_path / "site/medicinals/demo-root.html").read_text(encoding="utf-8")
    assert "which table, line and column is wrong" in page and "not released yet" in page


def test_what_changed_since_the_release_before(fresh: None, tmp_path: Path) -> None:
    """Compared with the data released before, the page of changes and the page of the medicinal say what is new; a page
    that did not change says since when; without one, that none is known."""
    old = little(tmp_path / "old")
    new = little(
        tmp_path / "new", cautions=[{"subject": "demo-root", "topic": "pregnancy", "target": "", "state": "avoid"}]
    )
    laid(new, tmp_path / "site", previous=str(old))
    page = (tmp_path / "site/changes.html").read_text(encoding="utf-8")
    assert load(old).release_id in page and "Safety" in page
    assert "Last changed: in this release" in (tmp_path / "site/medicinals/demo-root.html").read_text(encoding="utf-8")
    assert "before this release" in (tmp_path / "site/medicinals/demo-leaf.html").read_text(encoding="utf-8")
    laid(new, tmp_path / "site")
    assert "None are known" in (tmp_path / "site/changes.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "options",
    [
        {"site_ur": "https://school.example"},
        {"site_url": "school.example"},
        {"corrections": "javascript:alert(1)"},
        {"corrections": 'https://school.example/"onclick'},
        {"releases": "maybe"},
        {"previous": "/no/such/folder"},
    ],
)
def test_an_option_that_cannot_be_is_refused(options: dict[str, str], package: Path, tmp_path: Path) -> None:
    """Nothing is written for an option that is not known or says what it cannot."""
    with pytest.raises(ValueError, match="option"):
        write_site(load(package), tmp_path, options)
    assert list(tmp_path.iterdir()) == []
