"""What `datapackage.json` must be: the Data Package descriptor that the table schemas generate."""

import json
import re
from pathlib import Path
from typing import Any

from materia_data.read.schema import table_schema_files

FILE = "datapackage.json"
FIRST_VERSION = "0.1.0"
_VERSION = re.compile(r'"version": "([0-9A-Za-z.+-]{1,64})"')


def descriptor(root: Path) -> dict[str, Any]:
    """The descriptor for the package in this folder: every schema inlined, the data version kept from the file that stands there.

    Source: Data Package 2.0, https://datapackage.org/standard/data-package/
    """
    return {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": "materia-data",
        "title": "The Chinese materia medica for teaching",
        "description": "Medicinals, their forms, actions, doses, cautions, relations and formulas, with where each value comes from. "
        "For teaching; local law, the current pharmacopoeia and licensed practice decide.",
        "version": data_version(root),
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
    try:
        text = (root / FILE).read_bytes()[:65536].decode("utf-8", "replace")
    except OSError:
        return FIRST_VERSION
    found = _VERSION.search(text)
    return found[1] if found else FIRST_VERSION


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
