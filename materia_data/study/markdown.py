"""A sheet as Markdown: no text of the data becomes mark-up."""

import re
from collections.abc import Sequence

from materia_data.study.document import SHAPES, STATE_WORDS, STATES, Line, Run, Runs, Section, Table, counted
from materia_data.study.sheet import Sheet

_MARKS = re.compile(r"([\\`*_{}\[\]#!~])")
_ENTITIES = str.maketrans({mark: f"&#{ord(mark)};" for mark in "&<>|"})
_BLANKS = {"s": 10, "m": 18, "l": 34}


def sheet_markdown(sheet: Sheet, *, key: bool = False, sheet_too: bool = True) -> str:
    """The sheet, its key after it or alone. Ends with release, sign-off and the teaching line."""
    lines: list[str] = []
    if sheet_too:
        hans = f" {escaped(sheet.name_hans)}" if sheet.name_hans else ""
        lines += [f"# {escaped(sheet.title)}{hans}", "", _about(sheet), ""]
        lines += ["Name ____________________ Date __________", ""] if sheet.blanks else []
        for section in sheet.sections:
            lines += _section(section)
    if key:
        lines += [f"# Key: {escaped(sheet.title)}", ""]
        for answer in sheet.answers:
            lines.append(f"{answer.number}. {escaped(answer.text)} ({escaped(answer.section)})")
        lines.append("")
    marks = " · ".join(f"{SHAPES[state]} {STATE_WORDS[state]}" for state in STATES)
    lines += ["---", "", f"Marks: {marks}", "", f"{sheet.words} {_release(sheet)}", "", sheet.teaching, ""]
    return "\n".join(lines)


def escaped(text: str) -> str:
    """Text of the data as Markdown that shows just that text."""
    shown = "".join(
        letter if letter.isprintable() else f"U+{ord(letter):04X}" for letter in text.replace("\u00a0", " ")
    )
    return _MARKS.sub(r"\\\1", shown).translate(_ENTITIES)


def _about(sheet: Sheet) -> str:
    depth = f", taught as {sheet.depth}" if sheet.depth else ""
    course = f" · course {escaped(sheet.course)}" if sheet.course else ""
    return f"Lesson sheet · {counted(len(sheet.members), 'member')}{depth}{course} · {_release(sheet)}"


def _release(sheet: Sheet) -> str:
    return f"Release {sheet.release}, {sheet.signed}, {sheet.licence}."


def _section(section: Section) -> list[str]:
    lines = [f"## {escaped(section.title)}", ""]
    lines += [f"*{escaped(section.note)}*", ""] if section.note else []
    plain = [line for line in section.lines if line.kind != "pad"]
    if any(line.kind == "pad" for line in section.lines):
        lines += ["____________________", ""]
    for line in plain:
        lines.append(_line(line, bullet=len(plain) > 1))
    lines += [""] if plain else []
    return lines + (_table(section.table) if section.table else [])


def _line(line: Line, *, bullet: bool) -> str:
    body = _runs(line.runs)
    if line.kind == "watch":
        body = f"{SHAPES[line.state]} **{STATE_WORDS[line.state].upper()}** · {body}"
    if line.kind == "exception":
        body = f"‖ {body}"
    return f"- {body}" if bullet else body


def _table(table: Table) -> list[str]:
    lines: list[str] = []
    rule = ["--:" if place in table.right else "---" for place in range(len(table.columns))]
    for group in table.groups:
        lines += [f"### {_runs(group.head)}", ""]
        lines += [_runs(group.note), ""] if group.note else []
        lines += [_cells(map(escaped, table.columns)), _cells(rule)]
        lines += [_cells(map(_runs, row)) for row in group.rows]
        lines.append("")
    return lines


def _cells(cells: "Sequence[str] | map[str]") -> str:
    return f"| {' | '.join(cells)} |"


def _runs(runs: Runs) -> str:
    return "".join(map(_run, runs))


def _run(run: Run) -> str:
    if run.style == "mark":
        return SHAPES.get(run.text, "")
    if run.style == "tally":
        return ""
    if run.style == "blank":
        return f"({run.number}) {'_' * _BLANKS[run.size]}".replace("_", r"\_")
    text = escaped(run.text)
    if not text.strip() or run.style not in ("strong", "name-strong", "odd"):
        return text
    inner = text.strip()
    around = text.split(inner, 1)
    mark = "__" if run.style == "odd" else "**"
    return f"{around[0]}{mark}{inner}{mark}{around[1]}"
