"""datapackage.json: what the schemas generate, byte for byte."""

import json
from pathlib import Path

import frictionless
import pytest

from materia_data.places import data_root
from materia_data.read.descriptor import descriptor, descriptor_text
from materia_data.read.package import read_package
from materia_data.read.schema import table_schemas
from tests.read.damage import only, place

FILE = "datapackage.json"


@pytest.mark.parametrize(
    ("content", "line", "rule", "says"),
    [
        (b"", 1, "damaged-descriptor", "empty"),
        (b"{", 1, "damaged-descriptor", "not JSON"),
        (b'{\n  "name": "x",\n  oops\n}', 3, "damaged-descriptor", "not JSON"),
        (b"[]", 1, "damaged-descriptor", "not an object"),
        (b"[" * 100_000, 1, "damaged-descriptor", "brackets deep"),
        (b'{"a":' * 70 + b"1" + b"}" * 70, 1, "damaged-descriptor", "brackets deep"),
        (b'{"name": "\xff"}', 1, "damaged-descriptor", "UTF-8"),
        (b'\xef\xbb\xbf{"name": "x"}', 1, "damaged-descriptor", "byte order mark"),
        (b'{"n": ' + b"9" * 5000 + b"}", 1, "damaged-descriptor", "not JSON"),
        (b"{}\n", 1, "outdated-descriptor", "schemas generate"),
    ],
    ids=lambda value: str(value)[:20],
)
def test_a_descriptor_that_is_damaged_or_outdated_is_said(
    little_package: Path, content: bytes, line: int, rule: str, says: str
) -> None:
    """With the line, and the one command that mends it."""
    (little_package / FILE).write_bytes(content)
    problem = only(little_package)
    assert place(problem) == (FILE, line, "", rule)
    assert says in problem.message
    assert "make generate" in problem.tip


def test_one_byte_that_differs_is_found_at_its_line(little_package: Path) -> None:
    """A column renamed in the descriptor alone."""
    lines = (little_package / FILE).read_text(encoding="utf-8").split("\n")
    number = next(i for i, line in enumerate(lines) if '"name": "implied_cause"' in line)
    lines[number] = lines[number].replace("implied_cause", "implied-cause")
    (little_package / FILE).write_text("\n".join(lines), encoding="utf-8")
    assert place(only(little_package)) == (FILE, number + 1, "", "outdated-descriptor")


def test_a_lost_last_line_feed_is_found(little_package: Path) -> None:
    """Byte for byte means the last one too."""
    (little_package / FILE).write_bytes((little_package / FILE).read_bytes()[:-1])
    assert place(only(little_package))[3] == "outdated-descriptor"


def test_the_data_version_is_kept(little_package: Path) -> None:
    """The version is the file's own; all else comes from the schemas."""
    text = (little_package / FILE).read_text(encoding="utf-8").replace('"version": "0.1.0"', '"version": "2.3.4"')
    (little_package / FILE).write_text(text, encoding="utf-8")
    package = read_package(little_package)
    assert package.version == "2.3.4"
    assert descriptor(little_package)["version"] == "2.3.4"
    assert descriptor_text(little_package) == text


def test_a_version_that_is_none_is_outdated(little_package: Path) -> None:
    """A version has three numbers."""
    text = (little_package / FILE).read_text(encoding="utf-8").replace('"version": "0.1.0"', '"version": "new"')
    (little_package / FILE).write_text(text, encoding="utf-8")
    assert place(only(little_package))[3] == "outdated-descriptor"


def test_the_descriptor_has_each_table_once_with_its_schema() -> None:
    """Resources in order of name, encoding and format stated. Source: Data Package 2.0."""
    made = descriptor(data_root())
    assert [resource["name"] for resource in made["resources"]] == sorted(table_schemas())
    for resource in made["resources"]:
        assert (resource["encoding"], resource["format"], resource["mediatype"]) == ("utf-8", "csv", "text/csv")
        assert [field["name"] for field in resource["schema"]["fields"]] == list(
            table_schemas()[resource["name"]].by_name
        )


def test_frictionless_takes_the_descriptor_and_finds_the_package_valid(little_package: Path) -> None:
    """The standard's own reader agrees on a valid package. Outside check: frictionless, Data Package 2.0."""
    report = frictionless.Package(str(little_package / FILE)).validate()
    assert report.valid, report.flatten(["title", "message"])[:5]


def test_frictionless_finds_the_shipped_package_valid() -> None:
    """What we ship opens elsewhere. Outside check: frictionless, Data Package 2.0."""
    report = frictionless.Package(str(data_root() / FILE)).validate()
    assert report.valid, report.flatten(["title", "message"])[:5]
    assert report.stats["tasks"] == len(table_schemas())


def test_the_descriptor_is_written_in_unicode_with_two_spaces(little_package: Path) -> None:
    """Readable in a diff."""
    text = descriptor_text(little_package)
    assert text.endswith("}\n") and "\\u" not in text
    assert json.loads(text) == descriptor(little_package)
