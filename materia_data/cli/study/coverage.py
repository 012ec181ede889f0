"""Which facts no quiz item and no lesson sheet touches yet, by unit of a course, safety first.

Say what was handed out: --quiz FILE (.csv, .zip, .xml) and --sheet CATEGORY, UNIT or PATTERN, each as often as needed.
Exit 0 when it is told, 2 when there is no such course or unit, or a quiz cannot be read.
"""

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import asdict
from itertools import groupby
from pathlib import Path

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.notice import TEACHING
from materia_data.study.coverage import Coverage, CoverageError, Untouched, coverage
from materia_data.study.quiz.asked import Asked, QuizFileError
from materia_data.study.quiz.read import read_quiz
from materia_data.study.selection import SelectionError


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("asked", nargs="?", default="", metavar="COURSE or UNIT", help="by its id (default: a course)")
    parser.add_argument("--quiz", metavar="FILE", action="append", default=[], help="a quiz that was handed out")
    parser.add_argument("--sheet", metavar="ASKED", action="append", default=[], help="of what a sheet was handed out")
    parser.add_argument("--all", action="store_true", help="list what is not about safety too")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    name = ""
    try:
        quiz: list[Asked] = []
        for name in args.quiz:
            quiz += read_quiz(Path(name))
        found = coverage(open_data(args, kept=True), args.asked, quiz=quiz, sheets=args.sheet)
    except (CoverageError, QuizFileError, SelectionError) as error:
        raise Trouble(str(error.args[0])) from None
    except OSError as error:
        raise Trouble(f"{name} cannot be read: {error.strerror}.") from None
    answer(args, lambda: asdict(found), lambda: "\n".join(_text(found, args.all)) + "\n")
    return 0


def _text(found: Coverage, every: bool) -> Iterator[str]:
    sheets = f"{len(found.sheets)} sheet{'' if len(found.sheets) == 1 else 's'}"
    yield f"{found.course}: {found.items} item{'' if found.items == 1 else 's'} and {sheets} handed out"
    for unit in found.units:
        yield ""
        yield (
            f"{unit.title} ({unit.unit}): {unit.safety_touched} of {unit.safety} safety facts touched, "
            f"{unit.touched} of {unit.facts} in all"
        )
        listed = [one for one in unit.untouched if every or one.safety]
        for (safety, name), same in groupby(sorted(listed, key=_order), key=lambda one: (one.safety, one.name)):
            times = Counter(one.fact for one in same)
            facts = [fact if count == 1 else f"{fact} ({count} times)" for fact, count in times.items()]
            yield f"  {'not touched' if safety else 'nor'}: {name}: {'; '.join(facts)}"
    yield ""
    yield TEACHING


def _order(one: Untouched) -> tuple[bool, str]:
    return not one.safety, one.subject
