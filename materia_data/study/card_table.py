"""Cards as CSV, for whatever learns from cards: UTF-8, a header, one card a line, LF."""

import csv
import io

from materia_data.study.cards import Card, Cards

HEADER = (
    "id", "kind", "front", "cautions", "milder_cautions", "back", "subject", "name_hans", "pinyin", "name_en", "unit",
    "release", "signed", "teaching",
)  # fmt: skip
_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def cards_table(deck: Cards) -> str:
    """The header and a line a card.

    front has name, question and every heavy caution, so that a program that shows `front` and `back` alone loses none;
    cautions has them again by themselves. A cell that a spreadsheet would take for a formula begins with an apostrophe.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    for card in deck.cards:
        writer.writerow(map(_safe, _row(card, deck)))
    return out.getvalue()


def _row(card: Card, deck: Cards) -> tuple[str, ...]:
    warned = [f"{state.upper()}: {said}" for state in ("contraindicated", "avoid") if (said := _said(card, state))]
    cautions = " · ".join(warned)
    milder = f"CAUTION: {card.milder}{' more' if warned else ''}, see the sheet" if card.milder else ""
    names = " ".join(filter(None, (card.name_hans, card.pinyin, card.name_en)))
    front = " · ".join(filter(None, (f"{names}: {card.asks}", cautions, milder)))
    back = " · ".join(f"{one.fact}: {one.reason}" if one.reason else one.fact for one in card.back)
    return (
        card.id, card.kind, front, cautions, str(card.milder), back, " ".join(card.subjects), card.name_hans,
        card.pinyin, card.name_en, card.unit, deck.release, deck.signed, deck.teaching,
    )  # fmt: skip


def _said(card: Card, state: str) -> str:
    return "; ".join(one.text for one in card.warns if one.state == state)


def _safe(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_BEGINS_A_FORMULA) else cell
