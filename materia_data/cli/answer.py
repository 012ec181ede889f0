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
    """Add --data, --layer and --format, the same for every verb that reads data."""
    parser.add_argument("--data", metavar="DIR", help="the folder of a data package (default: the one shipped)")
    layer_option(parser)
    parser.add_argument("--format", choices=formats, default="text", help="how to answer (default: text)")


def layer_option(parser: argparse.ArgumentParser) -> None:
    """Add --layer, which may stand several times."""
    parser.add_argument(
        "--layer",
        metavar="DIR",
        action="append",
        default=[],
        help="a school's layer to put over the data; may stand several times, later ones win",
    )


def open_data(args: argparse.Namespace, *, kept: bool = False, any_base: bool = False) -> Materia:
    """The data the verb was asked to read; prints its origin and release on stderr. kept: facts and measures are asked
    for at once, so read back those of an earlier run; any_base: take a layer that was made for another base too."""
    if args.data == "":
        raise Trouble("--data names no folder. Name the folder that holds datapackage.json.")
    path = Path(args.data) if args.data else None
    if path is not None and not path.is_dir():
        raise Trouble(f"there is no folder {path}. Name the folder that holds datapackage.json.")
    layers = getattr(args, "layer", [])
    try:
        materia = open_kept(path, layers) if kept else load(path, layers)
    except FileNotFoundError as error:
        raise Trouble(f"{str(error)[0].lower()}{str(error)[1:]}") from None
    except ValueError as error:
        if not layers:
            raise
        raise Trouble(str(error)) from None
    _judge_layers(materia, any_base)
    with_layers = "".join(f" with the layer {layer.id} ({layer.title})" for layer in materia.layers)
    origin = f"data in {path}" if path else "the shipped data"
    sys.stderr.write(f"{origin}{with_layers}, release {materia.release_id}, {materia.signed_off}\n")
    return materia


def _judge_layers(materia: Materia, any_base: bool) -> None:
    """Refuse a layer made for another base; say how much of a layer was not read as it stands."""
    for layer in materia.layers:
        found = [problem for problem in materia.package.problems if problem.file.startswith(layer.file(""))]
        wrong = next((problem for problem in found if problem.rule == "layer-base"), None)
        if wrong and not any_base:
            raise Trouble(f"{wrong.file}: {wrong.message} {wrong.tip}")
        left = sum(problem is not wrong for problem in found)
        if left and not any_base:
            many = "one thing is" if left == 1 else f"{left} things are"
            sys.stderr.write(f"{many} wrong in the layer {layer.id}: `materia check --layer {layer.root}` says what\n")


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
    """Refuse to write into the data of an installed package, and into a base through a layer."""
    if materia.layers:
        raise Trouble(
            "with --layer nothing is written into the data. Leave --layer out, or edit the layer's own files."
        )
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
