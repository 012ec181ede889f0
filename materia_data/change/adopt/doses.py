"""Doses as schools write them: `3-9g`, `3～9 g (decoction)`, `外用适量`, `1.5-3g powder; 3-9g decoction`."""

import re
from dataclasses import dataclass
from itertools import pairwise

from materia_data.change.adopt.lexicon import Lexicon
from materia_data.change.adopt.say import Reading, Say, say
from materia_data.change.adopt.tables import noise
from materia_data.change.adopt.words import tokens

_NUMBER = r"(?:\d+(?:\.\d+)?|\.\d+)"
_UNIT = (
    r"grams?|grammes?|gms?|gr|g|克|mg|毫克|ml|毫升|cc|"
    r"pieces?|pcs?|pc|枚|个|条|只|粒|片|pairs?|对|qian|钱|liang|两|oz|fen|分"
)
_AMOUNT = re.compile(
    rf"(?<![\d.])(?P<low>{_NUMBER})\s*(?P<one>{_UNIT})?"
    rf"(?:\s*(?:-+|to|至|到)\s*(?P<high>{_NUMBER})\s*(?P<two>{_UNIT})?)?(?![\d.]|[a-z])"
    r"(?!\s*(?:min|分钟|hour|hr|day|天|岁|week|周|times|year|%|'))"
)
_COUNTED = re.compile(
    rf"^(?P<grams>{_NUMBER}\s*-\s*{_NUMBER}\s*(?:grams?|grammes?|gms?|g|克))\s*"
    rf"\((?P<count>{_NUMBER}(?:\s*-\s*{_NUMBER})?\s*(?:pieces?|pcs?|枚|个|条|只|粒|片))\)"
)
_UNITS = {
    **dict.fromkeys(("g", "gr", "gm", "gms", "gram", "grams", "gramme", "grammes", "克"), "g"),
    **dict.fromkeys(("mg", "毫克"), "mg"),
    **dict.fromkeys(("ml", "毫升", "cc"), "ml"),
    **dict.fromkeys(("piece", "pieces", "pc", "pcs", "枚", "个", "条", "只", "粒", "片"), "piece"),
    **dict.fromkeys(("pair", "pairs", "对"), "pair"),
}
_OLD = {"qian": 3.0, "钱": 3.0}
_MONTH = "(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)"
_DATE = re.compile(
    rf"\b\d{{1,2}}-{_MONTH}|\b{_MONTH}-\d{{1,2}}|\d{{1,2}}月\d{{1,2}}日|\d{{4}}-\d{{2}}-\d{{2}}|^\d{{1,2}}/\d{{1,2}}(?:/\d{{2,4}})?$"
)
_PER = {
    **dict.fromkeys(
        (
            "每次",
            "一次",
            "次",
            "per dose",
            "each time",
            "per time",
            "a time",
            "at a time",
            "/dose",
            "each dose",
            "single dose",
        ),
        "time",
    ),
    **dict.fromkeys(
        (
            "每日",
            "一日",
            "日",
            "per day",
            "a day",
            "daily",
            "/day",
            "/d",
            "day",
            "each day",
            "/日",
            "/天",
            "每天",
            "pd",
            "od",
        ),
        "day",
    ),
}
_OR = re.compile(r"^(?:或|亦可|也可|or |also |may )")
_ASNEEDED = re.compile(r"适量|as needed|appropriate|q\.?s|suitable amount|moderate amount|prn")


@dataclass(frozen=True, slots=True)
class Known:
    """What the base says of the doses of one subject: route and the amounts of each row, in the table's own text."""

    rows: tuple[tuple[str, str, str, str], ...]

    def routes(self) -> set[str]:
        """The ways on record."""
        return {route for route, *_ in self.rows}

    def has(self, route: str, low: str, high: str, unit: str) -> bool:
        """Whether this very range is on record."""
        return (route, low, high, unit) in self.rows


def read_dose(lexicon: Lexicon, text: str, unit: str, known: Known) -> tuple[list[Reading], list[str]]:
    """The doses of a cell, and the clauses that speak of no amount (for those who read cautions and cooking).

    unit: what the heading says of it, else empty.
    """
    folded = lexicon.fold(re.sub(r"[\r\n]+", ";", text))
    counted = _COUNTED.search(folded)
    folded = _COUNTED.sub(r"\g<grams>", folded, count=1)
    if _DATE.search(folded):
        why = "it looks like a date that a spreadsheet program made of a dose"
        return [_unsure(text, why, ())], []
    readings: list[Reading] = []
    others: list[str] = []
    for segment in _segments(lexicon, folded):
        amounts = list(_AMOUNT.finditer(segment))
        if len(amounts) > 1:
            readings.append(_unsure(text, "more than one amount stands together", ()))
        elif amounts:
            readings.append(_amount(lexicon, text, segment, amounts[0], unit, known, first=not readings))
        elif (route := _route(lexicon, segment)) and (
            _ASNEEDED.search(segment) or (_OR.search(segment) and _only_route(lexicon, segment))
        ):
            said = say("doses", {"route": route, "per": "day", "population": "adult", "min": "", "max": "", "unit": ""})
            readings.append(Reading("dose", text, (said,), True, "a way of use without an amount", safety=True))
        else:
            others.append(segment)
    if readings and any(_names_a_way(lexicon, other) for other in others):
        return [_unsure(text, "it names a way of use beside an amount that has none", _choices(readings))], others
    settled = _settled(text, readings)
    if counted and all(reading.sure for reading in settled):
        settled.append(Reading("kept", counted["count"], (), False, "the same amount counted: the grams are taken"))
    return settled, others


