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
from materia_data.suggest import did_you_mean


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
    origin = f"data in {path}" if path else "the shipped data"
    sys.stderr.write(f"{origin}, release {materia.release_id}, {materia.signed_off}\n")
    return materia


def subject_of(materia: Materia, text: str) -> str:
    """The subject an id or a name on record means. Trouble: none, or several that differ."""
    if text in materia:
        return text
    found = [candidate for candidate in materia.resolve(text) if candidate.score >= 0.95]
    best = [candidate for candidate in found if candidate.score == found[0].score]
    if len(best) == 1:
        return best[0].id
    if best:
        may = ", ".join(f"{one.name_hans} [{one.id}]" for one in best)
        raise Trouble(f"{text} may mean {may}. Name one by its id.")
    raise Trouble(f"{text} is no medicinal, form or formula on record. {did_you_mean(text, list(materia))}".strip())


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
