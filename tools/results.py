"""JSON Schemas of what the verbs print as JSON, made from the result classes by pydantic."""

import json
from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter

from materia_data.change.adopt.result import (
    Column,
    Difference,
    LeftOver,
    Placed,
    Question,
    Term,
)
from materia_data.change.diff import Diff
from materia_data.change.merge import Merged
from materia_data.change.merge_setup import SetUp
from materia_data.change.release import Release
from materia_data.change.signoff import Signed, Standing
from materia_data.change.spreadsheet.inward import CameBack
from materia_data.change.spreadsheet.out import WentOut
from materia_data.change.verify import Verified
from materia_data.study.cards import Cards
from materia_data.study.coverage import Coverage
from materia_data.study.items.choose import Quiz
from materia_data.study.quiz.check import Checked
from materia_data.study.schedule import Schedule
from materia_data.study.sheet import Sheet
from materia_data.teach.basis import Basis
from materia_data.teach.confusable import Confusable
from materia_data.teach.contrast import Contrast
from materia_data.teach.discover import Found
from materia_data.teach.explain import Explanation
from materia_data.teach.formula.analysis import Formula
from materia_data.teach.match import Matches
from materia_data.teach.name import Named
from materia_data.teach.nearest import Nearest
from materia_data.teach.processing import Processing
from materia_data.teach.proof.proof import Proof
from materia_data.teach.show import Shown
from materia_data.teach.standouts import StandOuts
from materia_data.teach.why_not import WhyNot


@dataclass(frozen=True)
class _Shown:
    subjects: tuple[Shown, ...]


@dataclass(frozen=True)
class _Discovered:
    groups: tuple[Found, ...]
    subjects: tuple[()]


@dataclass(frozen=True)
class _WhyNot:
    why_not: tuple[WhyNot, ...]


@dataclass(frozen=True)
class _Confusable:
    confusable: tuple[Confusable, ...]


@dataclass(frozen=True)
class _Adopted:
    file: str
    id: str
    title: str
    base: str
    read_as: tuple[str, ...]
    subjects: tuple[str, ...]
    columns: tuple[Column, ...]
    terms: tuple[Term, ...]
    questions: tuple[Question, ...]
    placed: tuple[Placed, ...]
    left_over: tuple[LeftOver, ...]
    differences: tuple[Difference, ...]
    files: tuple[str, ...]


RESULTS: dict[str, tuple[str, Any]] = {
    "explain": (
        "why each value is what it is; the counts add up to properties; with --why-not another shape",
        Explanation | _WhyNot,
    ),
    "show": ("whole records, safety first", _Shown),
    "standouts": ("what a category shares, who breaks it and why; of a method what it changes", StandOuts | Processing),
    "contrast": (
        "what tells subjects apart; with --nearest, --instead or --confusable another shape",
        Contrast | Nearest | _Confusable,
    ),
    "match": (
        "who matches a pattern; with --discover or --basis another shape",
        Matches | _Discovered | Basis,
    ),
    "name": ("what a name may mean, best first, and what is uncertain in it", Named),
    "adopt": ("how a school's sheet was read, what is asked, what is placed where, what differs", _Adopted),
    "proof": ("notes or captions held against the data, line by line", Proof),
    "diff": ("what changed between two versions, with its effect on safety", Diff),
    "signoff": ("who answers for what; with add or lapse what was written", Standing | Signed),
    "release": ("what was released, or would be", Release),
    "verify": ("whether an archive holds exactly what was released", Verified),
    "merge": ("what was merged; with --setup what was set", Merged | SetUp),
    "spreadsheet": ("every changed cell with its verdict; going out another shape", CameBack | WentOut),
    "formula": ("a recipe looked at from every side", Formula),
    "study-cards": ("two-sided cards, fronts with every heavy caution, backs with reasons", Cards),
    "study-check": ("an existing quiz read against the data, item by item", Checked),
    "study-coverage": ("facts of each unit that no item and no sheet touches, safety first", Coverage),
    "study-items": ("quiz items by version, each option with why it is right or wrong", Quiz),
    "study-schedule": ("dates for going over each unit again, and how they were chosen", Schedule),
    "study-sheet": ("a lesson sheet, section by section, with what belongs into its blanks", Sheet),
}


def result_schema(verb: str) -> str:
    """The JSON Schema (draft 2020-12) of a verb's answer; no object has other keys than those named."""
    says, shape = RESULTS[verb]
    made = TypeAdapter(shape).json_schema(mode="serialization", ref_template="#/$defs/{model}")
    document = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"https://materia-data.example/schemas/results/{verb}.json",
        "title": verb,
        "description": f"What `materia {verb.replace('study-', 'study ')} --format json` prints: {says}.",
        **_closed({key: value for key, value in made.items() if key not in ("title", "description")}),
    }
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"


def _closed(schema: Any) -> Any:
    """The same, every object closed and without the titles that repeat its names."""
    if isinstance(schema, list):
        return [_closed(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    kept = {key: _closed(value) for key, value in schema.items() if not (key == "title" and isinstance(value, str))}
    return kept | {"additionalProperties": False} if kept.get("type") == "object" and "properties" in kept else kept
