"""Small packages to try exporters on: cut out of the shipped one, so that they are valid and have its variety."""

import csv
import itertools
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path

from materia_data.materia import load
from materia_data.places import data_root
from materia_data.read.descriptor import descriptor_text
from materia_data.read.schema import Field, TableSchema, table_schemas

ODD_TEXTS = (
    '<script>odd("1")</script> & <b>bold</b> &amp; ]]> -->',
    "[click](javascript:odd) ![x](data:text/html,odd) <javascript:odd>",
    "a|b || *star* _line_ `tick` ~~gone~~ # head \\ back ^ $math$",
    "=HYPERLINK(odd) +1 -1 @sum {{odd}} {% odd %} {odd} %s %(odd)s ${odd} <%= odd %>",
    'עברית العربية 🌿 𧿹 ǖ “quoted” ‘single’ it\'s "double" 1. one; two',
    "../../odd/../odd.txt C:\\odd\\odd CON nul.txt ?odd=1&odd=2#odd %2e%2e%2f",
)
_SUBJECTS = frozenset({"herbs", "forms", "formulas"})
_THEMES = frozenset({"dampness", "forms", "lactation-children", "phlegm", "pregnancy"})
_RULE_ID = re.compile(r'^id = "([^"]+)"', re.MULTILINE)
_ODD_COLUMNS = frozenset({"name_en", "title", "as_written"})
Rows = dict[str, list[dict[str, str]]]


def small_package(folder: Path) -> Path:
    """Write a small valid package and return its folder.

    It holds two formulas with all they contain, a medicinal of each state of caution, a withdrawn one, one under a law,
    and every form of these, and the rules of a few themes.
    """
    return _write(_cut(), folder)


def odd_package(folder: Path) -> Path:
    """As small_package, but titles, English names of subjects and prose are odd texts: valid, and mark-up elsewhere."""
    texts = itertools.cycle(ODD_TEXTS)
    rows: Rows = {}
    for name, schema in table_schemas().items():
        odd = [field.name for field in schema.fields if _may_be_odd(field, schema)]
        rows[name] = [row | {column: next(texts) for column in odd if row[column]} for row in _cut()[name]]
    return _write(rows, folder)


def _may_be_odd(field: Field, schema: TableSchema) -> bool:
    named = field.name in _ODD_COLUMNS and not schema.path.startswith("terms/") and field.name not in schema.key
    return (field.prose or named) and not field.pattern and not field.is_list


@cache
def _cut() -> Rows:
    tables = load(data_root()).package.tables
    rows = {name: [table.row(row) for row in range(len(table))] for name, table in tables.items()}
    kept, taxa = _chosen(rows), {row["id"] for row in rows["taxa"]}
    rows["citations"] = [row for row in rows["citations"] if row["record"] in kept]
    for name, schema in table_schemas().items():
        if "id" in schema.key and name in _SUBJECTS:
            rows[name] = [row for row in rows[name] if row["id"] in kept]
        rows[name] = [cut for row in rows[name] if (cut := _without_others(row, schema, kept | taxa)) is not None]
    gone = {id for path in _rule_files(kept=False) for id in _RULE_ID.findall(path.read_text(encoding="utf-8"))}
    rows["exceptions"] = [row for row in rows["exceptions"] if row["rule"] not in gone]
    points = Counter(tables["contrast_points"].columns["contrast"])
    left = Counter(row["contrast"] for row in rows["contrast_points"])
    whole = {id for id, count in points.items() if count == left[id]}
    rows["contrasts"] = [row for row in rows["contrasts"] if row["id"] in whole]
    rows["contrast_points"] = [row for row in rows["contrast_points"] if row["contrast"] in whole]
    return rows


def _rule_files(*, kept: bool) -> list[Path]:
    """The shipped rule files of a few themes, or the others."""
    files = sorted((data_root() / "rules").glob("*.toml"))
    return [path for path in files if (path.stem in _THEMES) == kept]


def _chosen(rows: Rows) -> set[str]:
    """The subjects to keep, whole families of herbs and forms."""
    herb_of = {row["id"]: row["herb"] for row in rows["forms"]}
    formulas = [
        row["subject"] for row in rows["exceptions"] if row["subject"] in {row["id"] for row in rows["formulas"]}
    ]
    kept = {*formulas[:1], *(row["id"] for row in rows["formulas"][:1])}
    kept |= {row["subject"] for row in rows["formula_items"] if row["formula"] in kept}
    medicinal = [row for row in rows["cautions"] if row["subject"] not in {row["id"] for row in rows["formulas"]}]
    for state in {row["state"] for row in medicinal}:
        kept |= _first(row["subject"] for row in medicinal if row["state"] == state)
    kept |= _first(row["id"] for row in rows["herbs"] if row["status"] == "withdrawn")
    kept |= _first(row["subject"] for row in rows["controls"])
    kept |= {herb_of[subject] for subject in kept if subject in herb_of}
    return kept | {form for form, herb in herb_of.items() if herb in kept}


def _first(subjects: Iterable[str]) -> set[str]:
    return set(itertools.islice(subjects, 1))


def _without_others(row: Mapping[str, str], schema: TableSchema, kept: set[str]) -> dict[str, str] | None:
    """The row without what refers to other subjects, or None if it then says nothing."""
    cut = dict(row)
    for field in schema.fields:
        if set(field.refers) & _SUBJECTS and row[field.name]:
            items = row[field.name].split(";") if field.is_list else [row[field.name]]
            if not all(item in kept for item in items):
                if field.required or field.name in schema.key:
                    return None
                cut[field.name] = ""
    return cut


def _write(rows: Rows, folder: Path) -> Path:
    for name, schema in table_schemas().items():
        path = folder / schema.path
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow([field.name for field in schema.fields])
            writer.writerows([row[field.name] for field in schema.fields] for row in rows[name])
    rules = folder / "rules"
    rules.mkdir(exist_ok=True)
    for path in _rule_files(kept=True):
        (rules / path.name).write_bytes(path.read_bytes())
    (folder / "datapackage.json").write_text(descriptor_text(folder), encoding="utf-8", newline="\n")
    return folder
