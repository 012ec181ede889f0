"""Cards as one HTML page for the phone: a touch on a front opens its back. No script, nothing loaded."""

from materia_data.study.cards import Card, Cards
from materia_data.study.document import counted
from materia_data.study.page import mark, state_word, text, whole


def cards_page(deck: Cards) -> str:
    """All cards of the deck, one under the other."""
    depth = f", taught as {deck.depth}" if deck.depth else ""
    course = f" · course {deck.course}" if deck.course else ""
    count = f"{counted(len(deck.cards), 'card')} of {counted(len(deck.members), 'member')}"
    head = (
        f'<p class="note">Study cards. Touch a question to see the answer.</p>\n<h1>{text(deck.title)}</h1>\n'
        f'<p class="note">{count}{text(depth)}{text(course)}</p>'
    )
    release = f"materia-data, release {deck.release}, {deck.signed}, {deck.licence}"
    return whole(f"Cards: {deck.title}", "\n".join([head, *map(_card, deck.cards)]), release, deck.teaching)


def _card(card: Card) -> str:
    names = f'<b class="n">{text(card.name_hans)}</b>'
    names += f' <span lang="zh-Latn-pinyin">{text(card.pinyin)}</span>' if card.pinyin else ""
    names += f" · {text(card.name_en)}" if card.name_en else ""
    warns = []
    for state in ("contraindicated", "avoid"):
        mine = "; ".join(text(one.text) for one in card.warns if one.state == state)
        warns += [f"<span>{mark(state)} {state_word(state)} {mine}.</span>"] if mine else []
    if card.milder:
        more = " more" if card.warns else ""
        warns.append(f"<span>{mark('caution')} {state_word('caution')} {card.milder}{more}: see the sheet.</span>")
    if not warns:
        warns.append(f"<span>{mark('not-checked')} No caution is on record; that is no finding of safety.</span>")
    back = "".join(
        f"<li><b>{text(one.fact)}</b>{': ' + text(one.reason) if one.reason else ''}.</li>" for one in card.back
    )
    front = f"{names}<br><b>{text(card.asks)}</b><br>{'<br>'.join(warns)}"
    return f'<details class="card"><summary>{front}</summary>\n<ul>{back}</ul></details>'
