"""Pictures, as numbers and words that a template draws: each stands beside a table that says the same."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, radians, sin, sqrt
from typing import Any

from materia_exporters.site.book import Book, Name
from materia_exporters.site.words import capital

_CELL = 34
_ROOM = {"never": 3, "pair": 5, "formula": 3, "apart": 5}


@dataclass(frozen=True, slots=True)
class Cell:
    """A square of a map: its place and half its side in pixels, and how many it stands for."""

    x: float
    y: float
    half: float
    count: int


@dataclass(frozen=True, slots=True)
class Grid:
    """Members by nature (across, coldest first) and flavour or channel (down, commonest first).

    columns, rows: names; neutral: the column that is neutral, -1 if none; numbers: counts by row and column.
    """

    what: str
    columns: tuple[str, ...]
    rows: tuple[str, ...]
    neutral: int
    numbers: tuple[tuple[int, ...], ...]
    cells: tuple[Cell, ...]
    sentence: str


def grid(book: Book, members: Sequence[str], predicate: str) -> Grid | None:
    """The map of a category by `flavor` or `channel`; None where nothing is stated of anyone."""
    table = f"{predicate}s"
    held: dict[tuple[str, str], int] = {}
    placed: set[str] = set()
    for member in members:
        for nature in book.of(member, "nature"):
            for beside in book.of(member, predicate):
                if nature.stated and beside.stated:
                    held[beside.value, nature.value] = held.get((beside.value, nature.value), 0) + 1
                    placed.add(member)
    if not held:
        return None
    rank = book.facts.vocabularies["natures"].rank
    natures = sorted({nature for _, nature in held}, key=lambda id: (rank(id) or 0, id))
    count = {down: sum(n for (one, _), n in held.items() if one == down) for down, _ in held}
    downs = sorted(count, key=lambda id: (-count[id], id))
    most = max(held.values())
    cells = tuple(
        Cell(
            round(_CELL * (across + 0.5), 1),
            round(_CELL * (down + 0.5), 1),
            round(4 + 11 * sqrt(held[one, nature] / most), 1),
            held[one, nature],
        )
        for down, one in enumerate(downs)
        for across, nature in enumerate(natures)
        if (one, nature) in held
    )
    (top, across), n = max(held.items(), key=lambda item: (item[1], item[0]))
    return Grid(
        {"flavor": "flavour", "channel": "channel"}[predicate],
        tuple(book.label("natures", id) for id in natures),
        tuple(book.label(table, id) for id in downs),
        natures.index("neutral") if "neutral" in natures else -1,
        tuple(tuple(held.get((down, nature), 0) for nature in natures) for down in downs),
        cells,
        f"{len(placed)} members by nature and {'flavour' if predicate == 'flavor' else 'channel'}. Most often "
        f"{book.label('natures', across)} and {book.label(table, top)}: {n}.",
    )


@dataclass(frozen=True, slots=True)
class Tie:
    """A spoke to something related. kind: never, pair, apart or formula; start, middle, end: points on the spoke, in
    pixels; bar: the ends of a short stroke across its middle; anchor: how its name stands at the end."""

    kind: str
    hans: str
    start: tuple[float, float]
    end: tuple[float, float]
    bar: tuple[float, float, float, float]
    at: tuple[float, float]
    anchor: str


@dataclass(frozen=True, slots=True)
class Ties:
    """What a medicinal is related to; left_out: how many names the picture has no room for."""

    ties: tuple[Tie, ...]
    left_out: int
    sentence: str


_SECTORS = {"never": 90, "pair": 0, "formula": 270, "apart": 180}
_SAID = {
    "never": "never together with {}",
    "pair": "together on purpose with {}",
    "apart": "told apart from {}",
    "formula": "in {} formulas",
}


def ties(values: Mapping[str, Any]) -> Ties | None:
    """The relations of a medicinal, from what its page says of them; None where it has none."""
    mine = values["name"].id
    apart = [name for one in values["contrasts"] for name, _ in one["subjects"]]
    related = {
        "never": [name for group in values["never"] for name in group["others"]],
        "pair": [name for one in values["pairs"] for name in one["others"]],
        "apart": [*apart, *(one["other"] for one in values["confusions"])],
        "formula": [one["formula"] for one in values["formulas"]],
    }
    names = {kind: _once(found, mine) for kind, found in related.items()}
    if not any(names.values()):
        return None
    made = [
        _tie(kind, name.hans, place, min(len(found), _ROOM[kind]))
        for kind, found in names.items()
        for place, name in enumerate(found[: _ROOM[kind]])
    ]
    said = [_SAID[kind].format(len(found)) for kind, found in names.items() if found]
    left_out = sum(max(0, len(found) - _ROOM[kind]) for kind, found in names.items())
    return Ties(tuple(made), left_out, f"{capital(', '.join(said))}.")


def _tie(kind: str, hans: str, place: int, of: int) -> Tie:
    upright = kind in ("never", "formula")
    angle = radians(_SECTORS[kind] + (place - (of - 1) / 2) * (27 if upright else 19))
    far = 118 if not upright else (126, 92)[place % 2]
    across, up = cos(angle), -sin(angle)
    middle = (180 + across * far * 0.62, 160 + up * far * 0.62)
    end = (round(180 + across * (far - 10), 1), round(160 + up * (far - 10), 1))
    return Tie(
        kind,
        hans,
        (round(180 + across * 38, 1), round(160 + up * 30, 1)),
        end,
        (
            round(middle[0] - up * 5, 1),
            round(middle[1] + across * 5, 1),
            round(middle[0] + up * 5, 1),
            round(middle[1] - across * 5, 1),
        ),
        (round(180 + across * far, 1), round(160 + up * far + (5 if not upright else 2 if up < 0 else 11), 1)),
        "middle" if upright else "start" if across > 0 else "end",
    )


def _once(names: Sequence[Name], mine: str) -> list[Name]:
    return list({name.hans: name for name in names if name.hans and name.id != mine}.values())


@dataclass(frozen=True, slots=True)
class Bar:
    """A category in the course: how many are taught how deep. parts: (x, width) of core, familiar, aware, none."""

    label: str
    href: str
    counts: tuple[int, int, int, int]
    parts: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Coverage:
    """The course against the categories, one bar each; total: the sums."""

    course: str
    bars: tuple[Bar, ...]
    total: tuple[int, int, int, int]
    sentence: str


def coverage(book: Book, categories: Sequence[tuple[str, str, Sequence[str]]]) -> Coverage | None:
    """Of each category (label, href, members) how many the course that teaches most holds; None without a course."""
    depth: dict[str, str] = {}
    order = ("core", "familiar", "aware")
    courses = {row["id"]: row["course"] for row in book.rows("units")}
    for row in book.rows("unit_subjects"):
        if courses.get(row["unit"]) == book.course and row["depth"] in order:
            before = depth.get(row["subject"], "aware")
            depth[row["subject"]] = min(before, row["depth"], key=order.index)
    if not depth:
        return None
    most = max((len(members) for *_, members in categories), default=0) or 1
    bars = []
    for label, href, members in categories:
        short = capital(label.removeprefix("Medicinals ").removeprefix("that "))
        counts = [sum(depth.get(member) == one for member in members) for one in order]
        counts.append(len(members) - sum(counts))
        parts, x = [], 0.0
        for count in counts:
            width = round(338 * count / most, 1)
            parts.append((round(x, 1), width))
            x += width
        bars.append(Bar(short, href, (counts[0], counts[1], counts[2], counts[3]), tuple(parts)))
    total = tuple(sum(bar.counts[i] for bar in bars) for i in range(4))
    whole = sum(total)
    sentence = (
        f"Of {whole} medicinals the course teaches {whole - total[3]}: {total[0]} as core, {total[1]} familiar, "
        f"{total[2]} to be aware of; {total[3]} are not taught in it."
    )
    return Coverage(book.course, tuple(bars), (total[0], total[1], total[2], total[3]), sentence)
