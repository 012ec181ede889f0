"""Lesson sheets: nothing of safety is lost on paper, blanks give nothing away, the same input gives the same bytes."""

import base64
import random
import re
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from html.parser import HTMLParser
from pathlib import Path

import pytest

from materia_data.materia import Materia, load
from materia_data.study.document import SHAPES, Line, plain
from materia_data.study.markdown import sheet_markdown
from materia_data.study.page import sheet_page
from materia_data.study.pdf import sheet_pdf
from materia_data.study.selection import SelectionError, select
from materia_data.study.sheet import Sheet, sheet
from tests.little import little
from tests.study.read_back import blocks, missing, owed, pdf_text, rows, squeezed

_SHOWN = 6


@pytest.fixture(scope="module")
def shipped() -> Materia:
    return load()


def section(made: Sheet, id: str) -> tuple[Line, ...]:
    return next((one.lines for one in made.sections if one.id == id), ())


@pytest.mark.parametrize(
    ("asked", "paper"), [("year-warm-cold-phlegm", "a4"), ("year-settle-spirit", "letter"), ("calm-spirit-herbs", "a4")]
)
def test_every_caution_is_read_back_from_paper(asked: str, paper: str, shipped: Materia, tmp_path: Path) -> None:
    """Each caution of each member and of its forms stands beside its state on the printed sheet (pdftotext)."""
    made = sheet(shipped, asked)
    cautions = owed(made.members)
    told = blocks(pdf_text(sheet_pdf(made, paper=paper), tmp_path, "-layout"))
    assert len(cautions) > 30
    assert not missing(told, cautions)
    lost = replace(made, sections=tuple(one for one in made.sections if one.id != "safety"))
    assert len(missing(blocks(pdf_text(sheet_pdf(lost, paper=paper), tmp_path, "-layout")), cautions)) == len(cautions)


def test_no_caution_is_lost_in_any_unit(shipped: Materia, record_property: Callable[[str, object], None]) -> None:
    """So it is with any unit of medicinals, in the lines that all three ways of writing share."""
    units = sorted({row["id"] for row in rows("teaching/units") if not row["id"].startswith("year-f-")})
    taken = random.Random(20261125).sample(units, _SHOWN)
    record_property("sample", f"{_SHOWN} of {len(units)} units")
    for unit in taken:
        made = sheet(shipped, unit, depth="all")
        watch = {
            line.state.replace("-", " ").capitalize(): squeezed(plain(line.runs)) for line in section(made, "safety")
        }
        assert not missing(watch, owed(made.members)), unit


def test_antagonisms_stand_with_the_cautions(shipped: Materia) -> None:
    """Liquorice and seaweed, aconite and pinellia: the eighteen antagonisms (common practice, no source) are on the
    sheet, contraindicated."""
    heavy = next(line for line in section(sheet(shipped, "transform-phlegm-stop-cough"), "safety") if line.state)
    text = plain(heavy.runs)
    assert heavy.state == "contraindicated"
    assert re.search(r"Together with 川乌: [^.]*半夏[^.]*瓜蒌", text) and re.search(
        r"Together with 甘草: [^.]*海藻", text
    )


@pytest.mark.parametrize("asked", ["year-settle-spirit", "year-f-calm-spirit", "toxicity:very-toxic"])
def test_every_page_says_whose_data_and_what_for(asked: str, shipped: Materia, tmp_path: Path) -> None:
    """Release, sign-off and the teaching line stand on each page of the PDF, and in HTML and Markdown."""
    made = sheet(shipped, asked)
    pages = pdf_text(sheet_pdf(made), tmp_path).split("\f")[:-1]
    texts = [*pages, sheet_page(made), sheet_markdown(made)]
    assert len(pages) > 1
    for text in texts:
        said = " ".join(text.split())
        assert made.release in said and "not signed off" in said and made.teaching in said


