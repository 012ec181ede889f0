"""Study cards: no heavy caution is missing from any front, fronts and backs meet, no cell becomes a formula."""

import csv
import io
import re
from dataclasses import replace
from functools import cache
from html import unescape
from pathlib import Path

import pytest

from materia_data.materia import Materia, load
from materia_data.study.card_page import cards_page
from materia_data.study.card_table import HEADER, cards_table
from materia_data.study.cards import Cards, Warn, cards
from materia_data.study.fonts import PrintError
from materia_data.study.pdf import cards_pdf
from tests.little import little
from tests.study.read_back import owed, pdf_text, rows, squeezed

UNIT = "year-settle-spirit"


@pytest.fixture(scope="module")
def shipped() -> Materia:
    return load()


@pytest.fixture(scope="module")
def deck(shipped: Materia) -> Cards:
    return cards(shipped, UNIT)


@pytest.fixture(scope="module")
def pdf(deck: Cards) -> bytes:
    return cards_pdf(deck)


@cache
def heavy(subject: str) -> list[tuple[str, str, str]]:
    """State, label and detail of what a front of the subject owes, from the CSV files alone."""
    return [
        (state, label, detail) for state, label, _, detail in owed([subject]) if state in ("contraindicated", "avoid")
    ]


def test_every_front_carries_every_heavy_caution(deck: Cards) -> None:
    """In CSV the column `front` alone has each caution that contraindicates or says avoid, under its state."""
    lines = list(csv.DictReader(io.StringIO(cards_table(deck))))
    owing = 0
    for line in lines:
        contraindicated, _, avoid = line["front"].partition("AVOID:")
        for subject in line["subject"].split():
            for state, label, detail in heavy(subject):
                owing += 1
                said = contraindicated if state == "contraindicated" else avoid
                assert label in said and detail.rstrip(".") in said, line["id"]
    assert owing > 100 and len(lines) == len(deck.cards) > 30


