"""The whole record of one or more subjects: safety first, sources at the end.

Exit 0 whatever the answer, 2 if a subject is not known.
"""

import argparse
from dataclasses import asdict

from materia_data.cli.answer import answer, data_options, open_data, subject_of
from materia_data.teach.show import Line, Shown, show


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("subjects", nargs="+", metavar="SUBJECT", help="an id or any name on record")
    parser.add_argument("--basis", action="store_true", help="name basis and source after each line")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    materia = open_data(args, kept=True)
    shown = [show(materia, subject_of(materia, text)) for text in args.subjects]
    document = {"subjects": [asdict(one) for one in shown]}
    answer(args, lambda: document, lambda: "\n".join(_text(one, args.basis) for one in shown))
    return 0


def _text(one: Shown, basis: bool) -> str:
    traditional = f" {one.name_hant}" if one.name_hant != one.name_hans else ""
    lines = [f"{one.name_hans}{traditional} {one.pinyin}  {one.name_en}  [{one.id}]"]
    lines += [one.latin] if one.latin else []
    lines += ["", "Safety first"]
    lines += [f"  LOOSENED: {line.text}" for line in one.layers if line.loosens]
    lines += [_line(line, basis) for line in one.safety]
    if one.not_checked:
        lines.append(f"  not checked, which is no permission: {', '.join(one.not_checked)}")
    for section in one.sections:
        lines += ["", section.title, *(_line(line, basis) for line in section.lines)]
    if said := [line.text for line in one.layers if not line.loosens]:
        lines += ["", "Said by layers", *(f"  {text}" for text in said)]
    lines += ["", "Sources", *(f"  {source}: {title}" for source, title in one.sources)]
    lines += ["", "For teaching; local law, the current pharmacopoeia and licensed practice decide."]
    return "\n".join(lines) + "\n"


def _line(line: Line, basis: bool) -> str:
    said = ", ".join(filter(None, (line.source, line.basis.replace("-", " "))))
    return f"  {line.text}" + (f"  ({said})" if basis and said else "")