def test_a_big_category_is_still_a_sheet(shipped: Materia) -> None:
    """Of a hundred and more those taught as core are shown; all others are named with their marks, and the way to
    their cautions."""
    made = sheet(shipped, "clear-heat")
    core = {
        row["subject"]
        for row in rows("teaching/unit_subjects")
        if row["depth"] == "core" and row["unit"][:5] == "year-"
    }
    assert len(made.left_out) > 50 > len(made.members) > 20 and made.depth == "core"
    assert set(made.members) <= core and not set(made.members) & set(made.left_out)
    named = next(one for one in made.sections if one.id == "left-out")
    said = plain(named.lines[0].runs)
    assert "--depth all" in named.note
    called = {row["id"]: row["name_hans"] for row in rows("herbs/herbs")}
    assert all(re.search(rf"[{''.join(SHAPES.values())}]\s{called[one]} ", said) for one in made.left_out)
    assert set(sheet(shipped, "clear-heat", depth="all").members) == set(made.members) | set(made.left_out)


def test_blanks_ask_for_nothing_that_protects(shipped: Materia) -> None:
    """With blanks, safety, doses and mix-ups stand in full; no blank is asked of a toxic medicinal's preparation."""
    full, asked = (sheet(shipped, "year-warm-cold-phlegm", blanks=blanks) for blanks in (False, True))
    for id in ("safety", "mix-ups", "met"):
        assert section(full, id) == section(asked, id)
    doses = [
        [row[-1] for one in made.sections if one.table for group in one.table.groups for row in group.rows]
        for made in (full, asked)
    ]
    assert doses[0] == doses[1] and len(doses[0]) == len(full.members)
    raw = [line for line in section(asked, "forms") if "生半夏" in plain(line.runs)]
    assert raw and not any(run.style == "blank" for line in raw for run in line.runs)
    assert len(asked.answers) > 20 and not full.answers
    coltsfoot = sheet(shipped, "year-stop-cough-calm-wheezing", blanks=True)
    said = "".join(plain(line.runs) for line in section(coltsfoot, "stand-outs"))
    assert "pyrrolizidine alkaloids" in said


def test_blanks_are_numbered_in_reading_order_and_the_key_has_each(shipped: Materia, tmp_path: Path) -> None:
    """The numbers run from 1 down the sheet, and the printed key has every answer by its number."""
    made = sheet(shipped, "year-settle-spirit", blanks=True)
    numbers = [int(found) for found in re.findall(r"\((\d+)\) (?:\\_)+", sheet_markdown(made))]
    assert numbers == [one.number for one in made.answers] == list(range(1, len(numbers) + 1))
    key = squeezed(pdf_text(sheet_pdf(made, key=True, sheet_too=False), tmp_path))
    paper = squeezed(pdf_text(sheet_pdf(made), tmp_path))
    assert all(squeezed(one.text) in key for one in made.answers)
    long = [squeezed(one.text) for one in made.answers if len(one.text) > 25]
    assert long and not any(one in paper for one in long)


def test_a_blank_is_as_wide_for_a_short_answer_as_for_a_long_one(tmp_path: Path) -> None:
    """The size of a blank goes by what is asked for: another answer of another length leaves the sheet as it was."""
    texts = []
    for place, reason in enumerate(("Short.", "A reason that goes on for a good deal longer than the other one does.")):
        root = little(
            tmp_path / str(place), handling=[{"subject": "demo-leaf", "handling": "add-late", "reason": reason}]
        )
        made = sheet(load(root), "demo-unit", blanks=True)
        assert reason[1:-1] in " ".join(one.text for one in made.answers)
        texts.append(sheet_markdown(replace(made, release="one")))
    assert texts[0] == texts[1]


def test_the_same_sheet_has_the_same_bytes(shipped: Materia) -> None:
    """Two PDFs of the same sheet are the same, byte for byte, and tagged PDF/A-2b (ISO 19005-2) by their own word."""
    one, other = (sheet_pdf(sheet(shipped, "year-settle-spirit", blanks=True), key=True) for _ in range(2))
    assert one == other
    assert (b"pdfaid:part>2<" in one and b"/MarkInfo" in one) or b"pdfaid:part" in one


