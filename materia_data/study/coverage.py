"""Which facts of a course no quiz item and no sheet touches yet, by unit, safety first."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from random import Random

from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.study.document import Run, Runs, Section
from materia_data.study.items.bench import Bench
from materia_data.study.quiz.asked import Asked
from materia_data.study.quiz.words import claims_in_words
from materia_data.study.sheet import sheet
from materia_data.suggest import did_you_mean
from materia_data.teach.proof.mentions import Looked
from materia_data.teach.words import row_of, say, subject_name

SAFETY = ("caution", "opposes", "toxicity", "status", "control", "dose-max", "max-days", "handling", "minutes-min")
_TAUGHT = ("nature", "flavor", "channel", "action", "contains")
_COLUMNS = {"nature": "Nature", "flavor": "Flavors", "channel": "Channels", "action": "Does", "dose-max": "g a day"}
_NO_DANGER = {"caution": ("none-stated",), "toxicity": ("none", "unmarked"), "status": ("current",)}


class CoverageError(LookupError):
    """There is no such course or unit: says which there are."""


@dataclass(frozen=True, slots=True)
class Untouched:
    """A fact that nothing touches. subject, name; fact: in words; place: file, record, column; safety: whether it is
    about what may hurt."""

    subject: str
    name: str
    fact: str
    place: str
    safety: bool


@dataclass(frozen=True, slots=True)
class Unit:
    """facts, safety: how many its subjects have; touched, safety_touched: of these; untouched: the rest, safety
    first."""

    unit: str
    title: str
    facts: int
    touched: int
    safety: int
    safety_touched: int
    untouched: tuple[Untouched, ...]


@dataclass(frozen=True, slots=True)
class Coverage:
    """course: whose units; items, sheets: what was handed out; units: in the order of the course; release: of the
    data."""

    course: str
    items: int
    sheets: tuple[str, ...]
    units: tuple[Unit, ...]
    release: str


def coverage(materia: Materia, asked: str = "", *, quiz: Sequence[Asked] = (), sheets: Sequence[str] = ()) -> Coverage:
    """Look. asked: a course or a unit, by itself the first course; quiz: items handed out; sheets: what lesson sheets
    that were handed out were about.

    An item of ours touches the facts it rests on; a plainly worded one what its key claims; a sheet what it prints of a
    medicinal. Raises CoverageError, and SelectionError for a sheet that there is not.
    """
    course, units = _units(materia.facts, asked)
    bench = Bench(materia, materia.facts.subjects, Random())
    places = set(_by_items(bench, quiz))
    printed = [part for one in sheets for part in _printed(sheet(materia, one).sections)]
    made = tuple(_unit(bench, row, places, printed) for row in units)
    return Coverage(course, len(quiz), tuple(sheets), made, materia.release_id)


def _units(facts: Facts, asked: str) -> tuple[str, list[dict[str, str]]]:
    table = facts.package.tables["units"]
    rows = [table.row(number) for number in range(len(table))]
    courses = sorted({row["course"] for row in rows})
    if not asked and courses:
        asked = courses[0]
    found = [row for row in rows if asked in (row["course"], row["id"])]
    if not found:
        near = did_you_mean(asked, [*courses, *(row["id"] for row in rows)])
        known = f"The courses: {', '.join(courses)}." if courses else "The data have no course."
        raise CoverageError(f"{asked or 'That'} is no course and no unit. {near or known}")
    found.sort(key=lambda row: (int(row["position"]) if row["position"].isdigit() else 0, row["id"]))
    return found[0]["course"], found


def _unit(bench: Bench, row: dict[str, str], places: set[str], printed: Sequence["_Part"]) -> Unit:
    facts = bench.facts
    table = facts.package.tables["unit_subjects"]
    subjects = [table.columns["subject"][at] for at in table.rows_of("unit").get(row["id"], ())]
    held = {bench.place(fact) + fact.value: fact for one in subjects if one in facts.number for fact in _of(facts, one)}
    untouched = [
        Untouched(fact.subject, subject_name(facts, fact.subject), _said(facts, fact), bench.place(fact),
                  fact.predicate in SAFETY)
        for fact in held.values()
        if bench.place(fact) not in places and not any(_says(facts, part, fact) for part in printed)
    ]  # fmt: skip
    untouched.sort(key=lambda one: not one.safety)
    safety = sum(fact.predicate in SAFETY for fact in held.values())
    open_safety = sum(one.safety for one in untouched)
    return Unit(
        row["id"], row["title"], len(held), len(held) - len(untouched), safety, safety - open_safety, tuple(untouched)
    )


def _of(facts: Facts, subject: str) -> Iterator[Fact]:
    """Its own facts and, for safety, those of its forms; what is stated to be harmless is none."""
    forms = [one for one in facts.subjects if facts.kind(one) == "forms" and facts.herb_of(one) == subject != one]
    for one in (subject, *forms):
        for predicate in (*SAFETY, *(_TAUGHT if one == subject else ())):
            for fact in facts.own(one, predicate):
                if fact.value not in _NO_DANGER.get(predicate, ()) and not (predicate == "opposes" and one != subject):
                    yield fact


def _by_items(bench: Bench, quiz: Iterable[Asked]) -> Iterator[str]:
    looked = Looked(bench.materia.names)
    for asked in quiz:
        yield from (re.sub(r" roles$", " subject", place) for place in asked.facts)
        if not asked.facts:
            claims = claims_in_words(bench.materia, looked, asked)
            for claim in (claims[at] for at in asked.keys if claims):
                yield from bench.places(claim.subject, claim.predicate, claim.value)


@dataclass(frozen=True, slots=True)
class _Part:
    """A stretch of a sheet. names: in characters; text: in small letters; state: of a watch line; column: of a cell."""

    names: frozenset[str]
    text: str
    state: str = ""
    column: str = ""


def _printed(sections: Iterable[Section]) -> Iterator[_Part]:
    """Cells with the names of their row, and lines cut where a bold head begins, each with the names in it."""
    for section in sections:
        for line in section.lines:
            yield from (_Part(_names(piece), _text(piece), line.state) for piece in _pieces(line.runs))
        if section.table is None:
            continue
        for row in (row for group in section.table.groups for row in group.rows):
            names = _names([run for cell in row for run in cell])
            for column, cell in zip(section.table.columns, row, strict=False):
                yield _Part(names, _text(cell), column=column)


def _pieces(runs: Runs) -> Iterator[list[Run]]:
    piece: list[Run] = []
    for run in runs:
        if run.style == "strong" and piece:
            yield piece
            piece = []
        piece.append(run)
    yield piece


def _names(runs: Iterable[Run]) -> frozenset[str]:
    return frozenset(run.text for run in runs if run.style in ("name", "name-strong"))


def _text(runs: Iterable[Run]) -> str:
    return "".join(run.text for run in runs).casefold()


def _says(facts: Facts, part: _Part, fact: Fact) -> bool:
    """Whether the stretch names the subject, or the herb that stands for its forms too, and says the fact."""
    called = {_hans(facts, one) for one in (fact.subject, facts.herb_of(fact.subject))}
    if not called & part.names or part.column != _COLUMNS.get(fact.predicate, part.column):
        return False
    asked = dict(fact.qualifiers)
    if fact.predicate == "caution":
        about = _label(facts, "targets", asked.get("target", "")) or _label(facts, "topics", asked.get("topic", ""))
        return part.state == fact.value and about.casefold() in part.text
    if fact.predicate in ("opposes", "contains"):
        return fact.value in facts.number and _hans(facts, fact.value) in part.names
    if fact.predicate in ("dose-max", "max-days", "minutes-min"):
        return bool(re.search(rf"(?<![\d.]){re.escape(fact.value)}(?![\d.])", part.text))
    label = _label(facts, facts.predicates[fact.predicate].values.name, fact.value).casefold()
    does, _, does_not = part.text.partition("does not")
    return label in (does if fact.stated else does_not)


def _hans(facts: Facts, subject: str) -> str:
    return row_of(facts, facts.kind(subject), subject)["name_hans"]


def _label(facts: Facts, vocabulary: str, value: str) -> str:
    terms = facts.vocabularies.get(vocabulary)
    return terms.label(value) if value and terms is not None and value in terms else value


def _said(facts: Facts, fact: Fact) -> str:
    said = say(facts, fact.predicate, fact.value, fact.qualifiers)
    return said if fact.stated else f"does not {said}"
