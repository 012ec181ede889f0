"""The mapping file: what was decided about columns, words and questions, for a person to change and run again."""

import json
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from materia_data.change.adopt.columns import Decided
from materia_data.change.adopt.result import Column, Question, Term
from materia_data.change.adopt.trouble import AdoptError
from materia_data.suggest import did_you_mean

FILE = "mapping.toml"
_LARGEST = 2 * 1024 * 1024
_HEAD = """\
# How a school's file was read. Change what is wrong, answer the questions, and run again:
#   materia adopt FILE --mapping THIS --out DIR
# A column's `means` is what it may hold, joined by `+`; empty leaves it out.
# A term's `means` is what its text is taken for; an empty list leaves it out.
# A question takes one of its choices as `answer`, or `leave`. The answer `school` to a looser value needs `reason`,
# `source` and `by` as well (a role, not a name). Remarks of your own are not kept when the file is written again.
"""
_KEYS = {
    "": ("file", "id", "title", "sheet", "column", "term", "question"),
    "sheet": ("name", "read_as", "heading_row"),
    "column": ("sheet", "number", "heading", "means", "unit", "strictness", "why"),
    "term": ("role", "text", "means", "times", "why"),
    "question": ("key", "kind", "safety", "asks", "choices", "answer", "reason", "source", "by", "places"),
}


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer with what stands behind it."""

    answer: str
    reason: str = ""
    source: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class Decisions:
    """What a mapping file decides. headings: row of the headings by sheet; columns: by sheet and number; terms: by role
    and text; answers: by key of the question."""

    id: str = ""
    title: str = ""
    headings: Mapping[str, int] = field(default_factory=dict)
    columns: Mapping[tuple[str, int], Decided] = field(default_factory=dict)
    terms: Mapping[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)
    answers: Mapping[str, Answer] = field(default_factory=dict)


def read_mapping(path: Path) -> Decisions:
    """Read a mapping file. Raises AdoptError naming the entry that is wrong."""
    try:
        if not path.is_file() or path.stat().st_size > _LARGEST:
            raise AdoptError(f"There is no mapping {path}, or it is larger than 2 MB. The first run writes one.")
        found = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise AdoptError(f"{path} cannot be read: {error.strerror}.") from None
    except UnicodeDecodeError:
        raise AdoptError(f"{path} is not UTF-8. Save it as UTF-8.") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise AdoptError(f"{path} is not sound TOML: {error}.") from None
    _only(path, "", found)
    for part in ("sheet", "column", "term", "question"):
        for entry in _entries(path, part, found):
            _only(path, part, entry)
    return Decisions(
        _text(path, found, "id"),
        _text(path, found, "title"),
        {_text(path, one, "name"): _whole(path, one, "heading_row") for one in found.get("sheet", ())},
        {
            (_text(path, one, "sheet"), _whole(path, one, "number")): Decided(
                _text(path, one, "heading"),
                _text(path, one, "means"),
                _text(path, one, "strictness"),
                _text(path, one, "unit"),
            )
            for one in found.get("column", ())
        },
        {
            (_text(path, one, "role"), _text(path, one, "text")): _list(path, one, "means")
            for one in found.get("term", ())
        },
        {
            _text(path, one, "key"): Answer(*(_text(path, one, key) for key in ("answer", "reason", "source", "by")))
            for one in found.get("question", ())
            if _text(path, one, "answer")
        },
    )


def mapping_text(
    file: str,
    id: str,
    title: str,
    sheets: Iterable[tuple[str, str, int]],
    columns: Iterable[Column],
    terms: Iterable[Term],
    questions: Iterable[Question],
) -> str:
    """The file's text: questions that wait come first, safety before all."""
    lines = [_HEAD, f"file = {_quoted(file)}", f"id = {_quoted(id)}", f"title = {_quoted(title)}"]
    for one in questions:
        places = [f"{place.sheet}, row {place.row}, {place.column}" for place in one.places[:5]]
        places += [f"and {len(one.places) - 5} more"] if len(one.places) > 5 else []
        lines += _entry("question", {
            **{key: getattr(one, key) for key in ("key", "kind", "safety", "asks")}, "choices": list(one.choices),
            **{key: getattr(one, key) for key in ("answer", "reason", "source", "by")}, "places": places,
        })  # fmt: skip
    for name, read_as, row in sheets:
        lines += _entry("sheet", {"name": name, "read_as": read_as, "heading_row": row})
    for column in columns:
        lines += _entry("column", {key: getattr(column, key) for key in _KEYS["column"]})
    for term in terms:
        lines += _entry(
            "term",
            {"role": term.role, "text": term.text, "means": list(term.means), "times": term.times, "why": term.why},
        )
    return "\n".join(lines) + "\n"


def _entry(part: str, cells: Mapping[str, object]) -> list[str]:
    skip = ("reason", "source", "by") if cells.get("kind") != "looser" else ()
    return ["", f"[[{part}]]", *(f"{key} = {_quoted(value)}" for key, value in cells.items() if key not in skip)]


def _quoted(value: object) -> str:
    """A TOML value: JSON's strings, numbers and lists are TOML's."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _entries(path: Path, part: str, found: dict[str, Any]) -> list[dict[str, Any]]:
    entries = found.get(part, [])
    if not isinstance(entries, list) or not all(isinstance(one, dict) for one in entries):
        raise AdoptError(f"{path}: write {part} as [[{part}]].")
    return entries


def _only(path: Path, part: str, entry: dict[str, Any]) -> None:
    for key in entry:
        if key not in _KEYS[part]:
            where = f"[[{part}]]" if part else "it"
            raise AdoptError(f"{path}: {where} has no key {key}. {did_you_mean(key, _KEYS[part])}".strip())


def _text(path: Path, entry: dict[str, Any], key: str) -> str:
    value = entry.get(key, "")
    if not isinstance(value, str):
        raise AdoptError(f"{path}: {key} = {value!r} is no text. Write it in double quotes.")
    return value.strip() if key != "text" else value


def _whole(path: Path, entry: dict[str, Any], key: str) -> int:
    value = entry.get(key, 0)
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise AdoptError(f"{path}: {key} = {value!r} is no whole number.")
    return value


def _list(path: Path, entry: dict[str, Any], key: str) -> tuple[str, ...]:
    value = entry.get(key, [])
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise AdoptError(f"{path}: {key} = {value!r} is no list of texts.")
    return tuple(value)