def test_fronts_on_paper_carry_them_too(deck: Cards, pdf: bytes, tmp_path: Path) -> None:
    """Read back with pdftotext, the eight fronts of a leaf carry the heavy cautions of their medicinals."""
    pages = pdf_text(pdf, tmp_path, "-raw").split("\f")[:-1]
    assert len(pages) == 2 * -(-len(deck.cards) // 8)
    for leaf in range(len(pages) // 2):
        front = squeezed(pages[2 * leaf])
        for card in deck.cards[8 * leaf : 8 * leaf + 8]:
            for subject in card.subjects:
                for _, label, detail in heavy(subject):
                    assert squeezed(label) in front and squeezed(detail.rstrip(".")) in front, card.id
            assert squeezed(card.asks) in front


@pytest.mark.parametrize(("paper", "width", "height"), [("a4", 595, 842), ("letter", 612, 792)])
def test_backs_lie_behind_their_fronts(paper: str, width: int, height: int, deck: Cards, tmp_path: Path) -> None:
    """Turned on the long edge, the back of the card at the left of a leaf is at the right of the next page."""
    pdf = cards_pdf(deck, paper=paper)
    for place, card in enumerate(deck.cards[:8]):
        row, column = divmod(place, 2)
        texts = []
        for page, at in ((1, column), (2, 1 - column)):
            box = (
                "-x",
                at * width // 2,
                "-y",
                20 + row * (height - 40) // 4,
                "-W",
                width // 2,
                "-H",
                (height - 40) // 4,
            )
            texts.append(squeezed(pdf_text(pdf, tmp_path, "-f", str(page), "-l", str(page), *map(str, box))))
        assert squeezed(card.asks) in texts[0] and squeezed(card.back[0].fact) in texts[1]


def test_every_card_says_whose_data(deck: Cards, pdf: bytes, tmp_path: Path) -> None:
    """Each card cut out carries release and sign-off on both sides and the teaching line on its front."""
    pages = [squeezed(page) for page in pdf_text(pdf, tmp_path, "-raw").split("\f")[:-1]]
    full = len(deck.cards) // 8
    for leaf in range(full):
        front, back = pages[2 * leaf : 2 * leaf + 2]
        assert front.count(squeezed(deck.teaching)) == 8
        assert front.count("notsignedoff") == back.count("notsignedoff") == 8
        assert front.count(deck.release) == back.count(deck.release) == 8


def test_backs_give_the_reason_or_say_that_none_is_recorded(deck: Cards) -> None:
    """A nature, flavor or channel has a reason after it, or the words that there is none."""
    for card in deck.cards:
        if card.kind in ("nature", "flavor", "channel"):
            assert card.back and all(one.reason for one in card.back)
    named = {row["name_hans"] for row in rows("herbs/herbs") if row["id"] in deck.members}
    assert {card.name_hans for card in deck.cards if card.kind != "apart"} == named


def test_a_contrast_carries_the_cautions_of_all(deck: Cards) -> None:
    """A card that sets several side by side names for each caution whose it is."""
    both = next(
        card
        for card in deck.cards
        if card.id == "apart:ci-shi-zhu-sha" or ("zhu-sha" in card.subjects and card.kind == "apart")
    )
    assert len(both.subjects) > 1
    assert any(re.match("朱砂.*: pregnancy", warn.text) and warn.state == "contraindicated" for warn in both.warns)


def test_no_cell_is_taken_for_a_formula(tmp_path: Path) -> None:
    """Cells that begin as a spreadsheet's formula would begin with an apostrophe; the header is as documented."""
    root = little(tmp_path, herbs=[{"id": "demo-leaf", "name_hans": "=1+1", "name_en": "@x", "pinyin": "-y"}])
    lines = list(csv.reader(io.StringIO(cards_table(cards(load(root), "demo-unit")))))
    assert tuple(lines[0]) == HEADER and len(lines) > 3
    assert not [cell for line in lines for cell in line if cell[:1] in ("=", "+", "-", "@")]
    assert {len(line) for line in lines} == {len(HEADER)}


def test_the_page_for_the_phone_holds_all_and_runs_nothing(deck: Cards) -> None:
    """One file with a card a question, each heavy caution outside of what is folded away, and no script."""
    html = cards_page(deck)
    fronts = re.findall(r"<summary>(.*?)</summary>", html, re.DOTALL)
    assert len(fronts) == len(deck.cards) and "<script" not in html and "default-src 'none'" in html
    for card, front in zip(deck.cards, fronts, strict=True):
        text = unescape(re.sub(r"<[^>]*>", "", front))
        assert all(warn.text in text for warn in card.warns), card.id


def test_the_same_cards_have_the_same_bytes(shipped: Materia) -> None:
    """Two runs give the same CSV, HTML and PDF."""
    made = [cards(shipped, "year-astringe-exterior") for _ in range(2)]
    for write in (cards_table, cards_page, cards_pdf):
        assert write(made[0]) == write(made[1])


def test_formulas_have_cards_with_what_their_items_bring(shipped: Materia) -> None:
    """A formula with cinnabar warns of pregnancy and names the cinnabar."""
    made = cards(shipped, "year-f-calm-spirit")
    card = next(one for one in made.cards if one.id.startswith("zhu-sha-an-shen-wan:"))
    assert any(
        warn.state == "contraindicated" and warn.text.startswith("pregnancy") and "朱砂" in warn.text
        for warn in card.warns
    )


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_fullest_cards_of_the_package_fit(paper: str, shipped: Materia, tmp_path: Path) -> None:
    """The eight fullest fronts among toxic medicinals are printed whole on either paper."""
    deck = cards(shipped, "toxicity:toxic..", depth="all")
    fullest = sorted(deck.cards, key=lambda card: -sum(len(warn.text) for warn in card.warns))[:8]
    front = squeezed(
        pdf_text(cards_pdf(replace(deck, cards=tuple(fullest)), paper=paper), tmp_path, "-raw").split("\f")[0]
    )
    assert sum(len(card.warns) for card in fullest) > 100
    assert all(squeezed(warn.text) in front for card in fullest for warn in card.warns)


def test_a_card_that_cannot_hold_its_cautions_is_refused_by_name(deck: Cards) -> None:
    """Nothing is cut off to make it fit: the message names the card."""
    card = deck.cards[0]
    with pytest.raises(PrintError, match=re.escape(card.id)):
        cards_pdf(replace(deck, cards=(replace(card, warns=(Warn("avoid", "much " * 2000),)),)))
