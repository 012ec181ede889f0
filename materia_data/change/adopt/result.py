"""What adopting a sheet gives."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """Where something stands in the school's file. row counts from 1, as the file does; column: its heading."""

    sheet: str
    row: int
    column: str


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the school's. means: what it may hold, roles joined by `+`; empty: left out; why: the reason;
    unit: of its amounts, if the heading says; strictness: what a bare word under it means, if that is decided."""

    sheet: str
    number: int
    heading: str
    means: str
    why: str
    unit: str
    strictness: str


@dataclass(frozen=True, slots=True)
class Term:
    """A piece of text and what it was taken for: sayings of ours, or ids for a name. times: how often it stands."""

    role: str
    text: str
    means: tuple[str, ...]
    why: str
    times: int


@dataclass(frozen=True, slots=True)
class Question:
    """Something that was not decided.

    key: names it from run to run; kind: column, name, term or looser; safety: whether people may be harmed by a wrong
    answer; choices: what may be answered, the likeliest first, and always `leave`; reason, source, by: with the answer
    `school`, why the milder value is right, where it was read, the role of who answers for it; places: where it arises.
    """

    key: str
    kind: str
    safety: bool
    asks: str
    choices: tuple[str, ...]
    answer: str
    reason: str
    source: str
    by: str
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """One value of the school's in a cell of ours. verdict: same (the base says it, or more), adds, differs, stricter,
    looser, held (waits for an answer); written: whether it is in the layer; base: what the base says there."""

    place: Place
    table: str
    record: str
    column: str
    value: str
    safety: bool
    verdict: str
    written: bool
    base: str
    why: str


@dataclass(frozen=True, slots=True)
class LeftOver:
    """What was not placed, kept as it was written. why: in words; question: the key of the one that waits, if any."""

    place: Place
    text: str
    why: str
    question: str


@dataclass(frozen=True, slots=True)
class Difference:
    """Where the school differs from the base. kind: looser, against, stricter, adds, differs; written: whether the
    layer says it."""

    kind: str
    subject: str
    name: str
    table: str
    record: str
    column: str
    base: str
    school: str
    safety: bool
    written: bool
    place: Place


@dataclass(frozen=True, slots=True)
class Adopted:
    """A sheet brought to our tables. files: of the output by path inside it, as text; read_as: encoding and separator
    of each sheet; subjects: ids that were recognized; differences: safety first, looser before stricter."""

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
    files: Mapping[str, str]

    @property
    def open(self) -> tuple[Question, ...]:
        """The questions without an answer."""
        return tuple(question for question in self.questions if not question.answer)
