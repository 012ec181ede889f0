"""How a test reads outputs back: each function gives every caution that stands in an output folder."""

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import duckdb
from markdown_it import MarkdownIt

from materia_data import load
from materia_data.read.table import Table
from materia_data.testing import Caution


def cautions_in_parquet(out: Path) -> Iterator[Caution]:
    """Read with DuckDB: of medicinals from the wide table, of formulas from the table of cautions."""
    wide = f"select id, unnest(cautions, recursive := true) from '{out}/medicinals.parquet'"
    medicinals = f"select id, topic, target, state from ({wide})"
    formulas = (
        f"select subject, topic, target, state from '{out}/cautions.parquet' "
        f"where subject in (select id from '{out}/formulas.parquet')"
    )
    for subject, topic, target, state in duckdb.sql(f"{medicinals} union all {formulas}").fetchall():
        yield Caution(subject, topic, target or "", state)


def cautions_in_jsonld(out: Path) -> Iterator[Caution]:
    """Read as linked data, each subject's effective cautions followed to their nodes."""
    for row in graph(out).query(
        "PREFIX m: <https://materia-data.example/ns#> SELECT ?subject ?topic ?target ?state WHERE "
        "{ ?subject m:effectiveCaution ?c . ?c m:topic ?topic ; m:state ?state . OPTIONAL { ?c m:target ?target } }"
    ):
        subject, topic, target = (str(term).rpartition("/")[2] if term else "" for term in row[:3])
        yield Caution(subject, topic, target, str(row[3]))


@cache
def graph(out: Path) -> Any:
    """The linked data of an output, by rdflib."""
    import rdflib

    return rdflib.Graph().parse(out / "materia.jsonld")


def cautions_in_monographs(out: Path) -> Iterator[Caution]:
    """Read from the pages as a CommonMark reader shows them, characters turned back into ids by the shipped tables."""
    tables = load().package.tables
    topics, targets = ({row["name_en"]: row["id"] for row in _rows(tables[name])} for name in ("topics", "targets"))
    forms = _rows(tables["forms"])
    characters = {row["id"]: row["name_hans"] for name in ("herbs", "forms", "formulas") for row in _rows(tables[name])}
    for page in sorted(out.glob("*/*.md")):
        family = [page.stem, *(row["id"] for row in forms if row["herb"] == page.stem)]
        for found in filter(None, map(_LINE.fullmatch, items_of(page, "Safety first"))):
            named = found["who"].split(", ") if found["who"] else [characters[id] for id in family]
            for id in family:
                if found["topic"] in topics and characters[id] in named:
                    target = targets[found["target"]] if found["target"] else ""
                    yield Caution(id, topics[found["topic"]], target, found["state"])


def _rows(table: Table) -> list[dict[str, str]]:
    return [table.row(row) for row in range(len(table))]


_STATE = "contraindicated|avoid|caution|none-stated"
_LINE = re.compile(
    rf"(?P<state>{_STATE}) · (?P<topic>[^,·:]+)(?:, (?P<target>[^·:]+?))?(?: · (?P<who>[^:]+))?: .*", re.S
)


def items_of(page: Path, section: str) -> list[str]:
    """The list items of a section, as plain text; without the list that begins after another paragraph."""
    tokens = MarkdownIt("commonmark").enable("table").parse(page.read_text(encoding="utf-8"))
    texts, inside, depth, lists = [], False, 0, 0
    for place, token in enumerate(tokens):
        if token.type == "heading_open" and token.tag == "h2":
            inside = tokens[place + 1].content == section
            lists = 0
        elif token.type == "bullet_list_open":
            lists += depth == 0
            depth += 1
        elif token.type == "bullet_list_close":
            depth -= 1
        elif token.type == "inline" and inside and depth and lists == 1:
            texts.append("".join(child.content for child in token.children or () if child.type != "softbreak"))
    return texts
