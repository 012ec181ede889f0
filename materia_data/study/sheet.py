"""A lesson sheet: what a teacher says of a category, in order, on paper."""

from collections.abc import Iterable
from dataclasses import dataclass

from materia_data.check.signoffs import in_words
from materia_data.materia import Materia
from materia_data.notice import LICENCE, TEACHING
from materia_data.study.document import Answer, Line, Run, Section
from materia_data.study.parts.apart import apart
from materia_data.study.parts.course import aids, formulas, met
from materia_data.study.parts.members import composition, members
from materia_data.study.parts.prepared import prepared
from materia_data.study.parts.purpose import purpose
from materia_data.study.parts.safety import safety
from materia_data.study.parts.tendency import breaking, shared, stand_outs
from materia_data.study.selection import Selection, select
from materia_data.study.writer import Writer
from materia_data.teach.basis import basis
from materia_data.teach.layered import layer_lines
from materia_data.teach.standouts import standouts

_NOTES = 5


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet, ready to be written as Markdown, HTML or PDF.

    title, name_hans: of what was asked; course, unit: where the course stands; depth: how far down the sheet goes, or
    empty where it has all; members, left_out: ids; blanks: whether there are any; answers: what belongs into them;
    release, signed, teaching: printed on each page; words: on whose word the values stand.
    """

    asked: str
    title: str
    name_hans: str
    course: str
    unit: str
    depth: str
    members: tuple[str, ...]
    left_out: tuple[str, ...]
    blanks: bool
    sections: tuple[Section, ...]
    answers: tuple[Answer, ...]
    words: str
    release: str
    signed: str
    licence: str
    teaching: str


def sheet(materia: Materia, asked: str, *, blanks: bool = False, depth: str = "", course: str = "") -> Sheet:
    """The lesson sheet of a category, group, unit or pattern.

    blanks: leave out what can be asked for, never a caution, a dose or an instruction; depth: core, familiar, aware or
    all, by itself the widest that a sheet holds; course: whose order to take. Raises SelectionError.
    """
    chosen = select(materia, asked, depth=depth, course=course)
    writer = Writer(materia.facts, blanks=blanks)
    sections = tuple(one for one in _sections(writer, materia, chosen) if one.lines or one.table)
    return Sheet(
        asked, chosen.row.get("title") or chosen.row.get("name_en") or asked, chosen.row.get("name_hans", ""),
        chosen.course, chosen.unit, chosen.depth, chosen.chosen, chosen.left_out, blanks, sections,
        tuple(writer.answers), _words(materia, chosen), materia.release_id, in_words(materia, chosen.chosen), LICENCE,
        TEACHING,
    )  # fmt: skip


def _sections(writer: Writer, materia: Materia, chosen: Selection) -> Iterable[Section]:
    found = standouts(materia, chosen.row["id"] if chosen.kind in ("category", "group") else chosen.whole)
    of_formulas = chosen.of == "formulas"
    yield purpose(writer, chosen)
    yield _loosened(materia, chosen)
    yield safety(writer, chosen)
    yield shared(writer, materia, chosen, found)
    yield composition(writer, chosen.chosen, found) if of_formulas else members(writer, chosen, found, breaking(found))
    yield stand_outs(writer, chosen, found)
    yield from apart(writer, chosen)
    if not of_formulas:
        yield from prepared(writer, chosen)
    yield met(writer, materia, chosen, found)
    yield formulas(writer, chosen, found)
    yield aids(writer, chosen)
    yield _left_out(writer, chosen)
    yield Section("notes", "Notes", "", tuple(Line((), "pad") for _ in range(_NOTES)))


def _loosened(materia: Materia, chosen: Selection) -> Section:
    """What a layer loosens of the safety of those on the sheet; empty without a layer."""
    said = [line for line in layer_lines(materia, [], chosen.chosen) if line.loosens]
    lines = tuple(Line((Run("LOOSENED: ", "strong"), Run(line.text)), "heavy") for line in said)
    return Section("loosened", "Loosened by a layer", "", lines)


def _left_out(writer: Writer, chosen: Selection) -> Section:
    """Names and marks of those that are not on the sheet; their cautions are not on it either, and it says so."""
    runs: list[Run] = []
    for subject in chosen.left_out:
        runs += [Run(", ")] if runs else []
        runs += writer.name(subject, mark=True)
    about = f"Their cautions are not printed here: materia study sheet {chosen.asked} --depth all"
    line = (Line(tuple(runs)),) if runs else ()
    return Section("left-out", f"{len(chosen.left_out)} more, not on this sheet", about if runs else "", line)


def _words(materia: Materia, chosen: Selection) -> str:
    """On whose word the values of the members stand."""
    found = basis(materia, chosen.whole, chosen.chosen).subjects
    read, recalled = sum(one.collated for one in found), sum(one.memory for one in found)
    usual = sum(one.common_practice for one in found)
    return f"Values of these members: {read} read in a source, {recalled} recalled, {usual} common practice."
