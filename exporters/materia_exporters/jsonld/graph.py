"""The graph: one node a row, with SKOS for vocabularies, PROV for sources, schema.org for names where it is true."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from materia_data import TEACHING, table_schemas
from materia_exporters.jsonld.address import address, reference

if TYPE_CHECKING:
    from materia_data import Materia, TableSchema

Node = dict[str, Any]
_LICENCE = "https://creativecommons.org/licenses/by/4.0/"
_SUBJECTS = ("herbs", "forms", "formulas")
_NAMES = {"name_en": "en", "name_hans": "zh-Hans", "name_hant": "zh-Hant", "pinyin": "zh-Latn-pinyin", "latin": "la"}
_PRIMARY = ("standard", "law", "classic")


def graph(materia: "Materia", more: Mapping[str, Node]) -> Iterator[Node]:
    """Every node: the data set itself, the concept schemes, then the tables in alphabetical order.

    more: what else to say of a node, by its address.
    """
    yield _dataset(materia)
    for name, schema in table_schemas().items():
        if _is_scheme(schema):
            yield {
                "id": name,
                "type": "skos:ConceptScheme",
                "skos:prefLabel": _text(schema.title, "en"),
                "skos:definition": _text(schema.description, "en"),
            }
    nodes = _Nodes(materia)
    for schema in table_schemas().values():
        for row in range(len(materia.package.tables[schema.name])):
            node = nodes.of(schema, materia.package.tables[schema.name].row(row))
            yield node | more.get(node["id"], {})


def _dataset(materia: "Materia") -> Node:
    return {
        "id": "",
        "type": "schema:Dataset",
        "schema:name": _text("The Chinese materia medica for teaching", "en"),
        "schema:description": _text(TEACHING, "en"),
        "schema:version": materia.release_id,
        "schema:creativeWorkStatus": materia.signed_off,
        "schema:license": {"@id": _LICENCE},
    }


def _is_scheme(schema: "TableSchema") -> bool:
    return schema.path.startswith("terms/") or schema.name in ("categories", "groups")


def _text(text: str, language: str) -> Node:
    return {"@value": text, "@language": language}


class _Nodes:
    def __init__(self, materia: "Materia") -> None:
        self._materia = materia
        sources = materia.package.tables["sources"].columns
        self._source_kinds = dict(zip(sources["id"], sources["kind"], strict=True))
        self._other_names: dict[str, list[Node]] = {}
        names = materia.package.tables["names"]
        for row in map(names.row, range(len(names))):
            if row["kind"] != "misspelling":
                self._other_names.setdefault(row["subject"], []).append(_text(row["name"], row["lang"]))

    def of(self, schema: "TableSchema", row: Mapping[str, str]) -> Node:
        node: Node = {"id": address(schema.name, [row[column] for column in schema.key])}
        node["type"] = [schema.iri.rpartition("#")[2]]
        for field in schema.fields:
            if field.name != "id" and row[field.name]:
                self._cell(node, field.name, row[field.name], listed=field.is_list, tables=field.refers)
        if "id" in row:
            node["dcterms:identifier"] = row["id"]
        if _is_scheme(schema):
            self._concept(node, schema, row)
        if schema.name in _SUBJECTS:
            self._subject(node, schema, row)
        if schema.name == "sources":
            node["type"] += ["prov:Entity", "schema:CreativeWork"]
        if row.get("basis") and row.get("source"):
            self._provenance(node, row)
        return node

    def _cell(self, node: Node, column: str, text: str, *, listed: bool, tables: tuple[str, ...]) -> None:
        """Values of a cell. `-` in a list states none; `-name` takes a value away."""
        items = [item for item in text.split(";") if item] if listed else [text]
        if listed and "-" in items:
            node.setdefault("m:statesNone", []).append(column)
        for item in items:
            if listed and tables and item.startswith("-") and item != "-":
                node.setdefault("m:drops", []).append({"@id": reference(self._materia, tables, item[1:])})
        kept = [item for item in items if not (listed and tables and item.startswith("-"))]
        values = [reference(self._materia, tables, item) if tables else item for item in kept]
        if values:
            node[column] = values if listed else values[0]

    def _concept(self, node: Node, schema: "TableSchema", row: Mapping[str, str]) -> None:
        """SKOS: https://www.w3.org/TR/skos-reference/"""
        node["type"].append("skos:Concept")
        node["skos:notation"] = row["id"]
        node["skos:inScheme"] = {"@id": schema.name}
        named = {"name_hans": "zh-Hans", "name_hant": "zh-Hant"} | ({"name_latin": "la"} if "name_latin" in row else {})
        if schema.name == "taxa":
            named["name_en"] = "en"
        labels = [_text(row[column], language) for column, language in named.items() if row.get(column)]
        if labels:
            node["skos:prefLabel"] = labels
        if schema.name == "groups" and row["category"]:
            node["skos:broader"] = {"@id": address("categories", [row["category"]])}
        elif not row.get("broader"):
            node["skos:topConceptOf"] = {"@id": schema.name}
        if schema.name == "taxa" and row["kind"] == "organism":
            node["type"].append("schema:Taxon")

    def _subject(self, node: Node, schema: "TableSchema", row: Mapping[str, str]) -> None:
        """schema.org: a medicinal is a Substance; whether it is a drug or a food is for law to say."""
        if schema.name != "formulas":
            node["type"].append("schema:Substance")
        node["schema:name"] = [_text(row[column], lang) for column, lang in _NAMES.items() if row.get(column)]
        if row["id"] in self._other_names:
            node["schema:alternateName"] = self._other_names[row["id"]]

    def _provenance(self, node: Node, row: Mapping[str, str]) -> None:
        """PROV: https://www.w3.org/TR/prov-o/. Only what was opened and read has its source as primary source."""
        read = row["basis"] == "collated" and self._source_kinds.get(row["source"]) in _PRIMARY
        term = "prov:hadPrimarySource" if read else "prov:wasDerivedFrom"
        node[term] = {"@id": address("sources", [row["source"]])}
