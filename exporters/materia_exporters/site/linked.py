"""A page as linked data: the rows it is made of, and what holds of its subjects, with the terms of `context.jsonld`."""

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any
from urllib.parse import quote

from materia_data import TableSchema, table_schemas
from materia_exporters.site.book import Book

_NAMES = {"name_en": "en", "name_hans": "zh-Hans", "name_hant": "zh-Hant", "pinyin": "zh-Latn-pinyin", "latin": "la"}
_SUBJECTS = frozenset({"herbs", "forms", "formulas"})
_ABOUT = ("names", "species", "herb_actions", "doses", "cautions", "handling", "controls", "aids")


def subject_data(book: Book, path: str, ids: Sequence[str]) -> str:
    """Of a medicinal with its forms, or a formula: their own rows, and the cautions that hold of each."""
    facts, made = book.facts, []
    for id in ids:
        kind = facts.kind(id)
        node = _node(book, table_schemas()[kind], book.row(kind, id))
        node["schema:name"] = [
            {"@value": book.row(kind, id)[column], "@language": lang}
            for column, lang in _NAMES.items()
            if book.row(kind, id).get(column)
        ]
        cautions = book.of(id, "caution")
        node["m:effectiveCaution"] = [
            {"@id": _address(table_schemas()["cautions"], book.row_of(fact))} for fact in cautions
        ]
        said = {value for fact in cautions for key, value in fact.qualifiers if key == "topic"}
        node["m:notChecked"] = [{"@id": f"topics/{topic}"} for topic in book.topics if topic not in said]
        made.append(node)
        made += [
            _node(book, table_schemas()[table], row) for table in _ABOUT for row in book.rows(table, "subject", id)
        ]
        made += [
            _node(book, table_schemas()["formula_items"], row) for row in book.rows("formula_items", "formula", id)
        ]
    return _document(path, made)


def list_data(book: Book, path: str, table: str, id: str, members: Iterable[str]) -> str:
    """Of a category or a group: its row, and its members."""
    node = _node(book, table_schemas()[table], book.row(table, id))
    node["schema:hasPart"] = [{"@id": _of(book, member)} for member in members]
    return _document(path, [node])


def _document(path: str, nodes: list[dict[str, Any]]) -> str:
    root = "../" * path.count("/")
    nodes[0]["schema:url"] = {"@id": path}
    terms = {"@base": root or "./", "schema": "https://schema.org/"}
    lines = ",\n".join(json.dumps(node, ensure_ascii=False, sort_keys=True) for node in nodes)
    return f'{{"@context": ["{root}context.jsonld", {json.dumps(terms)}], "@graph": [\n{lines}\n]}}\n'


def _node(book: Book, schema: TableSchema, row: Mapping[str, str]) -> dict[str, Any]:
    node: dict[str, Any] = {"id": _address(schema, row), "type": schema.iri.rpartition("#")[2]}
    for field in schema.fields:
        cell = row[field.name]
        if field.name == "id" or not cell:
            continue
        items = [item for item in cell.split(";") if item and item[0] != "-"] if field.is_list else [cell]
        values = [_reference(book, field.refers, item) if field.refers else item for item in items]
        if values:
            node[field.name] = values if field.is_list else values[0]
    return node


def _address(schema: TableSchema, row: Mapping[str, str]) -> str:
    return f"{schema.name}/{','.join(quote(row[column], safe='') for column in schema.key)}"


def _of(book: Book, subject: str) -> str:
    return _reference(book, tuple(_SUBJECTS), subject)


def _reference(book: Book, tables: tuple[str, ...], id: str) -> str:
    kind = book.materia.package.subject_table(id) if _SUBJECTS & set(tables) else None
    if kind is None:
        kind = next((table for table in tables if id in book.tables[table].rows_of("id")), tables[0])
    return f"{kind}/{quote(id, safe='')}"
