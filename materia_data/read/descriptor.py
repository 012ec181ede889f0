"""What `datapackage.json` must be: the Data Package descriptor that the table schemas generate."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from materia_data.problem import Problem
from materia_data.read.files import TABLE_BYTES, file_problem, read_file
from materia_data.read.schema import table_schema_files
from materia_data.read.shown import shown

FILE = "datapackage.json"
FIRST_VERSION = "0.1.0"
_VERSION = re.compile(r'"version": "([0-9]{1,9}\.[0-9]{1,9}\.[0-9]{1,9}(?:[.+-][0-9A-Za-z.+-]{1,40})?)"')
_RELEASED = re.compile(r'"released": "([0-9a-f]{64})"')
_BRACKETS = re.compile(r'"(?:[^"\\]++|\\.)*+"|[\[\]{}]')
_DEEPEST = 64
_MEND = "Run `make generate`, which writes it from the schemas and keeps the data version."


def descriptor(root: Path) -> dict[str, Any]:
    """The descriptor for the package in this folder: every schema inlined, the data version and the digest of the last
    release kept from the file that stands there.

    Source: Data Package 2.0, https://datapackage.org/standard/data-package/
    """
    return {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": "materia-data",
        "title": "The Chinese materia medica for teaching",
        "description": "Medicinals, their forms, actions, doses, cautions, relations, formulas, and where each value "
        "comes from. For teaching; local law, the current pharmacopoeia and licensed practice decide.",
        "version": data_version(root),
        **({"released": of} if (of := released(root)) else {}),
        "licenses": [
            {
                "name": "CC-BY-4.0",
                "path": "https://creativecommons.org/licenses/by/4.0/",
                "title": "Creative Commons Attribution 4.0 International",
            }
        ],
        "contributors": [
            {"title": "Maintainers", "roles": ["contactPerson"]},
            {"title": "Contributors", "roles": ["dataCurator"]},
        ],
        "resources": [_resource(schema) for schema in table_schema_files().values()],
    }


def descriptor_text(root: Path) -> str:
    """The same as the text of the file: two-space JSON, characters as they are, LF at the end."""
    return json.dumps(descriptor(root), ensure_ascii=False, indent=2) + "\n"


def data_version(root: Path) -> str:
    """The data version that stands in the folder's descriptor, or the first version where none can be read."""
    data = read_file(root, FILE, TABLE_BYTES)
    if isinstance(data, Problem):
        return FIRST_VERSION
    found = _VERSION.search(data[:65536].decode("utf-8", "replace"))
    return found[1] if found else FIRST_VERSION


def released(root: Path) -> str:
    """The digest over the data files as they were released under the descriptor's version, 64 hex digits; the empty
    string before the first release."""
    data = read_file(root, FILE, TABLE_BYTES)
    found = None if isinstance(data, Problem) else _RELEASED.search(data[:65536].decode("utf-8", "replace"))
    return found[1] if found else ""


def check_descriptor(root: Path) -> Iterator[Problem]:
    """The problem of a descriptor that is not, byte for byte, what the schemas generate: damaged or outdated, at its
    first line that differs."""
    path = root / FILE
    if not root.is_dir():
        return
    if not path.is_file() and not path.is_symlink():
        yield file_problem(FILE, "missing-file", "The package has no descriptor.", _MEND)
        return
    data = read_file(root, FILE, TABLE_BYTES)
    if isinstance(data, Problem):
        yield data
        return
    right = descriptor_text(root).encode()
    if data == right:
        return
    damage = _damage(data)
    if damage:
        line, message = damage
        yield file_problem(FILE, "damaged-descriptor", message, _MEND, line=line)
        return
    lines, wanted = data.split(b"\n"), right.split(b"\n")
    line = next(
        (i for i, pair in enumerate(zip(lines, wanted, strict=False)) if pair[0] != pair[1]),
        min(len(lines), len(wanted)) - 1,
    )
    here = lines[line].decode("utf-8", "replace").strip()
    message = f"It is not what the schemas generate, from this line on: “{shown(here)}”."
    yield file_problem(FILE, "outdated-descriptor", message, _MEND, line=line + 1, value=here[:200])


def _damage(data: bytes) -> tuple[int, str] | None:
    """Line and nature of what keeps the bytes from being a JSON object."""
    if not data.strip():
        return 1, "The file is empty."
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        return data.count(b"\n", 0, error.start) + 1, "The file is not UTF-8."
    if text.startswith("\ufeff"):
        return 1, "The file begins with a byte order mark."
    depth = deepest = 0
    for mark in _BRACKETS.findall(text):
        depth += 1 if mark in "[{" else -1 if mark in "]}" else 0
        deepest = max(deepest, depth)
    if deepest > _DEEPEST:
        return 1, f"It nests {deepest} brackets deep; no descriptor does."
    try:
        found = json.loads(text)
    except json.JSONDecodeError as error:
        return error.lineno, f"It is not JSON: {error.msg[:1].lower()}{error.msg[1:]} at character {error.colno}."
    except (ValueError, RecursionError):
        return 1, "It is not JSON that can be read."
    return None if isinstance(found, dict) else (1, "It is JSON, but not an object.")


def _resource(schema: dict[str, Any]) -> dict[str, Any]:
    inner = {key: value for key, value in schema.items() if key not in ("name", "path", "title", "description")}
    return {
        "$schema": "https://datapackage.org/profiles/2.0/dataresource.json",
        "name": schema["name"],
        "type": "table",
        "title": schema["title"],
        "description": schema["description"],
        "path": schema["path"],
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": inner,
    }
