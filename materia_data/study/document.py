"""A printed page as data: runs of text in lines, lines and tables in sections. What writes Markdown, HTML and PDF reads
nothing else."""

from dataclasses import dataclass

STATES = ("contraindicated", "avoid", "caution", "none-stated", "not-checked")
STATE_WORDS = {
    "contraindicated": "contraindicated",
    "avoid": "avoid",
    "caution": "caution",
    "none-stated": "none stated",
    "not-checked": "not checked",
}
SHAPES = {"contraindicated": "⊠", "avoid": "◆", "caution": "△", "none-stated": "○", "not-checked": "⬚"}
"""The mark of each state where nothing can be drawn: filled and crossed, on a point, three corners, none, dotted."""


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of text in one style.

    style: empty, `strong`, `name` (characters), `pinyin`, `odd` (breaks the pattern), `small`, `mark` (text is a state,
    drawn), or `blank` (text is empty; number: its place in the key; size: s, m or l, by the kind of thing asked for).
    """

    text: str
    style: str = ""
    number: int = 0
    size: str = ""


Runs = tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A paragraph. kind: text, watch, exception (a reason on record for breaking a pattern), gap (none on record), or
    pad (an empty ruled line); state: of a watch line."""

    runs: Runs
    kind: str = "text"
    state: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Rows of a table under one head; each row a tuple of cells, the first of them the row's own head."""

    head: Runs
    note: Runs
    rows: tuple[tuple[Runs, ...], ...]


@dataclass(frozen=True, slots=True)
class Table:
    """columns: titles; widths: shares of the width; the cells of a column in `right` stand to the right."""

    columns: tuple[str, ...]
    widths: tuple[int, ...]
    right: tuple[int, ...]
    groups: tuple[Group, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """id: one word; note: what a reader must know to read it; columns: 2 where short lines stand side by side."""

    id: str
    title: str
    note: str
    lines: tuple[Line, ...]
    table: Table | None = None
    columns: int = 1


@dataclass(frozen=True, slots=True)
class Answer:
    """What belongs into a blank."""

    number: int
    section: str
    text: str


def plain(runs: Runs) -> str:
    """The text of runs without style; a mark as its shape, a blank as a rule with its number."""
    return "".join(
        SHAPES.get(run.text, "") if run.style == "mark" else f"({run.number})____" if run.style == "blank" else run.text
        for run in runs
    )


def joined(parts: "list[Runs] | tuple[Runs, ...]", by: str = ", ") -> Runs:
    """Runs one after the other with something between."""
    out: list[Run] = []
    for part in parts:
        if out:
            out.append(Run(by))
        out += part
    return tuple(out)


def counted(number: int, thing: str) -> str:
    """`1 card`, `5 cards`."""
    return f"{number} {thing}{'' if number == 1 else 's'}"