def _names_a_way(lexicon: Lexicon, clause: str) -> bool:
    """Whether a clause without an amount is about a way of use; `decoct first` is about cooking."""
    return _only_route(lexicon, clause) or _route(lexicon, clause) not in ("", "decoction")


def _choices(readings: list[Reading]) -> tuple[tuple[Say, ...], ...]:
    return tuple(choice for reading in readings for choice in ((reading.says,) if reading.says else reading.choices))


def _settled(text: str, readings: list[Reading]) -> list[Reading]:
    """Two amounts for one way of use: which is the range is not ours to say."""
    keys = [tuple(one.cells[:3]) for reading in readings for one in reading.says]
    doubtful = any(not reading.sure for reading in readings)
    if len(readings) > 1 and (len(keys) != len(set(keys)) or doubtful):
        choices = _choices(readings)
        return [_unsure(text, "it gives more than one amount, or part of it is not understood", choices)]
    return readings


def _segments(lexicon: Lexicon, folded: str) -> list[str]:
    """Cut at signs that part statements, where each side has something of its own to say."""
    folded = re.sub(r"丸\s*[、,/]\s*散", "丸散", folded)
    joined: list[str] = []
    for statement in re.split(r"[;\n|。]", folded):
        parts = [part.strip() for part in re.split(r",(?!\d{3}\b)|、(?=\D)", statement) if part.strip(" .")]
        joined += _joined(lexicon, [piece for part in parts for piece in _halved(lexicon, part)])
    cut: list[str] = []
    for part in joined:
        amounts = list(_AMOUNT.finditer(part))
        if len(amounts) < 2:
            cut.append(part)
            continue
        leading, trailing = part[: amounts[0].start()].strip(" ("), part[amounts[-1].end() :].strip(" ).")
        if (
            not leading
            and not trailing
            and any(
                re.search(r"[^\W\d]", part[a.end() : b.start()]) and not re.search(r"[/,(]", part[a.end() : b.start()])
                for a, b in pairwise(amounts)
            )
        ):
            cut.append(part)
            continue
        edges = [0]
        for before, after in pairwise(amounts):
            between = part[before.end() : after.start()]
            sign = re.search(r"[/,]|\bor\b|\band\b|或|(?<=\))", between)
            edges.append(before.end() + (sign.end() if sign else 0 if leading else len(between)))
        cut += [part[start:end].strip(" /,") for start, end in pairwise([*edges, len(part)])]
    return cut


def _halved(lexicon: Lexicon, part: str) -> list[str]:
    """Cut at strokes that have an amount, or a way of use by itself, on both sides."""
    found: list[str] = []
    for piece in part.split("/"):
        if found and not all(_AMOUNT.search(side) or _only_route(lexicon, side) for side in (found[-1], piece)):
            found[-1] = f"{found[-1]}/{piece}"
        else:
            found.append(piece)
    return [piece.strip() for piece in found if piece.strip()]


def _joined(lexicon: Lexicon, parts: list[str]) -> list[str]:
    """A way of use by itself belongs to the amount beside it that has none; to both, if both have none."""
    found: list[str] = []
    forward = ""
    for at, part in enumerate(parts):
        if found and _ASNEEDED.search(part) and _only_route(lexicon, found[-1]):
            found[-1] = f"{found[-1]} {part}"
            continue
        if _AMOUNT.search(part) or _ASNEEDED.search(part) or not _only_route(lexicon, part) or _OR.search(part):
            found.append(f"{forward} {part}".strip())
            forward = ""
            continue
        behind = bool(found) and bool(_AMOUNT.search(found[-1])) and not _route(lexicon, _AMOUNT.sub(" , ", found[-1]))
        following = parts[at + 1] if at + 1 < len(parts) else ""
        ahead = bool(_AMOUNT.search(following)) and not _route(lexicon, _AMOUNT.sub(" , ", following))
        if behind and ahead:
            found[-1] = f"{found[-1]} {part} {parts[at + 1]}"
            parts[at + 1] = ""
        elif ahead:
            forward = part
        elif behind:
            found[-1] = f"{found[-1]} {part}"
        else:
            found.append(part)
    return [part for part in found if part]


