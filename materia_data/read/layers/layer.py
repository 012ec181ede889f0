"""One layer read from its folder: layer.toml, its tables and rules, and what the base said when it was written."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType
from typing import Any

from materia_data.problem import Problem
from materia_data.read.decode import decode
from materia_data.read.files import RULE_BYTES, TABLE_BYTES, file_problem, list_files, read_file
from materia_data.read.keys import check_keys
from materia_data.read.layers.versions import readable
from materia_data.read.lines import read_lines
from materia_data.read.schema import Field, TableSchema, table_schemas
from materia_data.read.shown import shown
from materia_data.read.table import Table
from materia_data.read.toml import Unread, read_toml
from materia_data.suggest import did_you_mean

ABOUT = "layer.toml"
BASE = "base.csv"
OP, CLEAR = "layer_op", "layer_clear"
_KEYS = ("id", "title", "base")
_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_LONGEST_ID, _LONGEST = 40, 200


class LayerError(ValueError):
    """A layer that cannot be put over anything: its text says which, why, and what to do."""


@dataclass(frozen=True, eq=False)
class Layer:
    """What one layer's folder holds.

    id, title: of layer.toml; base: the range of base versions it was made for; digest: over its files without base.csv,
    64 hex digits; tables: those it has a file for, with the columns layer_op and layer_clear, files and lines its own;
    rules: text by file name; kept: base.csv, if there is one; problems: what was wrong with files, lines and keys;
    base_line: where layer.toml names the range.
    """

    root: Path
    id: str
    title: str
    base: str
    base_line: int
    digest: str
    tables: Mapping[str, Table] = field(repr=False)
    rules: Mapping[str, str] = field(repr=False)
    kept: Table | None = field(repr=False)
    problems: tuple[Problem, ...] = field(repr=False)

    @property
    def release(self) -> str:
        """`second-school.1a2b3c4d`: how the layer stands in a release id."""
        return f"{self.id}.{self.digest[:8]}"

    def file(self, path: str) -> str:
        """The path of a file of this layer as problems name it: `second-school:herbs/doses.csv`."""
        return f"{self.id}:{path}"


def read_layers(folders: Sequence[str | Path]) -> tuple[Layer, ...]:
    """Read each layer, the lowest first. LayerError: one cannot be used, or two do not go together."""
    layers = tuple(read_layer(Path(folder)) for folder in folders)
    for place, layer in enumerate(layers):
        for other in layers[:place]:
            if layer.id == other.id:
                raise LayerError(f"{other.root} and {layer.root} are both the layer {layer.id}. Name each layer once.")
            if layer.id.startswith(f"{other.id}-") or other.id.startswith(f"{layer.id}-"):
                raise LayerError(
                    f"The layers {other.id} and {layer.id} begin alike, so that ids of the one (x-{other.id}-…) could "
                    f"be the other's. Give one of them another id in its {ABOUT}."
                )
    return layers


def read_layer(root: Path) -> Layer:
    """Read a layer's folder. What is wrong in its tables stands in `problems`; LayerError: layer.toml is not sound."""
    if not root.is_dir():
        raise LayerError(f"There is no folder {root}. Name the folder that holds {ABOUT}.")
    files, found = list_files(root)
    if ABOUT not in files:
        linked = next((problem for problem in found if problem.file == ABOUT), None)
        said = linked.message if linked else f"It holds no {ABOUT}."
        raise LayerError(f"{root} is no layer: {said} A layer's folder has a plain file {ABOUT} with id, title, base.")
    whole = sha256()
    about, line = _about(root, whole)
    prefix = f"{about['id']}:"
    problems = [replace(problem, file=prefix + problem.file) for problem in found]

    def read(path: str, most: int) -> str | None:
        data = read_file(root, path, most)
        if isinstance(data, Problem):
            problems.append(replace(data, file=prefix + path))
            return None
        if path != BASE:
            whole.update(f"{path}\0{len(data)}\0".encode() + data)
        text, wrong = decode(data, prefix + path)
        problems.extend(wrong)
        return text

    schemas = {schema.path: name for name, schema in table_schemas().items()}
    tables, rules, kept = {}, {}, None
    for path in files:
        if path == ABOUT:
            continue
        if path in schemas or path == BASE:
            schema = kept_schema(prefix) if path == BASE else layer_schema(schemas[path], prefix)
            text = read(path, TABLE_BYTES)
            if text is not None:
                table, wrong = _table(text, schema)
                problems += wrong
                if path == BASE:
                    kept = table
                else:
                    tables[schema.name] = table
        elif path.startswith("rules/") and path.count("/") == 1 and path.endswith(".toml"):
            text = read(path, RULE_BYTES)
            if text is not None:
                rules[path.removeprefix("rules/")] = text
        else:
            tip = did_you_mean(path[-80:], [*schemas, ABOUT, BASE]) or "Take it out of the layer's folder."
            message = "No table, no rule file and nothing else of a layer has this name."
            problems.append(file_problem(prefix + path, "unknown-file", message, tip))
    return Layer(
        root, about["id"], about["title"], about["base"], line, whole.hexdigest(), MappingProxyType(tables),
        MappingProxyType(rules), kept, tuple(problems),
    )  # fmt: skip


