"""Two open QTI players in Chromium: an item is answered, the player says the score."""

import json
import sys
import tarfile
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

sys.path.insert(0, str(Path(__file__).parents[2] / "tools"))
from players import packed, wrong


def _from(name: str, path: str) -> str:
    with tarfile.open(packed(name)) as archive:
        found = archive.extractfile(f"package/{path}")
        assert found is not None
        return found.read().decode()


def fetched() -> None:
    """Fails where a player is missing, and says what to run."""
    if missing := wrong():
        pytest.fail(f"Missing: {', '.join(missing)}. Run `python tools/players.py`, which asks npm.", pytrace=False)


def _page(browser: Browser, html: str) -> Page:
    page = browser.new_page()
    page.route("**/*", lambda route: route.abort())
    page.set_content(html)
    return page


_SHOW = """
xml => new Promise(done => {
  window.shown?.$destroy();
  const here = document.body.appendChild(document.createElement('div'));
  document.body.replaceChildren(here);
  window.shown = new Vue({el: here, render: create => create(window.qti3Player.Qti3Player || window.qti3Player, {on: {
    notifyQti3PlayerReady: one => { window.player = one; one.loadItemFromXml(xml, {guid: 'one', status: 'interacting',
      sessionControl: {maxAttempts: 0, showFeedback: false, validateResponses: false}}); },
    notifyQti3ItemReady: () => done(),
    notifyQti3EndAttemptCompleted: data => window.ended(data.state.outcomeVariables)}})});
})
"""


class PlayerOfAmpUp:
    """qti3-item-player (MIT)."""

    def __init__(self, browser: Browser) -> None:
        css = _from("qti3-item-player@1.1.20", "dist/qti3Player.css")
        self.page = _page(browser, f"<!doctype html><meta charset=utf-8><style>{css}</style><div id=app></div>")
        self.page.add_script_tag(content=_from("vue@2.7.16", "dist/vue.min.js"))
        self.page.add_script_tag(content=_from("qti3-item-player@1.1.20", "dist/qti3Player.umd.min.js"))

    def score(self, xml: str, text: str) -> tuple[str, float]:
        """Show the item, click the option that has this text: what is shown, and the SCORE."""
        self.page.evaluate(_SHOW, xml)
        shown = self.page.inner_text("body")
        self.page.get_by_text(text, exact=True).click()
        outcomes = self.page.evaluate(
            "new Promise(done => { window.ended = done; window.player.endAttempt('end'); })"
        )
        (score,) = (one["value"] for one in outcomes if one["identifier"] == "SCORE")
        return shown, float(score)


class PlayerOfCito:
    """@citolab/qti-components (GPL-3.0: tested with, never shipped)."""

    def __init__(self, browser: Browser) -> None:
        self.page = _page(browser, "<!doctype html><meta charset=utf-8><div id=here></div>")
        self.page.add_script_tag(content=_from("@citolab/qti-components@7.27.4", "cdn/index.global.js"))

    def score(self, xml: str, text: str) -> tuple[str, float]:
        """Show the item, click the option that has this text: what is shown, and the SCORE."""
        self.page.evaluate(
            """xml => { const item = document.createElement('qti-item');
                 const container = document.createElement('item-container');
                 container.itemXML = xml; item.append(container);
                 document.getElementById('here').replaceChildren(item); }""",
            xml,
        )
        self.page.wait_for_selector("qti-simple-choice")
        shown = self.page.inner_text("qti-item-body")
        self.page.get_by_text(text, exact=True).click()
        score = self.page.evaluate(
            """() => { const container = document.querySelector('item-container');
                 const item = (container.shadowRoot || container).querySelector('qti-assessment-item');
                 item.processResponse();
                 return item.variables.find(one => one.identifier === 'SCORE').value; }"""
        )
        return shown, float(json.loads(str(score)))