def _only_route(lexicon: Lexicon, part: str) -> bool:
    route, _, strange = _words(lexicon, part)
    return bool(route) and not strange


def _amount(
    lexicon: Lexicon, text: str, segment: str, found: re.Match[str], unit: str, known: Known, *, first: bool
) -> Reading:
    rest = f"{segment[: found.start()]} , {segment[found.end() :]}"
    route, per, strange = _words(lexicon, rest)
    written = found["two"] or found["one"] or ""
    low, high = found["low"], found["high"] or found["low"]
    if found["one"] and found["two"] and _UNITS.get(found["one"]) != _UNITS.get(found["two"]):
        return _unsure(text, "it names two units", ())
    if written in _OLD:
        made = [f"{float(each) * _OLD[written]:g}" for each in (low, high)]
        said = _said(route or "decoction", per, made[0], made[1], "g")
        return _unsure(text, "a qian is taken as 3 g by many, as 3.125 or 3.73 g by others", ((said,),))
    named = _UNITS.get(written, "") if written else unit
    if written and not named:
        return _unsure(text, f"{written} is no unit of ours", ())
    reason = ""
    if not named and known.has(route or "decoction", _plain(low), _plain(high), "g"):
        named = "g"
    if not named:
        reason = "neither the cell nor its heading names a unit"
    elif not route and not first:
        reason = "an amount stands after another without its way of use"
    elif strange:
        reason = f"not understood: {' '.join(strange)}"
    elif float(low) > float(high):
        reason = "the range runs backwards"
    elif (
        not found["high"]
        and "." in low
        and any(known.has(one, low.partition(".")[0], low.partition(".")[2], "g") for one in known.routes())
    ):
        reason = f"a point may have been typed for a dash: {low.replace('.', '-')}"
    way = route or _bare(known, low, high, named or "g")
    if not way and not reason:
        reason = "which way of use is meant is not said, and the base knows no decoction of it"
    said = _said(way or "decoction", per, low, high, named or "g")
    if not reason and not found["high"] and not known.has(way, _plain(low), _plain(low), named):
        reason = "a number by itself, which may be the most or the only amount"
    if reason.startswith("the range"):
        return _unsure(text, reason, ())
    if reason:
        most = _said(way or "decoction", per, "", high, named or "g")
        return _unsure(text, reason, ((said,),) if found["high"] else ((most,), (said,)))
    why = "the range as written" + ("" if route else f"; a bare amount is taken as {way}")
    return Reading("dose", text, (said,), True, why, safety=True)


def _bare(known: Known, low: str, high: str, unit: str) -> str:
    """What an amount without a way of use means: a decoction, or the one way for which the base has this range."""
    same = sorted(route for route, least, most, of in known.rows if (least, most, of) == (low, high, unit))
    if "decoction" in known.routes() and any(route == "decoction" and most for route, _, most, _ in known.rows):
        return "decoction"
    return same[0] if len(same) == 1 else ""


def _said(route: str, per: str, low: str, high: str, unit: str) -> Say:
    cells = {"route": route, "per": per or "day", "population": "adult", "min": _plain(low), "max": _plain(high)}
    return say("doses", cells | {"unit": unit})


def _plain(number: str) -> str:
    return f"{float(number):g}" if number else ""


def _unsure(text: str, why: str, choices: tuple[tuple[Say, ...], ...]) -> Reading:
    return Reading("dose", text, (), False, why, tuple(choice for choice in choices if choice), True)


def _route(lexicon: Lexicon, segment: str) -> str:
    return _words(lexicon, segment)[0]


def _words(lexicon: Lexicon, rest: str) -> tuple[str, str, list[str]]:
    """The way of use, the time an amount is for, and words that are neither."""
    routes, pieces = lexicon.terms("routes"), tokens(rest)
    route, per, strange, at = "", "", [], 0
    while at < len(pieces):
        hit = routes.at(pieces, at)
        if hit and hit[0] == 1 and pieces[at].text in ("tea", "soup") and route:
            hit = None
        if hit:
            if route and route != hit[1][1]:
                strange.append(hit[1][1])
            route, at = route or hit[1][1], at + hit[0]
            continue
        for length in (3, 2, 1):
            phrase = "".join(
                ("" if piece.text == "/" or not piece.text.isascii() or index == 0 else " ") + piece.text
                for index, piece in enumerate(pieces[at : at + length])
            )
            phrase = phrase.replace("/ ", "/")
            if phrase in _PER and len(pieces[at : at + length]) == length:
                per, at = _PER[phrase], at + length
                break
        else:
            if pieces[at].text not in noise("doses"):
                strange.append(pieces[at].text)
            at += 1
    return route, per, strange