def test_odd_text_prints_as_it_stands(tmp_path: Path) -> None:
    """Mark-up in a cell is text on paper, on the screen and in Markdown; nothing runs, nothing is drawn by it."""
    evil = '#panic() *x* $1$ <script>alert(1)</script> "><img src=x> [a](javascript:b) `c` | \\d @e'
    root = little(
        tmp_path, herbs=[{"id": "demo-leaf", "name_en": evil}], aids=[{"id": "a", "subject": "demo-leaf", "text": evil}]
    )
    made = sheet(load(root), "demo-unit")
    assert squeezed(evil) in squeezed(pdf_text(sheet_pdf(made), tmp_path, "-raw"))
    page = _Page()
    page.feed(sheet_page(made))
    assert squeezed(evil) in squeezed(page.text) and not page.tags & {"script", "img", "a", "iframe", "link"}
    written = sheet_markdown(made)
    assert "<script" not in written and "<img" not in written and "\\[a\\](javascript" in written


def test_the_page_needs_nothing_and_lets_nothing_run(shipped: Materia) -> None:
    """One file: no address is loaded, the policy allows the style that is there and nothing else, and every run of
    characters has its language."""
    html = sheet_page(sheet(shipped, "year-settle-spirit", blanks=True), key=True)
    page = _Page()
    page.feed(html)
    style = re.search(r"<style>(.*?)</style>", html, re.DOTALL)
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', html)
    assert style and policy
    digest = base64.b64encode(sha256(style[1].encode()).digest()).decode()
    assert policy[1] == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    assert not re.search(r"\s(?:src|style|on\w+)=", html) and not page.tags & {"script", "img", "link"}
    assert set(re.findall(r'href="([^"]*)"', html)) <= {f"#{state}" for state in SHAPES}
    assert not page.bare


class _Page(HTMLParser):
    """Tags, text, and characters that stand under no Chinese language."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.text, self.bare = "", ""
        self._langs: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        if tag not in ("meta", "br", "use", "path", "circle"):
            self._langs.append((tag, dict(attrs).get("lang") or (self._langs[-1][1] if self._langs else "")))

    def handle_endtag(self, tag: str) -> None:
        while self._langs and self._langs.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if self._langs and self._langs[-1][0] in ("style", "title"):
            return
        self.text += data
        if not self._langs[-1:] or not self._langs[-1][1].startswith("zh"):
            self.bare += "".join(re.findall("[\u3400-\u9fff]", data))


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("calm-spirit", "Did you mean"),
        ("year-settel-spirit", "Did you mean year-settle-spirit"),
        ("flavor:sweet and toxicity:very-toxic and nature:neutral and flavor:salty", "nothing to hand out"),
        ("flavor:swet", "sweet"),
        ("   ", "no category"),
    ],
)
def test_what_gives_no_sheet_says_why(asked: str, says: str, shipped: Materia) -> None:
    """An unknown unit has the nearest, a pattern its character, an empty selection a sentence."""
    with pytest.raises(SelectionError, match=says):
        select(shipped, asked)


def test_met_before_goes_by_the_course(shipped: Materia) -> None:
    """What was met is taught by an earlier unit of the course asked for, and is of another category."""
    places = {row["id"]: (row["course"], int(row["position"])) for row in rows("teaching/units")}
    herbs = {row["name_hans"]: row for row in rows("herbs/herbs")}
    taught = rows("teaching/unit_subjects")
    for course in ("materia-medica-1", "materia-medica-evening"):
        made = sheet(shipped, "stop-bleeding-herbs", course=course)
        said = plain(section(made, "met")[0].runs)
        names = [name for name in re.findall("[\u3400-\u9fff]+", said) if name in herbs]
        assert names and made.course == course
        for name in names:
            units = [row["unit"] for row in taught if row["subject"] == herbs[name]["id"]]
            first = min(places[unit][1] for unit in units if places[unit][0] == course)
            assert first <= places[made.unit][1] and herbs[name]["category"] != "stop-bleeding-herbs"
