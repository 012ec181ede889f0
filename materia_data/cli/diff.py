"""What changed between two packages, in words, with its effect on safety and the version step it calls for.

OLD and NEW: folders, git revisions, wheels or released archives; or one argument OLD..NEW. With --layer both are read
under the layer: what the step means to the school.
Exit 0 whatever changed, 2 if a version cannot be opened.
"""

import argparse
from dataclasses import asdict

from materia_data.change.changelog import escaped
from materia_data.change.diff import Change, Diff, diff
from materia_data.change.versions import VersionError, open_version
from materia_data.cli.answer import answer, layer_option
from materia_data.cli.trouble import Trouble
from materia_data.read.layers.layer import LayerError

_MARKS = {"weakened": "WEAKENED", "removed": "LOST", "strengthened": "strengthened", "gained": "gained", "none": ""}


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("versions", nargs="+", metavar="OLD NEW", help="two versions, or one OLD..NEW")
    parser.add_argument("--safety", action="store_true", help="only what changes safety")
    layer_option(parser)
    parser.add_argument(
        "--format", choices=("text", "json", "markdown"), default="text", help="how to answer (default: text)"
    )


def run(args: argparse.Namespace) -> int:
    versions = args.versions
    if len(versions) == 1 and ".." in versions[0]:
        versions = versions[0].split("..", 1)
    if len(versions) != 2 or not all(versions):
        raise Trouble("diff takes two versions, OLD NEW or OLD..NEW: folders, git revisions, wheels or archives.")
    try:
        with open_version(versions[0], layers=args.layer) as old, open_version(versions[1], layers=args.layer) as new:
            found = diff(old, new)
    except (VersionError, LayerError) as error:
        raise Trouble(str(error)) from None
    shown = [change for change in found.changes if change.safety != "none" or not args.safety]
    if args.format == "markdown":
        print(_markdown(found, shown))
        return 0
    answer(args, lambda: asdict(found), lambda: _text(found, shown))
    return 0


def _text(found: Diff, shown: list[Change]) -> str:
    lines = [f"{found.old} → {found.new}"]
    for change in shown:
        mark = _MARKS[change.safety]
        lines.append(f"{change.words}" + (f": {mark}" if mark else ""))
        lines += [f"    {effect}" for effect in change.effects if effect not in change.words][:6]
    lines.append(f"{_counts(found)}; version step: {found.bump} ({found.why})")
    return "\n".join(lines) + "\n"


def _counts(found: Diff) -> str:
    by = {effect: sum(change.safety == effect for change in found.changes) for effect in _MARKS}
    told = [f"{by[effect]} {word.lower()}" for effect, word in _MARKS.items() if word and by[effect]]
    changes = f"{len(found.changes)} change{'' if len(found.changes) == 1 else 's'}"
    return f"{changes}, of them for safety {', '.join(told)}" if told else f"{changes}, none for safety"


def _markdown(found: Diff, shown: list[Change]) -> str:
    loose = [change for change in shown if change.safety in ("weakened", "removed")]
    rest = [change for change in shown if change not in loose]
    lines = [f"### Data: {escaped(found.old)} → {escaped(found.new)}", ""]
    if loose:
        lines += ["**Safety is loosened.** Each of these needs its row in `record/loosenings.csv`; the check names"]
        lines += ["each that has none.", ""]
        lines += [f"- **{_MARKS[change.safety]}** {escaped(change.words)}" for change in loose]
        lines.append("")
    if rest:
        lines += ["<details><summary>Other changes</summary>", ""]
        lines += [
            f"- {escaped(change.words)}" + (f" *{change.safety}*" if change.safety != "none" else "")
            for change in rest[:200]
        ]
        lines += ["", f"… and {len(rest) - 200} more" if len(rest) > 200 else "", "</details>", ""]
    lines.append(f"{_counts(found)}. Version step: **{found.bump}** ({escaped(found.why)}).")
    return "\n".join(lines)
