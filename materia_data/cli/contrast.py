"""Two to six side by side: what they share, the fewest facts that tell each from the others, the points on record.

--confusable lists the pairs most alike whose mix-up would hurt most; --nearest N the closest to one; --instead WHY what
may stand in for one that is banned or short, in pregnancy, or without animal substances.
Exit 0 whatever the answer, 2 if a subject is not known.
"""

import argparse
from dataclasses import asdict

from materia_data.cli.answer import answer, data_options, open_data, subject_of
from materia_data.cli.trouble import Trouble
from materia_data.teach.confusable import Confusable, confusable
from materia_data.teach.contrast import Contrast, Telling, contrast
from materia_data.teach.nearest import WANTS, Near, Nearest, nearest
from materia_data.teach.words import listed

_WHY = {
    "": "Nearest to",
    "banned": "In place of what is banned,",
    "short": "In place of what is short,",
    "pregnancy": "In pregnancy, in place of",
    "plant-only": "Without animal substances, in place of",
}
_SAYS = {"has": "yes", "has-not": "no", "silent": "not stated"}


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "subjects", nargs="*", metavar="SUBJECT", help="ids or names: two to six, or one with --nearest"
    )
    parser.add_argument("--confusable", action="store_true", help="the pairs whose mix-up would hurt most")
    parser.add_argument("--nearest", type=int, metavar="N", help="the N closest to one subject")
    parser.add_argument("--instead", choices=WANTS, help="what may stand in for one subject, and why one is needed")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    materia = open_data(args, kept=True)
    if args.confusable:
        if args.subjects or args.nearest or args.instead:
            raise Trouble("--confusable looks at all medicinals; leave the rest out.")
        pairs = confusable(materia)
        answer(args, lambda: {"confusable": [asdict(pair) for pair in pairs]}, lambda: _pairs(pairs))
        return 0
    subjects = [subject_of(materia, text) for text in args.subjects]
    if args.nearest is not None or args.instead:
        most = 5 if args.nearest is None else args.nearest
        if len(subjects) != 1:
            raise Trouble(f"--nearest and --instead take one subject, not {len(subjects)}.")
        if not 1 <= most <= 50:
            raise Trouble(f"--nearest takes 1 to 50, not {most}.")
        near = nearest(materia, subjects[0], most, instead=args.instead or "")
        answer(args, lambda: asdict(near), lambda: _near(near))
        return 0
    try:
        found = contrast(materia, subjects)
    except ValueError as error:
        raise Trouble(str(error)) from None
    answer(args, lambda: asdict(found), lambda: _text(found))
    return 0


def _text(found: Contrast) -> str:
    named = {one.id: f"{one.name_hans} {one.pinyin}" for one in found.subjects}
    lines = [" · ".join(f"{named[one.id]} ({one.name_en})" for one in found.subjects)]
    lines += ["", "Told apart by"]
    for telling in found.apart:
        lines.append(f"  {telling.label}{'' if telling.firm else '  (partly not stated, which is no no)'}")
        lines.append(f"    {_sides(telling, named)}")
    if not found.apart:
        lines.append("  nothing on record")
    for a, b in found.alike:
        lines.append(f"  The data cannot tell {named[a]} from {named[b]}.")
    for one in found.recorded:
        title = f"On record: {one.kind} mix-up" if one.kind else "On record"
        lines += ["", title, *(f"  {text}" for text in (one.shared, one.harm, one.tell_apart) if text)]
        lines += [f"  {named.get(point.subject, point.subject)}, {point.axis}: {point.text}" for point in one.points]
    lines += ["", *(f"Only in {named[one.id]}: {listed(one.items)}" for one in found.only)] if found.only else []
    lines += ["", f"All: {'; '.join(found.shared) or 'nothing stated of all'}"]
    return "\n".join(lines) + "\n"


def _sides(telling: Telling, named: dict[str, str]) -> str:
    groups: dict[str, list[str]] = {}
    for side in telling.sides:
        groups.setdefault(_SAYS[side.says], []).append(named[side.id])
    return " · ".join(f"{says}: {listed(names)}" for says, names in groups.items())


def _pairs(pairs: tuple[Confusable, ...]) -> str:
    lines = []
    for pair in pairs:
        recorded = ", on record" if pair.recorded else ""
        lines.append(f"{pair.a_name} [{pair.a}] · {pair.b_name} [{pair.b}]  {pair.rank:.2f}{recorded}")
        lines.append(f"  {pair.why}")
    return "\n".join(lines or ["No two names are alike enough with a difference that hurts."]) + "\n"


def _near(near: Nearest) -> str:
    lines = [f"{_WHY[near.instead]} {near.name_hans} {near.pinyin}"]
    for one in near.subjects:
        lines += _one_near(one)
    if not near.subjects:
        lines.append("  none on record")
    if near.note:
        lines.append(near.note)
    return "\n".join(lines) + "\n"


def _one_near(one: Near) -> list[str]:
    lines = [f"  {one.name_hans} {one.pinyin}  {one.name_en}  [{one.id}]  {one.likeness:.2f}"]
    lines += [f"    {one.lawful}"] if one.lawful else []
    lines += [f"    both: {'; '.join(one.shared)}"] if one.shared else []
    lines += [f"    not stated of it: {'; '.join(one.lacks)}"] if one.lacks else []
    return lines + ([f"    ! {one.warning}"] if one.warning else [])
