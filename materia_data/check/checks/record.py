"""The record: sources nobody uses or that are superseded, terms nobody uses, cells in dispute, columns sorted apart
from their rows."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from materia_data.check.checks._scripts import toneless
from materia_data.check.registry import check
from materia_data.check.rows import rows
from materia_data.facts.facts import Facts
from materia_data.problem import Problem
from materia_data.read.package import Package

_ID = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*")
_WHOLE_BY_NATURE = frozenset({"channels", "directions", "flavors", "natures", "toxicities"})
_FEW = 10
_MIXED = [
    {"id": f"demo-{letter}", "name_hans": sign, "name_hant": sign, "name_en": "demo"}
    for letter, sign in zip("abcdefghijkl", "示例根子叶花果藻草皮木石", strict=True)
]
_ALL_USED = {
    "herbs": [{"id": "demo-seed", "parts": "seed;rhizome", "traits": "food;oily;irritant;mineral"}],
    "forms": [{"id": f"demo-leaf.{m}", "herb": "demo-leaf", "method": m} for m in ("ginger-frying", "honey-frying")],
    "herb_actions": [
        {"subject": "demo-kelp", "action": "cool-blood-stop-bleeding", "site": "head", "cause": "phlegm"},
        {"subject": "demo-kelp", "action": "warm-channels-stop-bleeding", "site": "spleen", "cause": "wind-cold"},
        {"subject": "demo-kelp", "action": "free-stool", "site": "stomach"},
    ],
    "doses": [
        {"subject": "demo-seed", "route": "powder", "population": "child"},
        {"subject": "demo-seed", "route": "external", "purpose": "emergency"},
    ],
    "cautions": [
        {"subject": "demo-seed", "topic": "lactation", "evidence": "pharmacopoeia"},
        {"subject": "demo-seed", "topic": "drug", "target": "warfarin"},
    ],
    "handling": [{"subject": "demo-seed", "handling": h} for h in ("ordinary", "pills-powder-only", "wrap")],
    "controls": [{"subject": "demo-leaf", "level": "banned"}],
    "contrast_points": [{"contrast": "demo-contrast", "subject": "demo-seed", "axis": "action"}],
    "formulas": [{"id": "demo-wan", "dosage_form": "pill"}],
}


@check(
    id="unused-source",
    scope="package",
    severity="note",
    why="A source that nothing rests on is a row to keep for nothing, or a sign that citations were lost.",
    passes=[
        {
            "herbs": [
                {"id": f"demo-{herb}", "source": f"demo-{source}"}
                for herb, source in (("leaf", "book"), ("kelp", "classic"), ("root", "standard"))
            ]
        }
    ],
    fails=[{"sources": [{"id": "other-book", "title": "Another invented book", "kind": "textbook"}]}],
)
def unused_source(package: Package) -> Iterator[Problem]:
    """Yield a note for each source that no cell and no rule names."""
    used = _named(package, "sources") | _words_of_rules(package)
    for source in rows(package.tables["sources"]):
        if source.id not in used:
            yield source.problem(
                "id", "No cell and no rule names this source.", tip="Delete it, or cite it where it was read."
            )


@check(
    id="unused-term",
    scope="package",
    severity="note",
    why="A term that nothing uses may be a second word for one in use.",
    passes=[_ALL_USED],
    fails=[{"parts": [{"id": "bark", "name_hans": "皮", "name_hant": "皮", "pinyin": "pí"}]}],
)
def unused_term(package: Package) -> Iterator[Problem]:
    """Yield one note a vocabulary with its terms that no cell, broader term or rule uses. The short closed lists are
    left out."""
    in_rules = _words_of_rules(package)
    for table in package.tables.values():
        name = table.schema.name
        if not table.file.startswith("terms/") or name in _WHOLE_BY_NATURE or not len(table):
            continue
        used = _named(package, name) | in_rules
        unused = [id for id in table.columns["id"] if id not in used]
        if unused:
            more = f" and {len(unused) - 8} more" if len(unused) > 8 else ""
            message = f"{len(unused)} of {len(table)} terms are used nowhere: {', '.join(unused[:8])}{more}."
            yield Problem(
                table.file,
                0,
                "id",
                "",
                "",
                "",
                "",
                message,
                "Delete a term that another one already says; keep one that is waited for.",
            )


@check(
    id="superseded-source",
    scope="package",
    severity="note",
    why="What an older edition said may have been corrected in the newer one.",
    passes=[{"sources": [{"id": "demo-book", "superseded_by": "demo-standard"}]}],
    fails=[
        {
            "sources": [{"id": "demo-book", "superseded_by": "demo-standard"}],
            "herbs": [{"id": "demo-leaf", "source": "demo-book"}],
        }
    ],
)
def superseded_source(package: Package) -> Iterator[Problem]:
    """Yield a note for each source that a newer one supersedes and that rows still cite, with how many do."""
    cited = Counter[str]()
    for table in package.tables.values():
        if table.schema.name != "sources":
            for field in table.schema.fields:
                if field.refers == ("sources",):
                    cited.update(table.columns[field.name])
    for source in rows(package.tables["sources"]):
        if source.superseded_by and cited[source.id]:
            message = f"{source.superseded_by} supersedes it; cells that still cite it: {cited[source.id]}."
            yield source.problem(
                "superseded_by", message, tip=f"Compare them with {source.superseded_by}, what concerns safety first."
            )


@check(
    id="disputed-cell",
    scope="facts",
    severity="note",
    why="Where sources differ the reader must be told, and what the cell lacks is not denied.",
    passes=[
        {
            "citations": [
                {
                    "about_table": "herbs",
                    "record": "demo-leaf",
                    "column": "nature",
                    "source": "demo-book",
                    "stated": "cool",
                }
            ]
        }
    ],
    fails=[
        {
            "citations": [
                {
                    "about_table": "herbs",
                    "record": "demo-leaf",
                    "column": "nature",
                    "source": "demo-book",
                    "stated": "cold",
                }
            ]
        }
    ],
)
def disputed_cell(facts: Facts) -> Iterator[Problem]:
    """Yield a note for each cell of which a standard, law or textbook cited beside it states something else."""
    citations = facts.package.tables["citations"]
    for name, table in facts.package.tables.items():
        for column in table.columns:
            for row, citation in facts.cited.disputed(name, column).items():
                source, stated = (citations.columns[cell][citation] for cell in ("source", "stated"))
                file, line = citations.place(citation)
                message = f"{source} states {stated} ({file}:{line})."
                tip = "Say in the reason of the citation why the cell does not follow it, unless it is said."
                yield table.problem(row, column, "", message, tip=tip)


@check(
    id="column-sorted-apart",
    scope="package",
    severity="error",
    why="A spreadsheet that sorts one column alone gives every row another row's value.",
    safety=True,
    passes=[
        {"parts": _MIXED},
        {"parts": [{"id": f"{letter}-part", "name_en": f"{letter} part"} for letter in "abcdefghijkl"]},
    ],
    fails=[
        {
            "targets": [
                {"id": row["id"], "name_hans": sign}
                for row, sign in zip(_MIXED, sorted("示例根子叶花果藻草皮木石"), strict=True)
            ]
        },
        {
            "doses": [
                {"subject": subject, "route": "decoction", "per": "day", "population": "adult", "max": str(most)}
                for most, subject in enumerate(
                    sorted([*(row["id"] for row in _MIXED), "demo-kelp", "demo-leaf", "demo-root.zhi", "demo-seed"]), 4
                )
            ]
        },
    ],
)
def column_sorted_apart(package: Package) -> Iterator[Problem]:
    """Yield a problem for each column outside the key that stands in perfect order, up or down, while its rows are
    ordered by the key.

    Only columns with at least ten different values are judged, since chance puts one of those in order once in three
    million tables; and none that follows its key anyway, most of its values beginning as the key's do.
    """
    for table in package.tables.values():
        if len(table) < _FEW:
            continue
        first = table.columns[table.schema.key[0]]
        for field in table.schema.fields:
            if field.name in table.schema.key or field.name == "position":
                continue
            column = table.columns[field.name]
            values = [cell for cell in column if cell]
            if not _in_order(values, field.type) or len(set(values)) < _FEW:
                continue
            if not _follows([(own, cell) for own, cell in zip(first, column, strict=True) if cell]):
                row = column.index(values[0])
                message = (
                    f"The whole column {field.name} stands in order, while the rows go by {table.schema.key[0]}: "
                    "it was sorted by itself."
                )
                tip = "Take the column back from the last version that was right."
                yield table.problem(row, field.name, "", message, tip=tip)


def _in_order(values: Sequence[str], kind: str) -> bool:
    places: Sequence[Any] = [_number(value) for value in values] if kind in ("number", "integer") else values
    up = down = True
    for one, other in pairwise(places):
        up, down = up and one <= other, down and one >= other
        if not up and not down:
            return False
    return True


def _follows(cells: Sequence[tuple[str, str]]) -> bool:
    """Whether most values begin as the key does, as a name does from which an id was made."""
    alike = sum(toneless(own)[:2] == toneless(cell)[:2] for own, cell in cells)
    return alike * 2 > len(cells)


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0


def _named(package: Package, vocabulary: str) -> set[str]:
    """Every id that some cell which refers to this table names."""
    found = set[str]()
    for table in package.tables.values():
        for field in table.schema.fields:
            if vocabulary in field.refers:
                for cell in set(table.columns[field.name]):
                    found.update(cell.removeprefix("-") for cell in (cell.split(";") if field.is_list else (cell,)))
    return found


def _words_of_rules(package: Package) -> set[str]:
    return {word for text in package.rules.values() for word in _ID.findall(text)}