def _table(text: str, schema: TableSchema) -> tuple[Table, list[Problem]]:
    """The table, a column that is left out as empty cells: only the key must be there."""
    table, problems = read_lines(text, schema)
    wrong = [problem for problem in problems if problem.rule != "missing-column" or problem.column in schema.key]
    return table, [*wrong, *check_keys(table)]


def _about(root: Path, whole: Any) -> tuple[dict[str, str], int]:
    """id, title and base of layer.toml, and the line of the last."""

    def wrong(said: str) -> LayerError:
        return LayerError(f"{root / ABOUT}: {said}")

    data = read_file(root, ABOUT, RULE_BYTES)
    if isinstance(data, Problem):
        raise wrong(f"{data.message} {data.tip}")
    whole.update(f"{ABOUT}\0{len(data)}\0".encode() + data)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        raise wrong("The file is not UTF-8. Save it as UTF-8 without BOM.") from None
    found = read_toml(text)
    if isinstance(found, Unread):
        at = f"line {found.line}: " if found.line and "line" not in found.message else ""
        raise wrong(f"{at}{found.message}. {found.tip}")
    for key, value in found.items():
        if key not in _KEYS:
            raise wrong(
                f"A layer has no key {shown(key)}. {did_you_mean(key[:80], _KEYS) or 'It has id, title, base.'}"
            )
        if not isinstance(value, str) or not value.strip() or len(value) > _LONGEST or not value.isprintable():
            raise wrong(f"{key} is not a plain text of at most {_LONGEST} characters. Write it in double quotes.")
    for key in _KEYS:
        if key not in found:
            example = {"id": "second-school", "title": "The second school", "base": ">=0.1,<0.2"}[key]
            raise wrong(f'It does not say its {key}. Add {key} = "{example}".')
    if not _ID.fullmatch(found["id"]) or len(found["id"]) > _LONGEST_ID:
        tip = "Lower-case letters a to z and digits, joined by hyphens, a letter first: second-school."
        raise wrong(f"“{shown(found['id'])}” is no id of a layer. {tip}")
    if not readable(found["base"]):
        tip = "Write comparisons joined by commas: >=0.1,<0.2 (also >, <=, =)."
        raise wrong(f"“{shown(found['base'])}” is no range of base versions. {tip}")
    line = next((i for i, text_line in enumerate(text.split("\n"), 1) if text_line.lstrip().startswith("base")), 1)
    return found, line


@cache
def layer_schema(name: str, prefix: str) -> TableSchema:
    """The schema of a table as a layer has it: its own path, and two columns more at the end."""
    schema = table_schemas()[name]
    op = _column(OP, "Operation", "`remove` takes the row of this key out; empty changes or adds.", "remove")
    clear = _column(CLEAR, "Cleared", "Columns whose cells are emptied.", "note", is_list=True)
    return _with(schema, prefix + schema.path, (*schema.fields, op, clear))


@cache
def kept_schema(prefix: str) -> TableSchema:
    """The schema of base.csv."""
    fields = (
        _column("table", "Table", "The table of the cell.", "cautions"),
        _column("record", "Record", "The record's key, its values joined by |.", "ban-xia|pregnancy|", joined_key=True),
        _column("column", "Column", "The column of the cell.", "state"),
        _column("value", "Value", "What the base said when the layer's cell was written.", "caution"),
    )
    schema = TableSchema(
        "base", prefix + BASE, "Base", "What the base said.", (), ("table", "record", "column"), {}, ""
    )
    return _with(schema, schema.path, fields)


def _with(schema: TableSchema, path: str, fields: tuple[Field, ...]) -> TableSchema:
    by_name = MappingProxyType({each.name: each for each in fields})
    return replace(schema, path=path, fields=fields, by_name=by_name)


def _column(
    name: str, title: str, description: str, example: str, *, is_list: bool = False, joined_key: bool = False
) -> Field:
    return Field(
        name=name, type="string", title=title, description=description, example=example, required=False, pattern="",
        enum=(), minimum=None, maximum=None, is_list=is_list, refers=(), predicate="", qualifier="", allows_none=False,
        prose=False, joined_key=joined_key, iri="",
    )  # fmt: skip
