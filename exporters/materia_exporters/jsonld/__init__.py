"""Linked data: materia.jsonld, every row of every table as a node, beside the context.jsonld it is read with."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from materia_data import schema_root
from materia_exporters.jsonld.effective import effective, not_confirmed
from materia_exporters.jsonld.graph import graph

if TYPE_CHECKING:
    from materia_data import Materia

_CONTEXT = {
    "prov": "http://www.w3.org/ns/prov#",
    "schema": "https://schema.org/",
}


def export(materia: "Materia", out: Path, options: Mapping[str, str]) -> None:
    """Write both files. One node a line, keys sorted; addresses are relative to the file: `herbs/ban-xia`."""
    nodes = graph(materia, {**effective(materia), **not_confirmed(materia)})
    lines = ",\n".join(json.dumps(node, ensure_ascii=False, sort_keys=True) for node in nodes)
    context = json.dumps(["context.jsonld", _CONTEXT], sort_keys=True)
    document = f'{{"@context": {context}, "@graph": [\n{lines}\n]}}\n'
    (out / "materia.jsonld").write_text(document, encoding="utf-8", newline="\n")
    (out / "context.jsonld").write_bytes((schema_root() / "context.jsonld").read_bytes())


export.summary = "linked data: one JSON-LD file with its context"  # type: ignore[attr-defined]
