"""Quiz items from the facts, each with one right answer: of a category, group, unit or pattern, or of everything.

Markdown on the screen, or files: --out FILE.md, FILE.pdf, FILE.csv, FILE.zip (a QTI 3.0 package). The key is apart:
--key prints it after the questions, --key-only alone. A blueprint (TOML) says how many of each kind: [[want]] kind,
count, of, difficulty.
Exit 0 when they are made, 2 when the data cannot give that many, or there is nothing to ask about.
"""

import argparse
import sys
from dataclasses import asdict
from pathlib import Path

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.study.fonts import PrintError
from materia_data.study.items.blueprint import BlueprintError, Want, read_blueprint
from materia_data.study.items.choose import Quiz, items
from materia_data.study.items.kinds import NAMES
from materia_data.study.put import put
from materia_data.study.selection import DEPTHS, SelectionError
from materia_data.suggest import did_you_mean

_FILES = (".md", ".pdf", ".csv", ".zip")


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("asked", nargs="?", default="", metavar="CATEGORY, UNIT or PATTERN", help="what to ask about")
    parser.add_argument("--count", type=int, default=20, help="how many for each version (default: 20)")
    parser.add_argument("--kind", action="append", default=[], metavar="KIND", help=f"one of {', '.join(NAMES)}")
    parser.add_argument("--seed", default="1", help="the same seed gives the same paper (default: 1)")
    parser.add_argument("--difficulty", default="0..1", metavar="FROM..TO", help="0 easy to 1 hard (default: 0..1)")
    parser.add_argument("--versions", type=int, default=1, help="so many papers that share no item (default: 1)")
    parser.add_argument("--blueprint", metavar="FILE", help="a TOML file of [[want]] blocks")
    parser.add_argument("--key", action="store_true", help="the key after the questions")
    parser.add_argument("--key-only", action="store_true", help="the key alone")
    parser.add_argument("--depth", choices=DEPTHS, default="", help="how far down the course to go (default: all)")
    parser.add_argument("--course", metavar="COURSE", default="", help="the course whose depth to take")
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="of a PDF (default: a4)")
    parser.add_argument("--out", metavar="FILE", action="append", default=[], help="FILE.md, .pdf, .csv or .zip (QTI)")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    if wrong := [name for name in args.out if Path(name).suffix not in _FILES]:
        raise Trouble(f"{wrong[0]} ends in none of {', '.join(_FILES)}, which say how to write it.")
    if unknown := [name for name in args.kind if name not in NAMES]:
        raise Trouble(f"there is no kind {unknown[0]}. {did_you_mean(unknown[0], NAMES)}".strip())
    wants, hard = _wants(args.blueprint), _difficulty(args.difficulty)
    materia = open_data(args, kept=True)
    try:
        quiz = items(
            materia, args.asked, wants=wants, kinds=args.kind, count=args.count, seed=args.seed, difficulty=hard,
            versions=args.versions, depth=args.depth, course=args.course,
        )  # fmt: skip
        for name in args.out:
            put(Path(name), _written(quiz, Path(name).suffix, args))
            sys.stderr.write(f"wrote {name}\n")
    except (SelectionError, BlueprintError, PrintError) as error:
        raise Trouble(str(error.args[0])) from None
    except OSError as error:
        raise Trouble(f"{error.filename or 'the file'} cannot be written: {error.strerror}.") from None
    if not args.out or args.format == "json":
        answer(args, lambda: asdict(quiz), lambda: _written(quiz, ".md", args).decode())
    return 0


def _wants(name: str | None) -> tuple[Want, ...]:
    if name is None:
        return ()
    try:
        return read_blueprint(Path(name).read_text(encoding="utf-8"))
    except BlueprintError as error:
        raise Trouble(f"{name}: {error}") from None
    except (OSError, UnicodeDecodeError) as error:
        raise Trouble(f"{name} cannot be read: {getattr(error, 'strerror', None) or 'it is no UTF-8 text'}.") from None


def _difficulty(text: str) -> tuple[float, float]:
    low, _, high = text.partition("..")
    try:
        found = float(low or 0), float(high or 1)
    except ValueError:
        found = (1.0, 0.0)
    if not 0 <= found[0] <= found[1] <= 1:
        raise Trouble(f"--difficulty {text}: write two numbers from 0 to 1, such as 0.3..0.7.")
    return found


def _written(quiz: Quiz, how: str, args: argparse.Namespace) -> bytes:
    from materia_data.study.items.paper import quiz_markdown, quiz_pdf
    from materia_data.study.items.qti import quiz_qti
    from materia_data.study.items.table import quiz_csv

    if how == ".zip":
        return quiz_qti(quiz)
    key, paper_too = args.key or args.key_only, not args.key_only
    if how == ".pdf":
        return quiz_pdf(quiz, key=key, paper_too=paper_too, paper=args.paper)
    return (quiz_csv(quiz) if how == ".csv" else quiz_markdown(quiz, key=key, paper_too=paper_too)).encode()
