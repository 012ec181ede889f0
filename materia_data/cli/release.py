"""Release the data: check them, compare with the last release, write the changelog, make archives with checksums.

Everything is made, or nothing. Exit 0 when it is released, 1 when the check finds errors, 2 when it could not.
"""

import argparse
import sys
from dataclasses import asdict
from datetime import date
from pathlib import Path

from materia_data.change.release import Release, ReleaseError, release
from materia_data.check.report import visible
from materia_data.check.run import today
from materia_data.cli.answer import answer, data_options, open_data, writable
from materia_data.cli.trouble import Trouble
from materia_data.exporting.listing import OURS, exporters
from materia_data.problem import Problem

_MOST = 10


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("version", metavar="VERSION", help="the new data version, such as 0.2.0")
    parser.add_argument("--on", metavar="DATE", help="the day of the release (default: SOURCE_DATE_EPOCH, else today)")
    parser.add_argument(
        "--since", metavar="OLD", default="", help="the last release: a tag, an archive, a folder (default: in --out)"
    )
    parser.add_argument("--out", metavar="DIR", help="the folder of releases (default: releases, beside the data)")
    parser.add_argument("--changelog", metavar="FILE", help="default: CHANGELOG.md, beside the data")
    parser.add_argument("--plan", action="store_true", help="only tell what would be released; writes nothing")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    on = _day(args.on)
    materia = open_data(args)
    writable(materia)
    beside = materia.package.root.resolve().parent
    try:
        made = release(
            materia,
            args.version,
            out=Path(args.out) if args.out else beside / "releases",
            changelog=Path(args.changelog) if args.changelog else beside / "CHANGELOG.md",
            on=on,
            exporters=[one for one in exporters() if one.distribution == OURS],
            since=args.since,
            write=not args.plan,
            step=lambda said: print(f"{said} …", file=sys.stderr),
        )
    except ReleaseError as error:
        if error.problems:
            told = sorted(error.problems, key=lambda problem: problem.rule == "not-signed-off")
            for problem in told[:_MOST]:
                sys.stderr.write(_line(problem))
            if len(error.problems) > _MOST:
                sys.stderr.write(f"… and {len(error.problems) - _MOST} more: run `materia check --release`\n")
            sys.stderr.write(f"materia: {error}\n")
            return 1
        raise Trouble(visible(str(error))) from None
    answer(args, lambda: asdict(made), lambda: _text(made))
    return 0


def _day(text: str | None) -> date:
    try:
        return date.fromisoformat(text) if text else today()
    except ValueError:
        raise Trouble(f"{text} is no date. Write it as 2026-11-25.") from None


def _line(problem: Problem) -> str:
    place = f"{problem.file}:{problem.line}" if problem.line else problem.file
    where = "  ".join(filter(None, (place, problem.record, problem.column)))
    tip = f"  tip: {visible(problem.tip)}\n" if problem.tip else ""
    return f"{visible(where)}  {problem.rule}\n  {visible(problem.message)}\n{tip}"


def _text(made: Release) -> str:
    lines = [*map(visible, made.changelog.splitlines()), ""] if made.state == "planned" else []
    after = f" after {made.since}" if made.since else ""
    done = {"planned": "would be released", "finished": "released: what a stopped run had begun is finished"}
    lines.append(f"{made.version}{after}, {made.on}: {done.get(made.state, 'released')}; {made.signed_off}")
    if made.since:
        lines.append(f"the changes call for a {made.bump} step: {visible(made.why)}")
    if made.folder:
        lines.append(f"in {made.folder}:")
        lines += [f"  {name}" for name in made.files]
        lines.append("now commit the data and the changelog, tag the commit v" + made.version)
    return "\n".join(lines) + "\n"
