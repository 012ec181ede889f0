"""When to go over each unit again: plain dates from the order of a course's units and a published result on spacing.

CSV on the screen or in --out FILE.csv: date, what, unit, title, days since it was last gone over, days to the
examination. No account, and nobody is followed.
Exit 0 when it is written, 2 when there is no such course or no time.
"""

import argparse
import csv
import io
import sys
from dataclasses import asdict
from datetime import date
from pathlib import Path

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.study.put import put
from materia_data.study.schedule import Schedule, ScheduleError, schedule

HEADER = ("date", "what", "review", "unit", "position", "title", "subjects", "days_since", "days_to_exam", "release")


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("course", help="a course by its id")
    parser.add_argument("--begins", metavar="DATE", required=True, help="the day of the first unit, as 2027-02-01")
    parser.add_argument("--exam", metavar="DATE", required=True, help="the day it must be known")
    parser.add_argument("--every", metavar="DAYS", type=int, default=7, help="days from unit to unit (default: 7)")
    parser.add_argument("--reviews", metavar="N", type=int, default=3, help="reviews of a unit at most (default: 3)")
    parser.add_argument("--out", metavar="FILE", default="", help="write it to FILE.csv")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    if args.out and Path(args.out).suffix != ".csv":
        raise Trouble(f"{args.out} does not end in .csv.")
    begins, exam = _day(args.begins), _day(args.exam)
    materia = open_data(args)
    try:
        made = schedule(materia, args.course, begins, exam, every=args.every, reviews=args.reviews)
        if args.out:
            put(Path(args.out), _table(made).encode())
            sys.stderr.write(f"wrote {args.out}, {len(made.sittings)} dates\n")
    except ScheduleError as error:
        raise Trouble(str(error)) from None
    except OSError as error:
        raise Trouble(f"{error.filename or 'the file'} cannot be written: {error.strerror}.") from None
    if not args.out or args.format == "json":
        sys.stderr.write(f"gaps as recalled from {made.source}\n")
        answer(args, lambda: asdict(made), lambda: _table(made))
    return 0


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Trouble(f"{text} is no date. Write it as 2027-02-01.") from None


def _table(made: Schedule) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    for one in made.sittings:
        row = (one.on, one.what, one.number, one.unit, one.position, one.title, one.subjects, one.gap, one.left)
        writer.writerow((*row, made.release))
    return out.getvalue()
