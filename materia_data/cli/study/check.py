"""An existing quiz read against the data: keys that contradict it, second right answers, items whose facts changed.

FILE is CSV (stem, a, b, c, d, answer), a QTI package (.zip) or one QTI item (.xml). Only what is plainly worded, or was
made by `materia study items`, is judged: an item that is not listed is not approved.
Exit 0 when nothing is found, 1 when something is, 2 if the file cannot be read.
"""

import argparse
from collections.abc import Iterator
from dataclasses import asdict, replace
from itertools import groupby
from pathlib import Path

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.notice import TEACHING
from materia_data.study.quiz.asked import QuizFileError
from materia_data.study.quiz.check import Checked, check_quiz
from materia_data.study.quiz.read import item_files, read_quiz
from materia_data.study.quiz.schema import against_schema

_KINDS = {
    "key": "the key contradicts",
    "second": "a second right answer",
    "changed": "changed since",
    "schema": "not as the schema has it",
}


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="a quiz: .csv, .zip (QTI package) or .xml (QTI item)")
    parser.add_argument("--xsd", metavar="DIR", help="a folder with the XML schemas of QTI, to hold the files to")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    path = Path(args.file)
    if args.xsd is not None and not Path(args.xsd).is_dir():
        raise Trouble(f"there is no folder {args.xsd}. Name the one that holds the .xsd files.")
    try:
        quiz = read_quiz(path)
        if args.xsd is not None and path.suffix.lower() == ".csv":
            raise Trouble("--xsd is for QTI; a CSV has no schema.")
        strict = against_schema(item_files(path), Path(args.xsd)) if args.xsd is not None else []
    except QuizFileError as error:
        raise Trouble(str(error)) from None
    except OSError as error:
        raise Trouble(f"{args.file} cannot be read: {error.strerror}.") from None
    found = check_quiz(open_data(args, kept=True), quiz)
    found = replace(found, wrong=(*strict, *found.wrong))
    answer(args, lambda: asdict(found), lambda: "\n".join(_text(found)) + "\n")
    return 1 if found.wrong else 0


def _text(found: Checked) -> Iterator[str]:
    for (place, id, stem), wrong in groupby(found.wrong, key=lambda one: (one.place, one.id, one.stem)):
        yield f"{' '.join(filter(None, (place, id)))}: {stem}".rstrip()
        yield from (f"  {_KINDS[one.kind]}: {one.says}" for one in wrong)
    if found.wrong:
        yield ""
    yield f"{found.items} items read, {found.judged} judged, {len({one.place for one in found.wrong})} to look at"
    if found.not_judged:
        yield f"{len(found.not_judged)} not judged, which is no approval: {', '.join(found.not_judged[:10])}" + (
            " …" if len(found.not_judged) > 10 else ""
        )
    yield TEACHING
