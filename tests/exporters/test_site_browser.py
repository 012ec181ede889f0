"""The reference site in a browser, opened from disk: search, keys, width, policy, dark and print."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

KINDS = (
    "index.html",
    "search.html",
    "browse.html",
    "compare.html",
    "medicinals.html",
    "formulas.html",
    "rules.html",
    "rules/cooking.html",
    "dangers.html",
    "sources.html",
    "about.html",
    "medicinals/ban-xia.html",
    "medicinals/fu-zi.html",
    "formulas/hai-zao-yu-hu-tang.html",
    "categories/transform-phlegm-stop-cough.html",
    "groups/warm-cold-phlegm.html",
    "categories/f-dispel-phlegm.html",
)


@pytest.fixture(scope="module")
def site(whole_site: Path) -> Path:
    """The site of the data as shipped."""
    return whole_site


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page of desktop width. Any console error, script error or request beyond the disk fails the test."""
    context = browser.new_context(viewport={"width": 1200, "height": 900})
    made = context.new_page()
    wrong: list[str] = []
    made.on("console", lambda message: wrong.append(message.text) if message.type in ("error", "warning") else None)
    made.on("pageerror", lambda error: wrong.append(str(error)))
    made.on("request", lambda request: None if request.url.startswith("file://") else wrong.append(request.url))
    yield made
    context.close()
    assert wrong == []


def found(page: Page, text: str) -> list[str]:
    """Type into the search field; the addresses of the results' headings, frames left out."""
    page.fill("#q", text)
    page.wait_for_selector("#found .title")
    links = page.locator("#found .hit:not(.stop) h3 a")
    return [links.nth(i).get_attribute("href") or "" for i in range(links.count())]


@pytest.mark.parametrize(
    "text",
    [
        "半夏", "bàn xià", "ban xia", "banxia", "BanXia", "ban4 xia4", "ban4xia4", "Pinellia", "pinellia rhizome",
        "Pinelliae Rhizoma", "Pinellia ternata", "pinelia", "ban xai", "守田", "pan hsia",
    ],
)  # fmt: skip
def test_any_name_finds_the_medicinal_first(page: Page, site: Path, text: str) -> None:
    """Characters, pinyin with or without tones, English, Latin, old names and misspellings lead to ban xia."""
    page.goto((site / "index.html").as_uri())
    assert found(page, text)[0] == "medicinals/ban-xia.html"
    assert page.locator("#found .hit .mat").first.inner_text().strip()


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("薑半夏", "medicinals/ban-xia.html#ban-xia.jiang"),
        ("er chen tang", "formulas/er-chen-tang.html"),
        ("二陳湯", "formulas/er-chen-tang.html"),
        ("gan cao", "medicinals/gan-cao.html"),
        ("fu zi", "medicinals/fu-zi.html"),
    ],
)
def test_forms_and_formulas_are_found_too(page: Page, site: Path, text: str, first: str) -> None:
    """A form leads to its place on the medicinal's page, a formula to its own, in both scripts."""
    page.goto((site / "index.html").as_uri())
    assert found(page, text)[0] == first


def test_a_dangerous_look_alike_is_framed_below_and_never_first(page: Page, site: Path) -> None:
    """Mu tong is not guan mu tong, which destroys kidneys (common practice, no source): a frame below says so."""
    page.goto((site / "index.html").as_uri())
    assert found(page, "mu tong")[0] == "medicinals/mu-tong.html"
    hits = page.locator("#found .hit")
    assert "stop" not in (hits.first.get_attribute("class") or "").split()
    frames = page.locator("#found .hit.stop").all_inner_texts()
    assert any("关木通" in frame and "Not 木通." in frame and "kidney" in frame for frame in frames)


def test_the_name_of_an_adulterant_leads_to_what_it_is_taken_for(page: Page, site: Path) -> None:
    """Who types the name of an adulterant is shown the medicinal, the frame, and in words that they differ."""
    page.goto((site / "index.html").as_uri())
    assert found(page, "Typhonium flagelliforme")[0] == "medicinals/ban-xia.html"
    assert "is taken for it" in page.locator("#found .hit .mat").first.inner_text()
    assert any("Typhonium flagelliforme" in frame for frame in page.locator("#found .hit.stop").all_inner_texts())


def test_a_name_known_only_from_what_tells_it_apart_is_not_passed_over(page: Page, site: Path) -> None:
    """水半夏, no name of anything here, leads to ban xia with the words that only a part was understood."""
    page.goto((site / "index.html").as_uri())
    assert found(page, "水半夏")[0] == "medicinals/ban-xia.html"
    assert "Only a part was understood: what 水 adds" in page.locator("#found .plate").inner_text()
    assert any("水半夏 is a cone" in frame for frame in page.locator("#found .hit.stop").all_inner_texts())


