"""Write the files of a data package in their canonical form. Exit 0 when every file is, 1 when one had to be left
alone or, with --check, is not.

With --layer the layer's files are tidied instead, the topmost where there are several, and its base.csv brought up to
date: what lies beneath each cell that it says. A line that stands there is left as it is.
"""

import argparse
from dataclasses import asdict

from materia_data.change.tidy import Tidied, tidy
from materia_data.change.tidy_layer import tidy_layer
from materia_data.cli.answer import answer, data_options, open_data, writable


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--check", action="store_true", help="only tell which files are not canonical")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    materia = open_data(args, any_base=True)
    if materia.layers:
        results = tidy_layer(materia.package, write=not args.check)
    else:
        if not args.check:
            writable(materia)
        results = tidy(materia.package, write=not args.check)
    answer(args, lambda: {"files": [asdict(result) for result in results]}, lambda: _text(results, args.check))
    return int(any(result.left_alone or (args.check and result.changed) for result in results))


def _text(results: list[Tidied], only_tell: bool) -> str:
    lines = []
    for result in results:
        if result.left_alone:
            lines.append(f"{result.file}  left alone: {result.left_alone}")
        elif result.changed:
            lines.append(f"{result.file}  {'is not canonical' if only_tell else 'tidied'}")
    return "\n".join(lines or ["every file is canonical"]) + "\n"
