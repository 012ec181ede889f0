"""Check a data package: structure, rules and safety.

Exit 0 when nothing is wrong, 1 when there are errors (with --strict also warnings), 2 when it could not run.
"""

import argparse
import sys
from contextlib import ExitStack
from datetime import date
from pathlib import Path

from materia_data.check.ledger import unreadable_safety
from materia_data.check.report import FORMATS, render
from materia_data.check.run import check
from materia_data.cli.answer import data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.materia import Materia, load


def register(parser: argparse.ArgumentParser) -> None:
    data_options(parser, formats=FORMATS)
    parser.add_argument(
        "--against",
        metavar="OLD",
        help="also compare the effective safety facts with this older package: a folder, a git revision, an archive",
    )
    parser.add_argument(
        "--on", metavar="DATE", help="the day to judge dates by (default: SOURCE_DATE_EPOCH, else today)"
    )
    parser.add_argument(
        "--release", action="store_true", help="also what a release asks: from 1.0 on, safety signed off by two people"
    )
    parser.add_argument("--strict", action="store_true", help="warnings fail too")
    parser.add_argument("--notes", action="store_true", help="show notes too")
    parser.add_argument("--structure", action="store_true", help="structure only: no rules, no safety")


def run(args: argparse.Namespace) -> int:
    if args.structure and (args.against is not None or args.release):
        other = "--against compares it" if args.against is not None else "--release asks for it"
        raise Trouble(f"--structure leaves safety out, and {other}. Give one of them.")
    materia = open_data(args, any_base=True)
    with ExitStack() as held:
        against = None if args.against is None else _older(args.against, materia, held)
        release = materia.package.version if args.release else ""
        report = check(materia, against=against, on=_day(args.on), structure_only=args.structure, release=release)
    sys.stdout.write(render(report, args.format, colour=sys.stdout.isatty(), notes=args.notes))
    return 1 if report.failed(args.strict) else 0


def _older(name: str, materia: Materia, held: ExitStack) -> Materia:
    """The package that --against names. Refused if something of its safety tables could not be read: what is missing
    there cannot be lost."""
    if not name:
        raise Trouble("--against names nothing. It takes a folder, a git revision, a wheel or an archive.")
    if Path(name).is_dir():
        if not (Path(name) / "datapackage.json").is_file():
            raise Trouble(f"{name} holds no datapackage.json: compared with nothing, nothing would be lost.")
        old = load(Path(name))
    else:
        from materia_data.change.versions import VersionError, open_version

        try:
            old = held.enter_context(open_version(name, beside=materia.package.root.resolve()))
        except VersionError as error:
            raise Trouble(str(error)) from None
    if problem := unreadable_safety(old):
        place = f"{problem.file}, line {problem.line}" if problem.line else problem.file
        raise Trouble(f"{name} cannot be compared with: {place}: {problem.message} Mend the older package first.")
    return old


def _day(text: str | None) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise Trouble(f"{text} is no date. Write it as 2026-11-25.") from None