def test_search_works_with_the_keyboard_alone_from_any_page(page: Page, site: Path) -> None:
    """`/` goes to the field, arrows walk the results and back, Esc empties, Enter opens the first result."""
    page.goto((site / "formulas" / "hai-zao-yu-hu-tang.html").as_uri())
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.id") == "q"
    page.keyboard.type("banxia")
    page.wait_for_selector("#found .hit")
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.getAttribute('href')") == "../medicinals/ban-xia.html"
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.closest('.hit') !== null")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowUp")
    assert page.evaluate("document.activeElement.id") == "q"
    page.keyboard.press("Escape")
    assert page.input_value("#q") == "" and page.is_visible("#items")
    page.keyboard.type("a/b")
    assert page.input_value("#q") == "a/b"
    page.fill("#q", "banxia")
    page.wait_for_selector("#found .hit")
    page.keyboard.press("Enter")
    page.wait_for_url("**/medicinals/ban-xia.html")
    page.go_back()
    page.wait_for_selector("#found .hit")
    assert page.input_value("#q") == "banxia"


def test_first_tab_is_the_skip_link_and_focus_is_seen(page: Page, site: Path) -> None:
    """The first Tab shows the skip link; what has focus has a ring of three pixels."""
    page.goto((site / "medicinals" / "ban-xia.html").as_uri())
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    assert page.evaluate("document.activeElement.getBoundingClientRect().left") >= 0
    page.keyboard.press("Tab")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineWidth") == "3px"


def test_large_type_is_remembered(page: Page, site: Path) -> None:
    """The check box enlarges everything by half, and the next page opens so."""
    page.goto((site / "index.html").as_uri())
    before = page.evaluate("getComputedStyle(document.documentElement).fontSize")
    page.check("#large")
    assert page.evaluate("getComputedStyle(document.documentElement).fontSize") == "25px" != before
    page.goto((site / "medicinals" / "ban-xia.html").as_uri())
    assert page.is_checked("#large")


def test_no_page_breaks_its_own_policy(page: Page, site: Path) -> None:
    """Each kind of page, opened from disk, loads its script and styles and reports no violation."""
    page.add_init_script(
        "window.broken=[];addEventListener('securitypolicyviolation',e=>broken.push(e.violatedDirective))"
    )
    for kind in KINDS:
        page.goto((site / kind).as_uri())
        assert page.evaluate("[...broken]") == []
        assert page.evaluate("document.styleSheets.length") == 3
    page.fill("#q", "banxia")
    page.wait_for_selector("#found .hit")
    assert page.evaluate("[...broken]") == []


def test_the_policy_stops_what_is_injected(browser: Browser, site: Path) -> None:
    """An inline script that got into a page would not run."""
    context = browser.new_context()
    page = context.new_page()
    page.goto((site / "index.html").as_uri())
    page.evaluate(
        "(()=>{const s=document.createElement('script');s.textContent='window.ran=1';document.body.append(s)})()"
    )
    assert page.evaluate("window.ran === undefined")
    context.close()


def test_dark_and_light_follow_the_reader_with_enough_contrast(browser: Browser, site: Path) -> None:
    """Text, small print and links have at least the contrast that WCAG 2.2 (1.4.6) asks, in both schemes."""
    grounds = []
    for scheme in ("light", "dark"):
        context = browser.new_context(color_scheme=scheme)  # type: ignore[arg-type]
        page = context.new_page()
        page.goto((site / "medicinals" / "ban-xia.html").as_uri())
        ground = _colour(page, "body", "backgroundColor")
        grounds.append(ground)
        for selector in ("body", ".src", ".jump a"):
            assert _contrast(_colour(page, selector, "color"), ground) >= 7, (scheme, selector)
        context.close()
    assert grounds[0] > grounds[1]


def test_paper_is_black_on_white_with_every_state_in_words(browser: Browser, site: Path) -> None:
    """Printed, the page has no search, no background that carries anything, and the words of its states."""
    context = browser.new_context(color_scheme="dark")
    page = context.new_page()
    page.goto((site / "medicinals" / "ban-xia.html").as_uri())
    page.emulate_media(media="print")
    assert _colour(page, "body", "backgroundColor") == (255, 255, 255)
    assert _colour(page, "body", "color") == (0, 0, 0)
    assert not page.is_visible("form.find") and not page.is_visible(".jump")
    for word in ("Contraindicated", "Avoid", "Caution", "Not checked"):
        assert page.locator(".watch .state", has_text=word).first.is_visible()
    context.close()


def _colour(page: Page, selector: str, which: str) -> tuple[int, ...]:
    text = page.evaluate("([s, w]) => getComputedStyle(document.querySelector(s))[w]", [selector, which])
    return tuple(int(part) for part in text[text.index("(") + 1 : -1].split(",")[:3])


def _contrast(one: tuple[int, ...], other: tuple[int, ...]) -> float:
    """The contrast ratio of WCAG 2.2."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: tuple[int, ...]) -> float:
    linear = [part / 255 / 12.92 if part / 255 <= 0.04045 else ((part / 255 + 0.055) / 1.055) ** 2.4 for part in colour]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
