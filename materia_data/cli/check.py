"""Check a data package: structure, rules and safety.

Exit 0 when nothing is wrong, 1 when there are errors (with --strict also warnings), 2 when it could not run.
"""

import argparse
import gc
import sys
from datetime import date
from pathlib import Path

from materia_data.check.report import FORMATS, render
from materia_data.check.run import check
from materia_data.cli.answer import data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.facts.predicates import predicates
from materia_data.materia import Materia, load


def register(parser: argparse.ArgumentParser) -> None:
    data_options(parser, formats=FORMATS)
    parser.add_argument(
        "--against", metavar="OLD", help="also compare the effective safety facts with this older package"
    )
    parser.add_argument(
        "--on", metavar="DATE", help="the day to judge dates by (default: SOURCE_DATE_EPOCH, else today)"
    )
    parser.add_argument("--strict", action="store_true", help="warnings fail too")
    parser.add_argument("--notes", action="store_true", help="show notes too")
    parser.add_argument("--structure", action="store_true", help="structure only: no rules, no safety")


def run(args: argparse.Namespace) -> int:
    gc.disable()  # the process ends with the verb, and collecting over millions of cells costs a third of its time
    if args.structure and args.against is not None:
        raise Trouble("--structure leaves safety out, and --against compares it. Give one of them.")
    materia = open_data(args, any_base=True)
    against = None
    if args.against is not None:
        if not args.against or not Path(args.against).is_dir():
            raise Trouble(
                f"there is no folder {args.against or '“”'}. --against takes the folder of the older data package."
            )
        if not (Path(args.against) / "datapackage.json").is_file():
            raise Trouble(f"{args.against} holds no datapackage.json: compared with nothing, nothing would be lost.")
        against = _whole(load(Path(args.against)), args.against)
    report = check(materia, against=against, on=_day(args.on), structure_only=args.structure)
    sys.stdout.write(render(report, args.format, colour=sys.stdout.isatty(), notes=args.notes))
    return 1 if report.failed(args.strict) else 0


def _whole(old: Materia, folder: str) -> Materia:
    """Refuse an older package of whose safety tables something could not be read: what is missing there cannot be
    lost."""
    safety = [predicate for predicate in predicates().values() if predicate.safety != "no"]
    files = {old.package.tables[table].file for predicate in safety for table, _ in predicate.sources}
    for problem in old.package.problems:
        if problem.file in files and problem.rule not in ("missing-column", "unknown-column", "reordered-columns"):
            place = f"{problem.file}, line {problem.line}" if problem.line else problem.file
            raise Trouble(f"{folder} cannot be compared with: {place}: {problem.message} Mend the older package first.")
    return old


def _day(text: str | None) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise Trouble(f"{text} is no date. Write it as 2026-11-25.") from None
