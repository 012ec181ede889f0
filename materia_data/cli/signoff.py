"""Who answers for which part of which subject: list the sign-offs, add one, let one lapse.

A sign-off holds for the facts as they stand: it lapses by itself when one of them changes.
Exit 0 when it answered or wrote, 2 when it could not.
"""

import argparse
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date

from materia_data.change.signoff import Signed, SignOffError, Standing, sign, standing, withdraw
from materia_data.check.run import today
from materia_data.check.signoffs import NOT_SIGNED_OFF, SCOPES
from materia_data.cli.answer import answer, data_options, open_data, subject_of, writable
from materia_data.cli.trouble import Trouble
from materia_data.materia import Materia

_MOST = 20


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("what", choices=("list", "add", "lapse"), help="list them, add one, or withdraw one's own")
    parser.add_argument("subjects", nargs="*", metavar="SUBJECT", help="ids or names")
    parser.add_argument("--match", metavar="PATTERN", default="", help="the subjects for which the pattern is true")
    parser.add_argument("--scope", choices=SCOPES, help="what is signed for")
    parser.add_argument("--by", metavar="WHO", default="", help="the person or office that answers")
    parser.add_argument("--role", metavar="ROLE", default="", help="in which role")
    parser.add_argument("--reason", metavar="WHY", default="", help="why it is withdrawn")
    parser.add_argument("--on", metavar="DATE", help="the day (default: SOURCE_DATE_EPOCH, else today)")
    parser.add_argument("--lapsed", action="store_true", help="list only those that no longer stand")
    parser.add_argument("--missing", action="store_true", help="list whose safety two people have yet to sign")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    try:
        return _list(args) if args.what == "list" else _write(args)
    except SignOffError as error:
        raise Trouble(str(error)) from None


def _list(args: argparse.Namespace) -> int:
    materia = open_data(args)
    found = standing(materia, _subjects(args, materia), args.scope or "")
    answer(args, lambda: asdict(found), lambda: _listing(found, args))
    return 0


def _write(args: argparse.Namespace) -> int:
    if not args.scope:
        raise Trouble(f"signoff {args.what} needs --scope: {', '.join(SCOPES)}.")
    on = _day(args.on)
    materia = open_data(args)
    writable(materia)
    subjects = _subjects(args, materia)
    if not subjects:
        raise Trouble(f"signoff {args.what} takes one or more subjects, or --match PATTERN.")
    if args.what == "add":
        signed = sign(materia, subjects, args.scope, by=args.by, role=args.role, on=on)
    else:
        signed = withdraw(materia, subjects, args.scope, by=args.by, role=args.role, on=on, reason=args.reason)
    answer(args, lambda: asdict(signed), lambda: _written(signed))
    return 0


def _subjects(args: argparse.Namespace, materia: Materia) -> list[str]:
    if args.match and args.subjects:
        raise Trouble("name subjects, or give --match PATTERN; not both.")
    if not args.match:
        return [subject_of(materia, text) for text in args.subjects]
    from materia_data.facts.pattern import PatternError

    try:
        found = materia.match(args.match)
    except PatternError as error:
        raise Trouble(f"the pattern cannot be read.\n{error}") from None
    if not found:
        raise Trouble(f"{args.match} is true of nothing on record.")
    return found


def _day(text: str | None) -> date:
    try:
        return date.fromisoformat(text) if text else today()
    except ValueError:
        raise Trouble(f"{text} is no date. Write it as 2026-11-25.") from None


def _listing(found: Standing, args: argparse.Namespace) -> str:
    if args.missing:
        lines = list(found.missing)
    else:
        shown = [one for one in found.signoffs if one.state != "stands" or not args.lapsed]
        lines = [
            f"{one.subject}  {one.scope}  {one.by} ({one.role}), {one.signed_on}"
            + ("" if one.state == "stands" else f": {one.state.upper()}")
            for one in shown
        ]
        lines = lines or ["no sign-off has lapsed" if args.lapsed else "no sign-off on record"]
    safety = f"signed off by two people for {found.signed} of {found.subjects}" if found.signed else NOT_SIGNED_OFF
    number = f"{found.subjects} subject{'' if found.subjects == 1 else 's'}"
    return "\n".join([*lines, f"{number}: safety {safety}"]) + "\n"


def _written(signed: Signed) -> str:
    lines = []
    if signed.added:
        done = "signed off" if signed.kind == "signed" else "withdrawn"
        lines.append(f"{signed.scope} {done} by {signed.by} ({signed.role}), {signed.on}: {_some(signed.added)}")
    if signed.already:
        why = "signed for these very facts already" if signed.kind == "signed" else "no sign-off of theirs stands"
        lines.append(f"left as it is, {why}: {_some(signed.already)}")
    if signed.alone:
        lines.append(f"for safety one more person is to sign: {_some(signed.alone)}")
    return "\n".join(lines) + "\n"


def _some(subjects: Sequence[str]) -> str:
    return ", ".join(subjects[:_MOST]) + (f" and {len(subjects) - _MOST} more" if len(subjects) > _MOST else "")
