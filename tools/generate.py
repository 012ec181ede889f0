"""Write, check or print every file that is made from the schemas: `python tools/generate.py write|check|print`."""

import json
import sys
from collections.abc import Callable
from difflib import unified_diff
from functools import partial
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from materia_data.check.registry import checks  # noqa: E402
from materia_data.places import data_root, schema_root  # noqa: E402
from materia_data.read.descriptor import descriptor_text  # noqa: E402
from materia_data.read.findings import FINDINGS  # noqa: E402
from materia_data.read.schema import Field, TableSchema, table_schemas  # noqa: E402
from tools.results import RESULTS, result_schema  # noqa: E402

COMMAND = "make generate"
_MOST_DIFF = 12
_NOTE = f"<!-- Made from the schemas by `{COMMAND}`; change those, not this page. -->\n\n"
_NS = "https://materia-data.example/ns#"
_LANGUAGES = {
    "name_hans": "zh-Hans",
    "name_hant": "zh-Hant",
    "pinyin": "zh-Latn-pinyin",
    "latin": "la",
    "name_latin": "la",
}
_ORDERED = frozenset({"flavors", "channels"})
_TYPES = {"integer": "xsd:integer", "number": "xsd:decimal", "date": "xsd:date"}


def descriptor() -> str:
    """datapackage.json, with the data version that stands in it."""
    return descriptor_text(data_root())


def context() -> str:
    """A JSON-LD 1.1 context: each table's class with a type-scoped context of its columns.

    References are relative addresses, the table's name and the id (`flavors/pungent`). Source: https://www.w3.org/TR/json-ld11/
    """
    shared: dict[str, Any] = {
        "@version": 1.1,
        "dcterms": "http://purl.org/dc/terms/",
        "skos": "http://www.w3.org/2004/02/skos/core#",
        "xsd": "http://www.w3.org/2001/XMLSchema#",
        "m": _NS,
        "id": "@id",
        "type": "@type",
    }
    classes: dict[str, dict[str, Any]] = {}
    for schema in table_schemas().values():
        name = schema.iri.rpartition("#")[2]
        columns = classes.setdefault(name, {})
        for field in schema.fields:
            if field.name != "id":
                term = _term(field)
                if columns.setdefault(field.name, term) != term:
                    raise ValueError(f"{schema.name}.{field.name} has another meaning in a table of the class {name}")
    scoped = {
        name: {"@id": f"m:{name}", "@context": dict(sorted(columns.items()))}
        for name, columns in sorted(classes.items())
    }
    return json.dumps({"@context": shared | scoped}, ensure_ascii=False, indent=2) + "\n"


def table_pages() -> str:
    """docs/tables.md: every table and column."""
    parts = [
        "# Tables\n\n" + _NOTE,
        "One record is one line. Every file is UTF-8 with LF line ends, its header first, its rows in key order "
        "(`materia tidy`). Lists join with `;`. An empty cell says nothing: it is never a no.\n",
    ]
    for folder in dict.fromkeys(
        schema.path.split("/")[0] for schema in sorted(table_schemas().values(), key=lambda schema: schema.path)
    ):
        parts.append(f"\n## {folder}/\n")
        parts += [_table_page(schema) for schema in table_schemas().values() if schema.path.startswith(f"{folder}/")]
    return "".join(parts)


def predicate_page() -> str:
    """docs/predicates.md: what facts can say."""
    predicates = json.loads((schema_root() / "predicates.json").read_text(encoding="utf-8"))["predicates"]
    head = (
        "# Predicates\n\n" + _NOTE + "A fact says one predicate of one subject. A pattern names them: `flavor:salty`, "
        "`toxicity=none`, `caution:avoid..[topic:pregnancy]`.\n\n"
        "| predicate | means | values | qualifiers | a form inherits | closed | safety | from |\n"
        f"|{'---|' * 8}\n"
    )
    return head + "".join(_predicate_row(name, predicate) for name, predicate in predicates.items())


def finding_page() -> str:
    """docs/findings.md: what the reader finds, and why each is an error."""
    head = (
        "# Findings of the reader\n\n"
        + _NOTE
        + "What `materia check` says of files, lines and cells before any rule is asked. "
        "Each is an error: a table that is read wrongly is not judged rightly.\n\n"
        "| finding | why it is an error |\n|---|---|\n"
    )
    return head + "".join(f"| `{rule}` | {_cell(why)} |\n" for rule, why in sorted(FINDINGS.items()))


def check_page() -> str:
    """docs/checks.md: what the checks written in Python look for, where, how bad it is, and why."""
    head = (
        "# Checks\n\n<!-- Made from the checks by `make generate`; change those, not this page. -->\n\n"
        "What `materia check` looks for beside the findings of the reader and the rules of `datapackage/rules/`. An "
        "exception to one marked safety names the exact value and a day to look at it again.\n\n"
        "| check | reads | severity | safety | why |\n|---|---|---|---|---|\n"
    )
    rows = (
        f"| `{one.id}` | {one.scope} | {one.severity} | {'yes' if one.safety else ''} | {_cell(one.why)} |\n"
        for one in checks().values()
    )
    return head + "".join(rows)


