"""Each kind of page in a browser: accessible, narrow, printed, quiet, whole; on the site of a small package."""

import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from materia_data import Materia

AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
KINDS = (
    "index.html",
    "medicinals.html",
    "lists/medicinals-b.html",
    "lists/formulas-a.html",
    "across.html",
    "across/clear-heat.html",
    "dangers.html",
    "toxic.html",
    "pregnancy.html",
    "controlled.html",
    "antagonisms.html",
    "antagonisms-listed.html",
    "rules.html",
    "rules/pregnancy.html",
    "sources.html",
    "about.html",
    "changes.html",
    "medicinals/ban-xia.html",
    "formulas/gan-sui-ban-xia-tang.html",
    "categories/transform-phlegm-stop-cough.html",
    "categories/f-dispel-phlegm.html",
)
BUDGET = 87_500  # bytes of a page: with 30 kB of styles and the one script that every page loads, below 120 kB


@pytest.fixture(scope="module")
def kinds(small_site: Path) -> list[Path]:
    """A page of each kind; of an action that reaches across, whichever the small package has."""
    found = [small_site / kind for kind in KINDS if (small_site / kind).is_file()]
    found += sorted((small_site / "across").glob("*.html"))[:1]
    assert len(found) >= len(KINDS) - 1, [kind for kind in KINDS if not (small_site / kind).is_file()]
    return found


@pytest.fixture(scope="module")
def context(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context(bypass_csp=True, reduced_motion="reduce")
    yield made
    made.close()


def test_axe_finds_nothing(context: BrowserContext, kinds: list[Path]) -> None:
    """WCAG 2.2 A and AA and axe's best practice, on a page of each kind, in light and dark (axe-core 4.12)."""
    page = context.new_page()
    for path in kinds:
        page.goto(path.as_uri())
        page.evaluate(AXE)
        for scheme in ("light", "dark") if path.parent.name == "medicinals" else ("light",):
            page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            asked = {"runOnly": WCAG, "resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}
            found = page.evaluate("asked => axe.run(document, asked)", asked)["violations"]
            assert [(one["id"], [node["html"][:200] for node in one["nodes"][:3]]) for one in found] == [], path
    page.close()


@pytest.mark.parametrize("face", ["", "DejaVu Sans"])
def test_nothing_runs_over_at_320_pixels(context: BrowserContext, kinds: list[Path], face: str) -> None:
    """At 320 CSS pixels, a page at 400 % zoom (WCAG 2.2, 1.4.10), nothing scrolls sideways, with large type neither; a
    wider font, which a reader may have instead, changes nothing."""
    page = context.new_page()
    page.set_viewport_size({"width": 320, "height": 640})
    for path in kinds:
        page.goto(path.as_uri())
        if face:
            page.add_style_tag(content=f':root{{--face:"{face}",sans-serif!important}}')
        for large in (False, True):
            page.set_checked("#large", large)
            over = page.evaluate(
                "[...document.querySelectorAll('main *')].filter(e=>e.getBoundingClientRect().right>320.5"
                "&&!e.closest('.wide')).slice(0,3).map(e=>e.outerHTML.slice(0,120))"
            )
            assert page.evaluate("document.documentElement.scrollWidth") == 320, (path, large, over)
    page.set_checked("#large", False)
    page.close()


def test_every_caution_of_a_page_is_on_its_paper(
    browser: Browser, small: Materia, small_site: Path, tmp_path: Path
) -> None:
    """Printed to PDF on A4 and Letter and read back (poppler), the page has each state with each topic and detail."""
    if not shutil.which("pdftotext"):
        pytest.fail("This test needs pdftotext. On Debian: apt-get install poppler-utils", pytrace=False)
    page = browser.new_page()
    facts, table = small.facts, small.package.tables["cautions"]
    detail = dict(zip(table.lines, table.columns["detail"], strict=True))
    for subject, size in (("ban-xia", "A4"), ("zhu-sha", "Letter"), ("an-gong-niu-huang-wan", "A4")):
        folder = "formulas" if facts.kind(subject) == "formulas" else "medicinals"
        page.goto((small_site / folder / f"{subject}.html").as_uri())
        page.pdf(path=tmp_path / "page.pdf", format=size)
        read = subprocess.run(["pdftotext", "-raw", tmp_path / "page.pdf", "-"], capture_output=True, check=True)
        named = f"{re.escape(small.release_id)}, not signed off"
        foot = re.compile(rf"\d+ / \d+\s*{named} ·\s*For teaching;.*?decide\.", re.DOTALL)
        printed = foot.sub("", read.stdout.decode())
        assert len(foot.findall(read.stdout.decode())) == read.stdout.decode().count("\f")
        letters = re.sub(r"\W", "", printed)
        told = facts.of(subject, "caution")
        assert told
        for fact in told:
            assert fact.value.replace("-", "").lower() in letters.lower(), (subject, fact)
            assert re.sub(r"\W", "", detail[fact.line]) in letters, (subject, detail[fact.line])
    page.close()


def test_nothing_leaves_the_page_and_nothing_complains(browser: Browser, kinds: list[Path]) -> None:
    """Under its own policy no kind of page asks for anything beyond its folder or writes an error to the console."""
    context = browser.new_context()
    page = context.new_page()
    wrong: list[str] = []
    page.on("console", lambda message: wrong.append(message.text) if message.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("request", lambda request: None if request.url.startswith("file://") else wrong.append(request.url))
    for path in kinds:
        page.goto(path.as_uri())
        assert wrong == [], path
    context.close()


def test_pictures_survive_forced_colours_and_stand_beside_a_table(browser: Browser, small_site: Path) -> None:
    """Each picture is an image with a sentence, beside a table; in forced colours its ink is that of text."""
    context = browser.new_context(forced_colors="active")
    page: Page = context.new_page()
    for kind in ("index.html", "medicinals/ban-xia.html", "categories/transform-phlegm-stop-cough.html"):
        page.goto((small_site / kind).as_uri())
        pictures = page.locator("svg.pic")
        assert pictures.count() >= 1, kind
        assert page.locator("main table").count() >= 1
        for i in range(pictures.count()):
            picture = pictures.nth(i)
            assert picture.get_attribute("role") == "img" and len(picture.get_attribute("aria-label") or "") > 20
            fill = picture.evaluate("e => getComputedStyle(e).fill")
            assert fill == page.evaluate("getComputedStyle(document.body).color")
    context.close()


def test_no_page_moves_for_who_asks_for_less_motion(context: BrowserContext, small_site: Path) -> None:
    """With reduced motion nothing scrolls smoothly, and no element animates."""
    page = context.new_page()
    page.goto((small_site / "medicinals/ban-xia.html").as_uri())
    assert page.evaluate("getComputedStyle(document.documentElement).scrollBehavior") == "auto"
    assert page.evaluate("document.getAnimations().length") == 0
    page.close()


def test_a_page_with_what_it_loads_stays_small(whole_site: Path) -> None:
    """No page of the shipped data is too heavy for a phone, nothing of it compressed."""
    sizes = {page.relative_to(whole_site).as_posix(): page.stat().st_size for page in whole_site.rglob("*.html")}
    assert {path: size for path, size in sizes.items() if size > BUDGET} == {}
    styles = sum(path.stat().st_size for path in (whole_site / "css").glob("*.css"))
    assert BUDGET + styles < 120_000
