"""The reference site as files: complete, escaped, linked, offline, the same twice."""

import os
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from materia_exporters.site import export

from materia_data import Materia, load, table_schemas
from materia_data.testing import Caution, exporter_keeps_contract
from tests.little import little, write_table

ODD = "<script>alert(1)</script> | \"quoted\" 'single' & {{ 7*7 }} {% raw %} [x](javascript:alert(1)) *b* 半夏"
HAN = re.compile("[\u3400-\u9fff\uf900-\ufaff\U00020000-\U0003ffff]")
TEACHING = "For teaching; local law, the current pharmacopoeia and licensed practice decide."
WORDS = {"none-stated": "none stated"}


class Seen(HTMLParser):
    """What a page holds: elements with attributes, ids, text, and the text that has characters and no language."""

    def __init__(self, page: Path) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.ids: set[str] = set()
        self.text = ""
        self.unlabelled: list[str] = []
        self._langs: list[tuple[str, str]] = []
        self.feed(page.read_text(encoding="utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        held = {key: value or "" for key, value in attrs}
        self.elements.append((tag, held))
        if "id" in held:
            self.ids.add(held["id"])
        if tag not in ("meta", "link", "input", "br", "use", "path"):
            self._langs.append((tag, held.get("lang", self._langs[-1][1] if self._langs else "")))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {key: value or "" for key, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        while self._langs and self._langs.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        self.text += data
        tag, lang = self._langs[-1] if self._langs else ("", "")
        if HAN.search(data) and tag != "title" and not lang.startswith(("zh", "ja")):
            self.unlabelled.append(data)


class Watched(HTMLParser):
    """The items under Safety first, as (state, topic and target, forms they are of, forms that they leave out)."""

    def __init__(self, page: Path) -> None:
        super().__init__()
        self.items: list[tuple[str, str, list[str], list[str]]] = []
        self._path: list[tuple[str, str]] = []
        self._state = ""
        self._bold: str | None = None
        self.feed(page.read_text(encoding="utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        held = {key: value or "" for key, value in attrs}
        if tag in ("use", "path", "meta", "link", "input", "br"):
            return
        self._path.append((tag, held.get("class", "")))
        if not self._inside("watch"):
            return
        if tag == "p" and held.get("class") == "state":
            self._state = ""
        if tag == "li" and self._inside("what"):
            self._bold = ""
            self.items.append((self._state, "unsure" if held.get("class") == "unsure" else "", [], []))
        if tag == "a" and self._inside("what") and "medicinals/" in held.get("href", ""):
            self.items[-1][3 if self._inside("but") else 2].append(unquote(held["href"].rpartition("#")[2]))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        pass

    def handle_endtag(self, tag: str) -> None:
        if tag == "b" and self._bold is not None and self._inside("what"):
            state, topic, of, but = self.items[-1]
            self.items[-1] = (state.lower().replace(" ", "-"), topic or self._bold.rstrip("."), of, but)
            self._bold = None
        while self._path and self._path.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if self._inside("state") and self._inside("watch"):
            self._state += data.strip()
        if self._bold is not None and self._path[-1][0] == "b":
            self._bold += data

    def _inside(self, name: str) -> bool:
        return any(name in held.split() for _, held in self._path)


def cautions_in_site(out: Path) -> Iterator[Caution]:
    """Read from Safety first of each medicinal and formula, words turned back into ids by the shipped tables."""
    tables = load().package.tables
    ids = {
        name: {row["name_en"]: row["id"] for row in map(tables[name].row, range(len(tables[name])))}
        for name in ("topics", "targets")
    }
    topics = {name[:1].upper() + name[1:]: id for name, id in ids["topics"].items()}
    herb_of = dict(zip(tables["forms"].columns["id"], tables["forms"].columns["herb"], strict=True))
    for page in sorted([*out.glob("medicinals/*.html"), *out.glob("formulas/*.html")]):
        present = Seen(page).ids
        forms = [form for form, herb in herb_of.items() if herb == page.stem and form in present]
        for state, about, of, but in Watched(page).items:
            topic, _, target = about.partition(", ")
            if topic in topics and (page.parent.name == "medicinals" or not of):
                for subject in of or [page.stem, *(form for form in forms if form not in but)]:
                    yield Caution(subject, topics[topic], ids["targets"][target] if target else "", state)


def built(package: Path | None, out: Path) -> Materia:
    materia = load(package)
    out.mkdir(parents=True, exist_ok=True)
    export(materia, out, {})
    return materia


@pytest.fixture(scope="module")
def whole(shipped: Materia, whole_site: Path) -> tuple[Materia, Path]:
    """The data as shipped, and its site."""
    return shipped, whole_site


@pytest.fixture(scope="module")
def seen(whole: tuple[Materia, Path]) -> dict[str, Seen]:
    """Every page of the shipped site, read."""
    out = whole[1]
    return {page.relative_to(out).as_posix(): Seen(page) for page in sorted(out.rglob("*.html"))}


@pytest.fixture(scope="module")
def odd(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site of a package whose texts try to become markup."""
    folder = tmp_path_factory.mktemp("odd")
    package = little(
        folder / "package",
        herbs=[{"id": "demo-root", "name_hans": "半<b>夏", "name_en": ODD, "note": ODD, "latin": ODD}],
        forms=[{"id": "demo-root.zhi", "changes": ODD, "reason": ODD, "name_en": ODD}],
        names=[{"subject": "demo-root", "name": ODD, "lang": "en", "kind": "trade"}],
        cautions=[{"subject": "demo-root", "topic": "pregnancy", "target": "", "detail": ODD, "reason": ODD}],
        confusions=[{"a": "demo-root", "b": "demo-seed", "kind": "name", "harm": ODD, "tell_apart": ODD}],
        doses=[
            {
                "subject": "demo-root.zhi",
                "route": "decoction",
                "per": "day",
                "population": "adult",
                "purpose": "",
                "note": ODD,
            }
        ],
        categories=[{"id": "clear-heat", "name_en": ODD, "definition": ODD, "strategy": ODD}],
        sources=[{"id": "demo-book", "title": ODD, "note": ODD, "superseded_by": "demo-standard"}],
        formulas=[{"id": "demo-tang", "name_en": ODD, "note": ODD}],
        formula_items=[{"formula": "demo-tang", "position": "1", "reason": ODD, "as_written": ODD}],
        aids=[{"id": "demo-leaf-aid", "text": ODD}],
    )
    built(package, folder / "site")
    return folder / "site"


def test_the_site_keeps_the_contract_of_exporters(tmp_path: Path) -> None:
    """Run by name in processes of its own, twice; each effective caution of each subject stands there, and no other."""
    exporter_keeps_contract("site", tmp_path, read_back=cautions_in_site)


def test_every_subject_and_category_has_a_place(whole: tuple[Materia, Path], seen: dict[str, Seen]) -> None:
    """Each medicinal, formula and category has a page, and each form its place on its medicinal's."""
    materia, _ = whole
    tables = materia.package.tables
    for herb in tables["herbs"].columns["id"]:
        assert f"medicinals/{herb}.html" in seen
    for form, herb in zip(tables["forms"].columns["id"], tables["forms"].columns["herb"], strict=True):
        assert form in seen[f"medicinals/{herb}.html"].ids
    for formula in tables["formulas"].columns["id"]:
        assert f"formulas/{formula}.html" in seen
    for category in tables["categories"].columns["id"]:
        assert f"categories/{category}.html" in seen


def test_every_effective_caution_is_printed(whole: tuple[Materia, Path], seen: dict[str, Seen]) -> None:
    """Each caution of a medicinal, its forms or a formula stands on its page: topic, detail, the word of its state."""
    materia, _ = whole
    facts = materia.facts
    cautions = materia.package.tables["cautions"]
    topics = dict(
        zip(
            materia.package.tables["topics"].columns["id"],
            materia.package.tables["topics"].columns["name_en"],
            strict=True,
        )
    )
    details = dict(zip(cautions.lines, cautions.columns["detail"], strict=True))
    checked = 0
    for subject in facts.subjects:
        folder = "formulas" if facts.kind(subject) == "formulas" else "medicinals"
        text = seen[f"{folder}/{facts.herb_of(subject)}.html"].text
        watch = text[
            text.index("Safety first") : text.index("Nobody has looked") if "Nobody has looked" in text else None
        ].lower()
        for fact in facts.of(subject, "caution"):
            assert WORDS.get(fact.value, fact.value) in watch, (subject, fact)
            assert topics[dict(fact.qualifiers)["topic"]].lower() in watch, (subject, fact)
            assert details[fact.line].lower() in watch, (subject, fact)
            checked += 1
    assert checked > 900


def test_what_nobody_checked_is_said(seen: dict[str, Seen]) -> None:
    """A medicinal without a word on driving says that driving was not checked."""
    text = seen["medicinals/ban-xia.html"].text
    assert "driving and machines" in text[text.index("Not checked") :].lower()


def test_every_page_ends_with_key_release_and_teaching_line(whole: tuple[Materia, Path], seen: dict[str, Seen]) -> None:
    """Key of marks, line grammar, release id, the teaching line and the superseded standard close every page."""
    for path, page in seen.items():
        foot = page.text[page.text.rindex("Superseded") - 400 :]
        assert whole[0].release_id in foot, path
        assert TEACHING in foot, path
        for word in (
            "contraindicated",
            "avoid",
            "caution",
            "none stated",
            "not checked",
            "an exception, or on purpose",
            "chp-2020-1",
        ):
            assert word in foot, (path, word)


def test_every_run_of_characters_has_its_language(seen: dict[str, Seen]) -> None:
    """No Chinese character stands outside of a `lang`, and none hides in an attribute that is read aloud."""
    for path, page in seen.items():
        assert page.unlabelled == [], path
        for tag, held in page.elements:
            for key in ("aria-label", "alt", "title", "placeholder", "data-k"):
                assert not HAN.search(held.get(key, "")), (path, tag, held)


def test_every_link_resolves_inside_the_site(whole: tuple[Materia, Path], seen: dict[str, Seen]) -> None:
    """Links are relative, need no network, and their pages and places exist."""
    _, out = whole
    for path, page in seen.items():
        for tag, held in page.elements:
            for key in ("href", "src", "action"):
                if key not in held or tag == "use":
                    continue
                to = urlsplit(held[key])
                assert not to.scheme and not to.netloc and not to.path.startswith("/"), (path, held[key])
                target = os.path.normpath((Path(path).parent / unquote(to.path)).as_posix()) if to.path else path
                assert (out / target).is_file(), (path, held[key])
                if to.fragment:
                    assert unquote(to.fragment) in seen[Path(target).as_posix()].ids, (path, held[key])


def test_ids_are_unique(whole: tuple[Materia, Path], seen: dict[str, Seen]) -> None:
    """No id stands twice on a page."""
    for path, page in seen.items():
        ids = [held["id"] for _, held in page.elements if "id" in held]
        assert len(ids) == len(set(ids)), path


def test_nothing_runs_or_styles_inline(seen: dict[str, Seen], odd: Path) -> None:
    """Each page has the strict policy; no inline script, handler or style, in shipped and in hostile data."""
    hostile = {str(page): Seen(page) for page in sorted(odd.rglob("*.html"))}
    for path, page in {**seen, **hostile}.items():
        policies = [
            held["content"] for tag, held in page.elements if held.get("http-equiv") == "Content-Security-Policy"
        ]
        assert policies and "default-src 'none'" in policies[0] and "unsafe" not in policies[0], path
        for tag, held in page.elements:
            assert tag not in ("style", "iframe", "object", "embed", "img", "base"), (path, tag)
            assert tag != "script" or set(held) == {"defer", "src"}, (path, held)
            assert tag != "script" or re.search(r"js/[a-z]+\.[0-9a-f]{10}\.js$", held["src"]), (path, held)
            assert not any(key == "style" or key.startswith("on") for key in held), (path, held)
            assert not any("javascript:" in held.get(key, "") for key in ("href", "src", "action")), (path, held)


def test_hostile_text_prints_as_it_stands(odd: Path) -> None:
    """What looks like markup, template or link in the data is text on the page."""
    page = Seen(odd / "medicinals" / "demo-root.html")
    assert page.text.count("<script>alert(1)</script>") >= 8
    assert "{{ 7*7 }}" in page.text and "49" not in page.text.replace("1764028800", "")
    assert "[x](javascript:alert(1))" in page.text
    assert "半<b>夏" in page.text
    assert "<script>alert(1)</script>" in Seen(odd / "categories" / "clear-heat.html").text
    assert "<script>alert(1)</script>" in Seen(odd / "formulas" / "demo-tang.html").text
    assert "<script>alert(1)</script>" in Seen(odd / "sources.html").text


def test_an_empty_package_still_gives_pages(tmp_path: Path) -> None:
    """Tables without a row give the pages that need none, and say that nothing is recorded."""
    for schema in table_schemas().values():
        write_table(tmp_path / "package" / schema.path, schema, [])
    built(tmp_path / "package", tmp_path / "site")
    assert "0 medicinals" in Seen(tmp_path / "site" / "index.html").text
    assert "No rule is recorded" in Seen(tmp_path / "site" / "rules.html").text


def test_same_data_same_bytes(tmp_path: Path) -> None:
    """Built twice, from two folders, the site is the same byte for byte, and names no day."""
    sites = []
    for name in ("one", "two"):
        built(little(tmp_path / name / "package"), tmp_path / name / "site")
        sites.append(dict(_files(tmp_path / name / "site")))
    assert sites[0] == sites[1]
    assert not {"sitemap.xml", "sitemap.xml.gz"} & set(sites[0])


def test_a_rule_is_the_reason_with_its_measure(tmp_path: Path) -> None:
    """A rule that holds is the reason of what it explains; what none explains says that no reason is recorded."""
    rule = """
[[rule]]
id = "warm-is-for-the-interior"
title = "Hot medicinals warm the interior"
over = ["herbs"]
when = "action:warm-interior"
expect = "nature:warm.."
strength = "tends"
safety = false
explains = "nature:warm.."
because = "Only warmth drives out cold."
basis = "common-practice"
holds = ["action:warm-interior and nature:hot"]
breaks = ["action:warm-interior and nature:cold"]
"""
    common = {"category": "warm-interior", "status": "current", "basis": "common-practice"}
    named = {"name_hans": "示", "name_hant": "示", "pinyin": "shì", "name_en": "demo"}
    natures = {"demo-a": "warm", "demo-b": "hot", "demo-c": "warm", "demo-d": "cold"}
    herbs = [{"id": id, "nature": nature, **common, **named} for id, nature in natures.items()]
    action = {"action": "warm-interior", "site": "", "cause": "", "polarity": "does", "basis": "common-practice"}
    actions = [{"subject": id, **action} for id in natures]
    package = little(tmp_path / "package", rules={"warmth.toml": rule}, herbs=herbs, herb_actions=actions)
    built(package, tmp_path / "site")
    text = " ".join(Seen(tmp_path / "site" / "medicinals" / "demo-a.html").text.split())
    assert "because Only warmth drives out cold." in text
    assert "of 5: 4 hold, 1 contradicted" in text
    assert "no reason recorded" in Seen(tmp_path / "site" / "medicinals" / "demo-d.html").text


def test_a_large_category_leads_to_a_page_for_each_group(whole: tuple[Materia, Path], seen: dict[str, Seen]) -> None:
    """Of a category of a hundred, each member stands on the page of its group, and the category links to the group."""
    tables = whole[0].package.tables
    herbs = tables["herbs"]
    rows = [herbs.row(i) for i in range(len(herbs))]
    mine = [row for row in rows if row["category"] == "clear-heat"]
    assert len(mine) > 90
    links = {held.get("href") for tag, held in seen["categories/clear-heat.html"].elements if tag == "a"}
    groups = {row["subgroup"] for row in mine} - {""}
    assert len(groups) == 5
    for group in groups:
        assert f"../groups/{group}.html" in links
        inside = {held.get("href") for tag, held in seen[f"groups/{group}.html"].elements if tag == "a"}
        assert {f"../medicinals/{row['id']}.html" for row in mine if row["subgroup"] == group} <= inside


def test_what_is_very_toxic_stands_on_the_list_of_dangers(seen: dict[str, Seen]) -> None:
    """Aconite, nux vomica, arsenic and cantharides are very toxic (common practice, no source)."""
    text = seen["toxic.html"].text
    very = text[text.index("Very toxic") : text.index("Slightly toxic")]
    for name in ("川乌", "马钱子", "砒石", "斑蝥"):
        assert name in very, name


def test_a_value_read_in_a_copy_does_not_pass_for_read_in_the_source(seen: dict[str, Seen]) -> None:
    """Where a citation names a secondary copy, the page says so, and the page of sources says what that is."""
    text = " ".join(seen["medicinals/bai-guo.html"].text.split())
    assert "read in a copy" in text
    assert "a copyist's slip would stand here too" in " ".join(seen["sources.html"].text.split())
    assert not any("secondary copy" in page.text for page in seen.values())


def test_an_antagonism_in_a_formula_stands_first_with_its_exception(seen: dict[str, Seen]) -> None:
    """Sargassum with licorice is one of the eighteen antagonisms (common practice, no source): said first."""
    text = " ".join(seen["formulas/hai-zao-yu-hu-tang.html"].text.split())
    watch = text[text.index("Safety first") :]
    assert watch.startswith("Safety first Contraindicated Antagonism 海藻 hǎi zǎo, 甘草 gān cǎo")
    assert "exception" in text and "It opens no door for other recipes." in text


def _files(folder: Path) -> Iterator[tuple[str, bytes]]:
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            yield path.relative_to(folder).as_posix(), path.read_bytes()
