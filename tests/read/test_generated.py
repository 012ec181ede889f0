"""Generated files are what the schemas give, and say what they should."""

import json
from pathlib import Path

import pytest
from pyld import jsonld
from rdflib import Graph

from materia_data.read.findings import FINDINGS
from materia_data.read.schema import table_schemas
from tools import generate


def test_generated_files_are_up_to_date(capsys: pytest.CaptureFixture[str]) -> None:
    """`make generate` has been run."""
    assert generate.main(["check"]) == 0, capsys.readouterr().out


def test_drift_names_the_file_the_command_and_the_difference() -> None:
    """One look is enough to mend it."""
    message = generate.difference("docs/x.md", "a\nflavor\n", "a\nflavors\n")
    assert message.splitlines()[0] == "docs/x.md is not what the schemas give. Run `make generate`."
    assert "  -flavor" in message and "  +flavors" in message
    long = generate.difference("docs/x.md", "", "line\n" * 500)
    assert len(long.splitlines()) < 20 and "more lines" in long


def test_check_fails_on_a_stale_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """And write mends it."""
    monkeypatch.setattr(generate, "ROOT", tmp_path)
    assert generate.main(["check"]) == 1
    assert "docs/tables.md" in capsys.readouterr().out
    assert generate.main(["write"]) == 0
    assert generate.main(["check"]) == 0


@pytest.mark.parametrize("arguments", [[], ["rewrite"], ["write", "check"]])
def test_another_mode_is_refused(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """With the three that exist."""
    assert generate.main(arguments) == 2
    assert "write|check|print" in capsys.readouterr().err


def test_every_column_and_finding_has_its_line_in_the_docs() -> None:
    """No table, column, finding or reason is left out."""
    tables, findings = generate.table_pages(), generate.finding_page()
    for schema in table_schemas().values():
        assert f"### {schema.name}: {schema.title}" in tables
        assert all(f"| `{field.name}` | {field.title} |" in tables for field in schema.fields)
    assert all(f"| `{rule}` | " in findings for rule in FINDINGS)


def test_the_context_turns_a_row_into_the_same_triples_in_two_libraries() -> None:
    """References become addresses, lists keep order, numbers and languages are typed.

    Outside check: PyLD and rdflib, JSON-LD 1.1.
    """
    context = json.loads(generate.context())["@context"]
    row = {
        "@context": [context, {"@base": "https://demo.example/"}],
        "id": "herbs/demo-leaf",
        "type": "Medicinal",
        "name_hans": "示例叶",
        "nature": "natures/cool",
        "flavors": ["flavors/pungent", "flavors/bitter"],
        "traits": ["traits/aromatic"],
    }
    dose = {
        "@context": [context, {"@base": "https://demo.example/"}],
        "id": "doses/1",
        "type": "Dose",
        "subject": "herbs/demo-leaf",
        "min": "1.5",
        "max_days": "14",
    }
    for document in (row, dose):
        ours = Graph().parse(data=jsonld.to_rdf(document, {"format": "application/n-quads"}), format="nquads")
        theirs = Graph().parse(data=json.dumps(document), format="json-ld")
        assert ours.isomorphic(theirs)
        turtle = theirs.serialize(format="nt")
        if document is row:
            assert "<https://demo.example/natures/cool>" in turtle
            assert "@zh-hans" in turtle.lower()
            assert turtle.index("flavors/") > 0 and "rdf-syntax-ns#first" in turtle
        else:
            assert '"1.5"^^<http://www.w3.org/2001/XMLSchema#decimal>' in turtle
            assert '"14"^^<http://www.w3.org/2001/XMLSchema#integer>' in turtle


def test_every_column_has_a_term_in_the_context_of_its_class() -> None:
    """No column is dropped on the way to linked data."""
    context = json.loads(generate.context())["@context"]
    for schema in table_schemas().values():
        scoped = context[schema.iri.rpartition("#")[2]]["@context"]
        for field in schema.fields:
            if field.name != "id":
                assert scoped[field.name]["@id"] == field.iri
                assert ("@container" in scoped[field.name]) == field.is_list
                assert (scoped[field.name].get("@type") == "@id") == bool(field.refers)
