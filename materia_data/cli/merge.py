"""Merge two changes of a table by record and cell, as git's merge driver.

materia merge --setup                    once in a repository: git then merges tables so by itself
materia merge BASE OURS THEIRS [PATH]    what git runs; the result stands in OURS
Exit 0 when all went together, 1 when conflicts are left, 2 when it could not.
"""

import argparse
import sys
from dataclasses import asdict
from pathlib import Path

from materia_data.change.merge import Conflict, Merged, MergeError, merge
from materia_data.change.merge_setup import set_up
from materia_data.check.report import visible
from materia_data.cli.answer import answer
from materia_data.cli.trouble import Trouble


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="*", metavar="FILE", help="BASE OURS THEIRS, and the path in the repository")
    parser.add_argument("--setup", action="store_true", help="have git merge the tables of this repository so")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="how to answer (default: text)")


def run(args: argparse.Namespace) -> int:
    if args.setup == bool(args.files) or len(args.files) not in (0, 3, 4):
        raise Trouble("merge takes BASE OURS THEIRS and, if you like, the path in the repository; or --setup alone.")
    try:
        if args.setup:
            made = set_up(Path.cwd())
            answer(args, lambda: asdict(made), lambda: _told(made.config, made.attributes, made.added))
            return 0
        base, ours, theirs = map(Path, args.files[:3])
        found = merge(base, ours, theirs, "".join(args.files[3:]))
    except MergeError as error:
        raise Trouble(str(error)) from None
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise Trouble(f"{error.filename or 'a file'} cannot be used: {why}.") from None
    answer(args, lambda: asdict(found), lambda: "")
    sys.stderr.write(_text(found))
    return int(bool(found.conflicts))


def _told(config: str, attributes: str, added: bool) -> str:
    line = "has a new line: commit it" if added else "had its line already"
    return f"git merges tables by record and cell now: {config} is set, {attributes} {line}\n"


def _text(found: Merged) -> str:
    number = f"{found.conflicts} conflict{'' if found.conflicts == 1 else 's'}"
    if found.by == "lines":
        return f"{visible(found.path)}: no table that can be read whole; merged by lines, {number}\n"
    lines = [f"{found.path}: {number}"] if found.conflicts else []
    return "".join(f"{line}\n" for line in [*lines, *(part for one in found.told for part in _lines(one))])


def _lines(conflict: Conflict) -> list[str]:
    told = ((" ours", conflict.ours), (" theirs", conflict.theirs), (" before", conflict.base))
    return [visible(f"  {conflict.record}: {conflict.why}"), *(visible(f"   {side}: {text}") for side, text in told)]
