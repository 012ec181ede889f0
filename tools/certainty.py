"""How certain the data are: `python tools/certainty.py write|check`.

Writes docs/data/certainty.md (cells by column and basis, a citation speaking before its row) and
docs/data/least-certain.md (the sixty cells most worth an hour of reading). What makes a cell uncertain: that its
author doubted it (docs/data/doubts.csv), that the two hands differ on it (docs/data/differences.csv), that sources
disagree, and that nobody has read it; what can hurt goes before what cannot.
"""

import csv
import sys
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from materia_data.facts.facts import Facts  # noqa: E402
from materia_data.materia import load  # noqa: E402

_PAGES = ROOT / "docs" / "data"
_COUNTED = {
    "nature": "nature", "flavor": "flavors", "channel": "channels", "toxicity": "toxicity", "part": "parts",
    "action": "actions", "caution": "cautions", "dose-max": "dose", "handling": "cooking", "opposes": "antagonisms",
    "control": "controls", "contains": "composition",
}  # fmt: skip
_COLUMN = {"flavors": "flavor", "channels": "channel", "nature": "nature", "toxicity": "toxicity", "dose": "dose-max",
           "pregnancy": "caution", "controls": "control", "cooking": "handling"}  # fmt: skip
_GRAVE = ("toxicity", "pregnancy", "dose", "controls", "cooking", "nature", "channels", "flavors")
_MOST = 60


@dataclass(frozen=True)
class _Cell:
    subject: str
    column: str
    stands: str
    other: str
    why: str
    points: int


def certainty() -> str:
    """docs/data/certainty.md."""
    facts = load().facts
    lines = [
        "# How certain, by column",
        "",
        "<!-- Made by `make generate`; change the data, not this page. -->",
        "",
        "Own statements of medicinals, forms and formulas, each on the word of the citation that speaks for it, else",
        "of its row. `collated`: somebody opened the source, or a copy named in the locator, and read it there.",
        "",
        "| what | statements | collated | memory | common practice |",
        "|---|---:|---:|---:|---:|",
    ]
    whole: Counter[str] = Counter()
    for predicate, name in _COUNTED.items():
        count = Counter(fact.basis for subject in facts.subjects for fact in facts.own(subject, predicate))
        whole += count
        lines.append(_row(name, count))
    lines.append(_row("**all of these**", whole))
    return "\n".join(lines) + "\n"


def least_certain() -> str:
    """docs/data/least-certain.md."""
    facts = load().facts
    cells = sorted(_cells(facts), key=lambda cell: (-cell.points, _GRAVE.index(cell.column), cell.subject))[:_MOST]
    lines = [
        "# The sixty least certain cells",
        "",
        "<!-- Made by `make generate` from doubts.csv, differences.csv and the data; change those, not this page. -->",
        "",
        "An hour with the printed source helps most here. What can hurt stands first. *Stands* is the value of this",
        "release; on safety it is the stricter one.",
        "",
        "| medicinal | what | stands | may be | why it is doubted |",
        "|---|---|---|---|---|",
    ]
    for cell in cells:
        row = [f"{_name(facts, cell.subject)} `{cell.subject}`", cell.column, cell.stands, cell.other, cell.why]
        lines.append(f"| {' | '.join(part.replace('|', ' ') for part in row)} |")
    return "\n".join(lines) + "\n"


def _row(name: str, count: Counter[str]) -> str:
    total = sum(count.values()) or 1
    shown = [f"{count[basis]} ({count[basis] / total:.0%})" for basis in ("collated", "memory", "common-practice")]
    return f"| {name} | {sum(count.values())} | {' | '.join(shown)} |"


def _cells(facts: Facts) -> Iterable[_Cell]:
    found: dict[tuple[str, str], _Cell] = {}
    for row in _rows("doubts.csv"):
        if (
            row["column"] in _GRAVE
            and row["subject"] in facts.number
            and not _read(facts, row["subject"], row["column"])
        ):
            points = 2 + _harm(row["column"])
            found[row["subject"], row["column"]] = _Cell(
                row["subject"], row["column"], row["value"], row["other"], row["why"], points
            )
    for row in _rows("differences.csv"):
        key = (row["subject"], row["column"])
        if row["column"] not in _GRAVE or row["subject"] not in facts.number or row["verdict"] not in ("", "open"):
            continue
        before = found.get(key)
        points = (before.points if before else _harm(row["column"])) + 2
        found[key] = _Cell(*key, row["first"] or "nothing", row["second"], row["why"] or "the two hands differ", points)
    for subject in facts.subjects:
        for fact in facts.own(subject, "disputed"):
            key = (subject, fact.value if fact.value in _GRAVE else "")
            if key in found:
                cell = found[key]
                found[key] = _Cell(*key, cell.stands, cell.other, cell.why, cell.points + 1)
    return found.values()


def _harm(column: str) -> int:
    return 2 if column in _GRAVE[:5] else 0


def _read(facts: Facts, subject: str, column: str) -> bool:
    """Whether somebody has read the cell since it was doubted."""
    told = facts.own(subject, _COLUMN[column])
    if column == "pregnancy":
        told = [fact for fact in told if ("topic", "pregnancy") in fact.qualifiers]
    return bool(told) and all(fact.basis == "collated" for fact in told)


def _name(facts: Facts, subject: str) -> str:
    table = facts.package.tables[facts.kind(subject)]
    return table.columns["name_hans"][table.rows_of("id")[subject][0]]


def _rows(name: str) -> list[dict[str, str]]:
    path = _PAGES / name
    if not path.is_file():
        return []
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


OUTPUTS = {"certainty.md": certainty, "least-certain.md": least_certain}


def main(arguments: list[str]) -> int:
    """Exit 0 if written or nothing differs, 1 if a page is out of date."""
    if arguments not in (["write"], ["check"]):
        print("usage: python tools/certainty.py write|check", file=sys.stderr)
        return 2
    stale = {name: text for name, make in OUTPUTS.items() if _text(_PAGES / name) != (text := make())}
    for name, text in stale.items():
        if arguments == ["write"]:
            (_PAGES / name).write_text(text, encoding="utf-8", newline="\n")
        else:
            print(f"docs/data/{name} is not what the data give. Run `make generate`.")
    return 1 if stale and arguments == ["check"] else 0


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8") if path.is_file() else ""


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
