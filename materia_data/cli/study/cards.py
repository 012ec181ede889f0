"""Two-sided study cards of a category, a group, a unit or a pattern: facts with their reasons on the back, and on every
front each caution that contraindicates or says avoid.

CSV on the screen, or one or more files: --out FILE.pdf (to cut), FILE.csv, FILE.html (for the phone).
Exit 0 when they are written, 2 when there is nothing to learn or they cannot be printed here.
"""

import argparse
import sys
from dataclasses import asdict
from pathlib import Path

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.study.card_page import cards_page
from materia_data.study.card_table import cards_table
from materia_data.study.cards import Cards, cards
from materia_data.study.fonts import PrintError
from materia_data.study.put import put
from materia_data.study.selection import DEPTHS, SelectionError


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("asked", metavar="CATEGORY, UNIT or PATTERN", help="a category, group or unit, or a pattern")
    parser.add_argument("--depth", choices=DEPTHS, default="", help="how far down to go (default: what a sheet holds)")
    parser.add_argument("--course", metavar="COURSE", default="", help="the course whose order and depth to take")
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="of a PDF (default: a4)")
    parser.add_argument("--out", metavar="FILE", action="append", default=[], help="FILE.pdf, FILE.csv or FILE.html")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    wrong = [name for name in args.out if Path(name).suffix not in (".pdf", ".csv", ".html")]
    if wrong:
        raise Trouble(f"{wrong[0]} ends in none of .pdf, .csv, .html, which say how to write it.")
    materia = open_data(args, kept=True)
    try:
        deck = cards(materia, args.asked, depth=args.depth, course=args.course)
        for name in args.out:
            put(Path(name), _written(deck, Path(name).suffix, args.paper))
            sys.stderr.write(f"wrote {name}, {len(deck.cards)} cards\n")
    except (SelectionError, PrintError) as error:
        raise Trouble(str(error.args[0])) from None
    except OSError as error:
        raise Trouble(f"{error.filename or 'the file'} cannot be written: {error.strerror}.") from None
    if not args.out or args.format == "json":
        answer(args, lambda: asdict(deck), lambda: cards_table(deck))
    return 0


def _written(deck: Cards, how: str, paper: str) -> bytes:
    if how == ".pdf":
        from materia_data.study.pdf import cards_pdf

        return cards_pdf(deck, paper=paper)
    return (cards_table(deck) if how == ".csv" else cards_page(deck)).encode()
