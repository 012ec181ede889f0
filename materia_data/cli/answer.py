"""Where every verb opens its data and gives its answer: text or JSON, the origin line on stderr."""

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from materia_data.cli.trouble import Trouble
from materia_data.kept import open_kept
from materia_data.materia import Materia, load


def data_options(parser: argparse.ArgumentParser, *, formats: tuple[str, ...] = ("text", "json")) -> None:
    """Add --data and --format, the same for every verb that reads data."""
    parser.add_argument("--data", metavar="DIR", help="the folder of a data package (default: the one shipped)")
    parser.add_argument("--format", choices=formats, default="text", help="how to answer (default: text)")


def open_data(args: argparse.Namespace, *, kept: bool = False) -> Materia:
    """The data the verb was asked to read; prints its origin and release on stderr. kept: facts and measures are asked
    for at once, so read back those of an earlier run."""
    if args.data == "":
        raise Trouble("--data names no folder. Name the folder that holds datapackage.json.")
    path = Path(args.data) if args.data else None
    if path is not None and not path.is_dir():
        raise Trouble(f"there is no folder {path}. Name the folder that holds datapackage.json.")
    try:
        materia = open_kept(path) if kept else load(path)
    except FileNotFoundError as error:
        raise Trouble(f"{str(error)[0].lower()}{str(error)[1:]}") from None
    sys.stderr.write(f"{'data in ' + str(path) if path else 'the shipped data'}, release {materia.release_id}\n")
    return materia


def writable(materia: Materia) -> None:
    """Refuse to write into the data of an installed package."""
    root = materia.package.root.resolve()
    if "_data" in root.parts:
        raise Trouble("the shipped data are part of the installed package. Copy them, and name the copy with --data.")


def answer(args: argparse.Namespace, document: Callable[[], Any], text: Callable[[], str]) -> None:
    """Print one JSON document, or the text for people."""
    if args.format == "json":
        json.dump(document(), sys.stdout, ensure_ascii=False, indent=1)
        sys.stdout.write("\n")
    else:
        sys.stdout.write(text())
