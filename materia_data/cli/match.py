"""Who matches a pattern, across categories, formulas too, in teaching order.

A pattern: trait:seaweed and flavor:salty · caution:avoid..[topic:pregnancy] · action:stop-bleeding[cause:cold] and
toxicity=none
--basis tells of each how many values were read in a source, and which rest on an edition since replaced.
Exit 0 whatever the answer, 2 if the pattern cannot be read.
"""

import argparse
from dataclasses import asdict

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.facts.pattern import PatternError
from materia_data.teach.basis import Basis, basis
from materia_data.teach.discover import Found, discover
from materia_data.teach.match import Matched, Matches, match
from materia_data.teach.words import listed

_WHEN = {"so-far": "taught so far", "later": "comes later", "not-taught": "not taught in this course"}


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("pattern", nargs="?", help="a pattern over facts")
    parser.add_argument("--through", metavar="UNIT", default="", help="tell what was taught by the end of this unit")
    parser.add_argument("--course", metavar="COURSE", default="", help="the course whose order to take")
    parser.add_argument("--by-strength", action="store_true", help="the strongest first, by the strength stated")
    parser.add_argument("--discover", action="store_true", help="find groups worth teaching that no rule says")
    parser.add_argument("--basis", action="store_true", help="what was read, recalled, or rests on a replaced edition")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    if bool(args.pattern) == args.discover:
        raise Trouble("match takes a pattern, or --discover.")
    if args.discover and (args.through or args.course or args.by_strength or args.basis):
        raise Trouble("--discover looks at all medicinals; leave the other options out.")
    materia = open_data(args, kept=True)
    if args.discover:
        groups = discover(materia)
        answer(args, lambda: {"groups": [asdict(group) for group in groups], "subjects": []}, lambda: _groups(groups))
        return 0
    try:
        matches = match(materia, args.pattern, through=args.through, course=args.course)
    except PatternError as error:
        raise Trouble(f"the pattern cannot be read.\n{error}") from None
    except KeyError as error:
        raise Trouble(error.args[0]) from None
    if args.basis:
        found = basis(materia, matches.pattern, [one.id for one in matches.subjects])
        answer(args, lambda: asdict(found), lambda: _basis(found))
        return 0
    answer(args, lambda: asdict(matches), lambda: _ranked(matches) if args.by_strength else _text(matches))
    return 0


def _text(matches: Matches) -> str:
    lines: list[str] = []
    shown = None
    for one in matches.subjects:
        head = (_WHEN.get(one.when, ""), one.category)
        if shown is None or head[0] != shown[0]:
            lines += [f"{head[0]}:"] if head[0] else []
        if shown is None or head != shown:
            lines.append(one.category)
        shown = head
        lines.append(f"  {_line(one)}{_first_taught(one)}")
    lines.append(_counts(matches))
    return "\n".join(lines) + "\n"


def _first_taught(one: Matched) -> str:
    if not one.when or not one.unit:
        return ""
    return "  new in this unit" if one.new else f"  first taught in {one.unit}"


def _basis(found: Basis) -> str:
    lines = []
    for one in found.subjects:
        counts = f"{one.collated} read in a source, {one.memory} recalled, {one.common_practice} common practice"
        unread = f"; not read: {', '.join(one.unread)}" if one.unread else ""
        lines.append(f"{one.name_hans} {one.pinyin} [{one.id}]: {counts}{unread}")
    for edition in found.editions:
        lines.append(f"{edition.title} [{edition.source}] has been replaced by {edition.replaced_by}:")
        lines.append(
            f"  {edition.values} values of {edition.subjects} of these rest on it, not compared with the new one"
        )
    return "\n".join(lines or ["Nobody matches."]) + "\n"


def _ranked(matches: Matches) -> str:
    lines = []
    for strength in ("drastic", "strong", "moderate", "mild", ""):
        group = [one for one in matches.subjects if one.strength == strength]
        if group:
            lines.append(strength or "strength not stated")
            lines += [f"  {_line(one)}" for one in group]
    return "\n".join([*lines, _counts(matches)]) + "\n"


def _line(one: Matched) -> str:
    return f"{one.name_hans} {one.pinyin}  {one.name_en}  [{one.id}]"


def _counts(matches: Matches) -> str:
    number = len(matches.subjects)
    return (
        f"{number} {'matches' if number == 1 else 'match'}; {matches.stated_false} stated not to; "
        f"{matches.unstated} do not say"
    )


def _groups(groups: tuple[Found, ...]) -> str:
    lines = []
    for group in groups:
        count = len(group.categories)
        lines.append(f"{group.label}: {listed(group.names)}, from {count} categories")
        lines.append(f'  materia match "{group.pattern}"')
    return "\n".join(lines or ["No group of three or more crosses three categories."]) + "\n"
