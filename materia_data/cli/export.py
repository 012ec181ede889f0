"""Run exporters: each gives a folder OUT/NAME, whole or not at all, with a manifest of files, digests and release.

Exit 0 when each was written, 1 when one failed or was refused (its old output stands), 2 when nothing could be run.
"""

import argparse
import sys
import time
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.exporting.listing import Exporter, exporters
from materia_data.suggest import did_you_mean


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("names", nargs="*", metavar="NAME", help="exporters to run; `--list` names them")
    parser.add_argument("--all", action="store_true", help="run every exporter that is not refused")
    parser.add_argument("--list", action="store_true", help="list what is installed; imports none of it")
    parser.add_argument("--out", metavar="DIR", help="the folder that takes DIR/NAME")
    parser.add_argument(
        "--timeout", metavar="SECONDS", type=float, default=600.0, help="time limit for each (default: 600)"
    )
    parser.add_argument(
        "--option",
        action="append",
        default=[],
        metavar="NAME.KEY=VALUE",
        help="tell one exporter something; repeatable",
    )
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    offered = exporters()
    if args.list:
        answer(args, lambda: {"exporters": [_document(one) for one in offered]}, lambda: _listing(offered))
        return 0
    chosen = _chosen(args, offered)
    if not args.out:
        raise Trouble("export needs --out DIR, the folder to write to.")
    if not args.timeout > 0:
        raise Trouble("--timeout takes a number of seconds greater than 0.")
    options = _options(args.option, [one.name for one in chosen])
    from materia_data.exporting.run import CannotExport, Output, export

    for one in offered:
        if one.refused and (args.all or one.name in args.names):
            sys.stderr.write(f"not run: {one.name} of {one.distribution or 'an unnamed distribution'}: {one.refused}\n")
    began, ended = time.monotonic(), 0

    def done(output: Output) -> None:
        nonlocal ended
        ended += 1
        if time.monotonic() - began > 1 and ended < len(chosen):
            sys.stderr.write(f"{output.name} {output.state}, {ended} of {len(chosen)}\n")

    try:
        outputs = export(open_data(args), chosen, Path(args.out), timeout=args.timeout, options=options, done=done)
    except CannotExport as error:
        raise Trouble(str(error)) from None
    answer(args, lambda: {"outputs": list(map(asdict, outputs))}, lambda: "".join(map(_line, outputs)))
    for output in outputs:
        if output.state == "failed" and output.log:
            last = "".join(f"  {_plain(line)}\n" for line in output.log.splitlines()[-8:])
            sys.stderr.write(f"what {output.name} printed last:\n{last}")
    return 1 if any(output.state == "failed" for output in outputs) else 0


def _chosen(args: argparse.Namespace, offered: Sequence[Exporter]) -> list[Exporter]:
    if bool(args.names) == args.all:
        raise Trouble("export takes one or more names, or --all. `materia export --list` shows them.")
    if args.all:
        return [one for one in offered if not one.refused]
    chosen = []
    for name in dict.fromkeys(args.names):
        named = [one for one in offered if one.name == name]
        if not named:
            tip = did_you_mean(name, [one.name for one in offered]) or "`materia export --list` shows them all."
            raise Trouble(f"no exporter {name} is installed. {tip}")
        chosen.append(min(named, key=lambda one: bool(one.refused)))
    return chosen


def _options(said: Sequence[str], chosen: Sequence[str]) -> dict[str, dict[str, str]]:
    """By exporter what was said to it: `site.site_url=https://…`."""
    found: dict[str, dict[str, str]] = {}
    for text in said:
        where, equals, value = text.partition("=")
        name, dot, key = where.partition(".")
        if not (equals and dot and key):
            raise Trouble(f"--option takes NAME.KEY=VALUE, as in site.releases=yes; not {text}.")
        if name not in chosen:
            tip = did_you_mean(name, chosen)
            raise Trouble(f"--option {where} is for {name}, which is not run here. {tip}".strip())
        found.setdefault(name, {})[key] = value
    return found


def _document(one: Exporter) -> dict[str, Any]:
    return {key: value for key, value in asdict(one).items() if key != "value"}


def _listing(offered: Sequence[Exporter]) -> str:
    if not offered:
        return "no exporter is installed\n"
    rows = [
        (one.name, f"{one.distribution} {one.version}", f"refused: {one.refused}" if one.refused else one.summary)
        for one in offered
    ]
    name, made_by = (max(len(row[column]) for row in rows) for column in (0, 1))
    return "".join(
        f"{_plain(a).ljust(name)}  {_plain(b).ljust(made_by)}  {_plain(c)}".rstrip() + "\n" for a, b, c in rows
    )


def _line(output: Any) -> str:
    if output.state == "failed":
        kept = "; what stood there before still does" if Path(output.folder).is_dir() else ""
        return f"{output.name}: failed: {_plain(output.message.removesuffix('.'))}{kept}\n"
    number = f"{output.files} file{'' if output.files == 1 else 's'}"
    return f"{output.name}: {number}, {_size(output.bytes)}, in {output.folder}\n"


def _size(number: int) -> str:
    if number < 10_000:
        return f"{number} bytes"
    return f"{number / 1000:.0f} kB" if number < 10_000_000 else f"{number / 1e6:.0f} MB"


def _plain(text: str) -> str:
    """Text of others for a terminal: nothing that moves the cursor or turns the direction."""
    return "".join(letter if letter.isprintable() else letter.encode("unicode_escape").decode() for letter in text)
