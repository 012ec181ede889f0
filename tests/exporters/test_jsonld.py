"""Linked data is parsed offline by two libraries that did not write it, and compared with the tables."""

import json
import os
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import rdflib
from materia_exporters.jsonld import export
from pyld import jsonld
from rdflib.namespace import SKOS

from materia_data import Materia
from tests.exporters.outputs import graph

M = rdflib.Namespace("https://materia-data.example/ns#")
PROV = rdflib.Namespace("http://www.w3.org/ns/prov#")


@pytest.fixture(scope="module")
def data(small: Materia, shipped: Materia) -> Materia:
    """A small package; the shipped one with MATERIA_DEEP=1."""
    return shipped if os.environ.get("MATERIA_DEEP") else small


@pytest.fixture(scope="module")
def made(data: Materia, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data as linked data."""
    folder = tmp_path_factory.mktemp("jsonld")
    export(data, folder, {})
    return folder


def expanded(folder: Path) -> str:
    """N-Quads by PyLD, which may read nothing but the context beside the file."""
    context = json.loads((folder / "context.jsonld").read_text(encoding="utf-8"))

    def loader(url: str, options: Any) -> dict[str, Any]:
        if not url.endswith("/context.jsonld"):
            raise ValueError(url)
        return {"contentType": "application/ld+json", "contextUrl": None, "documentUrl": url, "document": context}

    document = json.loads((folder / "materia.jsonld").read_text(encoding="utf-8"))
    options = {"base": (folder / "materia.jsonld").as_uri(), "documentLoader": loader, "format": "application/n-quads"}
    return str(jsonld.to_rdf(document, options))


def test_both_libraries_read_the_same_graph(made: Path) -> None:
    """The same triples, compared as a canonical graph (language tags are read without regard to case, BCP 47)."""
    other = rdflib.Graph().parse(data=expanded(made), format="nquads")
    assert len(other) == len(graph(made)) > 1000
    assert _comparable(other) == _comparable(graph(made))


def _comparable(parsed: Any) -> Counter[tuple[str, ...]]:
    def shown(term: Any) -> str:
        if isinstance(term, rdflib.BNode):
            return "_"
        if isinstance(term, rdflib.Literal):
            return f"{str(term)!r} {str(term.language).lower()} {term.datatype}"
        return str(term)

    return Counter(tuple(map(shown, triple)) for triple in parsed)


def test_every_row_of_every_table_is_a_node(made: Path, data: Materia) -> None:
    """Counted by class: as many nodes as rows."""
    rows: Counter[str] = Counter()
    for table in data.package.tables.values():
        rows[table.schema.iri] += len(table)
    counted = {
        str(kind): int(number)
        for kind, number in graph(made).query("SELECT ?t (COUNT(?s) AS ?n) { ?s a ?t } GROUP BY ?t")
    }
    assert {iri: counted.get(iri, 0) for iri in rows} == dict(rows)


def test_cautions_by_state_are_those_of_the_table(made: Path, data: Materia) -> None:
    """Each state as often as in cautions.csv, and antagonisms likewise."""
    for table, kind in (("cautions", "Caution"), ("antagonisms", "Antagonism")):
        question = (
            f"PREFIX m: <{M}> SELECT ?state (COUNT(?c) AS ?n) {{ ?c a m:{kind} ; m:state ?state }} GROUP BY ?state"
        )
        counted = {str(state): int(number) for state, number in graph(made).query(question)}
        assert counted == Counter(data.package.tables[table].columns["state"])


def test_vocabularies_are_skos_schemes(made: Path, data: Materia) -> None:
    """SKOS reference, S14: one preferred label a language. Each term has its notation and stands in its scheme."""
    parsed = graph(made)
    flavors = data.package.tables["flavors"]
    schemes = parsed.subjects(rdflib.RDF.type, SKOS.ConceptScheme)
    (scheme,) = [each for each in schemes if str(each).endswith("/flavors")]
    terms = {str(parsed.value(each, SKOS.notation)): each for each in parsed.subjects(SKOS.inScheme, scheme)}
    assert set(terms) == set(flavors.columns["id"])
    for row in map(flavors.row, range(len(flavors))):
        labels = {label.language.lower(): str(label) for label in parsed.objects(terms[row["id"]], SKOS.prefLabel)}
        assert labels == {"en": row["name_en"], "zh-hans": row["name_hans"], "zh-hant": row["name_hant"]}
        broader = {str(each).rpartition("/")[2] for each in parsed.objects(terms[row["id"]], SKOS.broader)}
        assert broader == set(filter(None, row["broader"].split(";")))
    for concept in parsed.subjects(rdflib.RDF.type, SKOS.Concept):
        languages = [label.language for label in parsed.objects(concept, SKOS.prefLabel)]
        assert len(languages) == len(set(languages))


def test_only_what_was_read_has_a_primary_source(made: Path, data: Materia) -> None:
    """PROV-O: hadPrimarySource for rows collated from a standard, law or classic, wasDerivedFrom for the recalled."""
    parsed = graph(made)
    kinds = dict(zip(*(data.package.tables["sources"].columns[name] for name in ("id", "kind")), strict=True))
    rows = [
        table.row(row)
        for table in data.package.tables.values()
        if "basis" in table.columns
        for row in range(len(table))
    ]
    sourced = [row for row in rows if row["source"]]
    primary = [
        row for row in sourced if row["basis"] == "collated" and kinds[row["source"]] in ("standard", "law", "classic")
    ]
    assert len(list(parsed.subject_objects(PROV.hadPrimarySource))) == len(primary) > 0
    assert len(list(parsed.subject_objects(PROV.wasDerivedFrom))) == len(sourced) - len(primary) > 0


def test_order_of_flavours_is_kept(made: Path, data: Materia) -> None:
    """Flavours and channels are lists in the order of the standard."""
    herbs = data.package.tables["herbs"]
    row = next(row for row, channels in enumerate(herbs.columns["channels"]) if channels.count(";") > 1)
    subject = rdflib.URIRef((made / "herbs" / herbs.columns["id"][row]).as_uri())
    first = next(graph(made).objects(subject, M.channels))
    listed = [str(each).rpartition("/")[2] for each in rdflib.collection.Collection(graph(made), first)]
    assert listed == herbs.columns["channels"][row].split(";")


def test_the_file_is_sorted_lines(made: Path, data: Materia) -> None:
    """One node a line, so that two releases can be compared line by line; the release stands in the data set's node."""
    lines = (made / "materia.jsonld").read_text(encoding="utf-8").split("\n")[1:-2]
    nodes = [json.loads(line.rstrip(",")) for line in lines]
    assert all(list(node) == sorted(node) for node in nodes)
    assert next(node for node in nodes if node["type"] == "schema:Dataset")["schema:version"] == data.release_id
    assert len({node["id"] for node in nodes}) == len(nodes)