OUTPUTS: dict[str, Callable[[], str]] = {
    "datapackage/datapackage.json": descriptor,
    "schemas/context.jsonld": context,
    "docs/tables.md": table_pages,
    "docs/predicates.md": predicate_page,
    "docs/findings.md": finding_page,
    "docs/checks.md": check_page,
    **{f"schemas/results/{verb}.json": partial(result_schema, verb) for verb in RESULTS},
}


def main(arguments: list[str]) -> int:
    """Exit 0 if done or nothing differs, 1 if a file is out of date, 2 if asked for something else."""
    if len(arguments) != 1 or arguments[0] not in ("write", "check", "print"):
        print("usage: python tools/generate.py write|check|print", file=sys.stderr)
        return 2
    return {"write": write, "check": check, "print": show}[arguments[0]]()


def write() -> int:
    """Write each file that differs, and say which."""
    for name, make in OUTPUTS.items():
        path, text = ROOT / name, make()
        if _text(path) != text:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
            print(f"wrote {name}")
    return 0


def check() -> int:
    """Name each file that is out of date, the command that mends it, and how it differs."""
    stale = {name: drift for name, make in OUTPUTS.items() if (drift := difference(name, _text(ROOT / name), make()))}
    for drift in stale.values():
        print(drift)
    return 1 if stale else 0


def show() -> int:
    """Print each file to standard output."""
    for name, make in OUTPUTS.items():
        print(f"==> {name} <==\n{make()}")
    return 0


def difference(name: str, stands: str, right: str) -> str:
    """A message with a short diff, or the empty string where there is none."""
    if stands == right:
        return ""
    lines = [
        line
        for line in unified_diff(stands.splitlines(), right.splitlines(), lineterm="", n=0)
        if line[:3] not in ("---", "+++")
    ]
    more = f"\n  … {len(lines) - _MOST_DIFF} more lines" if len(lines) > _MOST_DIFF else ""
    return (
        f"{name} is not what the schemas give. Run `{COMMAND}`.\n"
        + "\n".join(f"  {line[:160]}" for line in lines[:_MOST_DIFF])
        + more
    )


def _text(path: Path) -> str:
    return path.read_bytes().decode("utf-8", "replace") if path.is_file() else ""


def _term(field: Field) -> dict[str, Any]:
    term: dict[str, Any] = {"@id": field.iri}
    if field.refers:
        term["@type"] = "@id"
    elif field.type in _TYPES:
        term["@type"] = _TYPES[field.type]
    elif field.name in _LANGUAGES:
        term["@language"] = _LANGUAGES[field.name]
    elif field.prose or field.name == "name_en":
        term["@language"] = "en"
    if field.is_list:
        term["@container"] = "@list" if field.name in _ORDERED else "@set"
    return term


def _table_page(schema: TableSchema) -> str:
    rows = "".join(_column_row(field, schema) for field in schema.fields)
    key = ", ".join(f"`{name}`" for name in schema.key)
    head = "| column | title | what it holds | example | limits |\n|---|---|---|---|---|\n"
    return (
        f"\n### {schema.name}: {schema.title}\n\n{schema.description} File `{schema.path}`; key {key}.\n\n{head}{rows}"
    )


def _column_row(field: Field, schema: TableSchema) -> str:
    cells = (
        f"`{field.name}`",
        _cell(field.title),
        _cell(field.description),
        _code(field.example),
        _limits(field, schema),
    )
    return f"| {' | '.join(cells)} |\n"


def _limits(field: Field, schema: TableSchema) -> str:
    limits = ["key"] if field.name in schema.key else []
    limits += ["required"] if field.required else []
    limits += ["list"] if field.is_list else [] if field.type == "string" else [field.type]
    limits += [f"one of {', '.join(f'`{word}`' for word in field.enum)}"] if field.enum else []
    limits += [f"an id of {' or '.join(f'`{name}`' for name in field.refers)}"] if field.refers else []
    limits += ["`-` states none"] if field.allows_none else []
    limits += [f"from {field.minimum:g}"] if field.minimum is not None else []
    limits += [f"to {field.maximum:g}"] if field.maximum is not None else []
    limits += [f"shape {_code(field.pattern)}"] if field.pattern and not field.refers else []
    return "; ".join(limits)


def _predicate_row(name: str, predicate: dict[str, Any]) -> str:
    ((kind, which),) = list(predicate["values"].items())[:1]
    listed = ", ".join(f"`{word}`" for word in (which if isinstance(which, list) else [which]))
    values = {"terms": f"terms of {listed}", "ids": f"ids of {listed}", "number": f"a number [{which}]"}.get(
        kind, listed
    )
    qualifiers = ", ".join(f"`{key}`" for key in predicate["qualifiers"])
    source = ", ".join(f"`{column}`" for column in predicate["from"])
    cells = (
        predicate["means"],
        values,
        qualifiers,
        predicate["inherit"],
        predicate["closed"],
        predicate["safety"],
        source,
    )
    return f"| `{name}` | {' | '.join(_cell(cell) for cell in cells)} |\n"


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("<", "&lt;")


def _code(text: str) -> str:
    return f"`{text}`".replace("|", "\\|") if text else ""


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
