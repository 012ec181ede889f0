"""A lesson sheet of a category, a group, a unit or a pattern: what it is for, safety first, what is shared and why,
group by group, stand-outs, told apart, forms, cooking, what was met before, formulas, aids.

Markdown on the screen, or one or more files: --out FILE.md, FILE.html, FILE.pdf.
Exit 0 when it is written, 2 when there is nothing to hand out or it cannot be printed here.
"""

import argparse
import sys
from dataclasses import asdict
from pathlib import Path

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.study.fonts import PrintError
from materia_data.study.put import put
from materia_data.study.selection import DEPTHS, SelectionError
from materia_data.study.sheet import Sheet, sheet


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("asked", metavar="CATEGORY, UNIT or PATTERN", help="a category, group or unit, or a pattern")
    parser.add_argument("--blanks", action="store_true", help="leave blanks to fill in")
    parser.add_argument("--key", action="store_true", help="the key to the blanks; with --blanks after the sheet")
    parser.add_argument("--depth", choices=DEPTHS, default="", help="how far down to go (default: what a sheet holds)")
    parser.add_argument("--course", metavar="COURSE", default="", help="the course whose order and depth to take")
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="of a PDF (default: a4)")
    parser.add_argument("--out", metavar="FILE", action="append", default=[], help="FILE.md, FILE.html or FILE.pdf")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    wrong = [name for name in args.out if Path(name).suffix not in (".md", ".html", ".pdf")]
    if wrong:
        raise Trouble(f"{wrong[0]} ends in none of .md, .html, .pdf, which say how to write it.")
    materia = open_data(args, kept=True)
    try:
        made = sheet(materia, args.asked, blanks=args.blanks or args.key, depth=args.depth, course=args.course)
        for name in args.out:
            put(Path(name), _written(made, Path(name).suffix, args))
            sys.stderr.write(f"wrote {name}\n")
    except (SelectionError, PrintError) as error:
        raise Trouble(str(error.args[0])) from None
    except OSError as error:
        raise Trouble(f"{error.filename or 'the file'} cannot be written: {error.strerror}.") from None
    if not args.out or args.format == "json":
        answer(args, lambda: asdict(made), lambda: _written(made, ".md", args).decode())
    return 0


def _written(made: Sheet, how: str, args: argparse.Namespace) -> bytes:
    sheet_too = args.blanks or not args.key
    if how == ".pdf":
        from materia_data.study.pdf import sheet_pdf

        return sheet_pdf(made, key=args.key, sheet_too=sheet_too, paper=args.paper)
    if how == ".html":
        from materia_data.study.page import sheet_page

        return sheet_page(made, key=args.key, sheet_too=sheet_too).encode()
    from materia_data.study.markdown import sheet_markdown

    return sheet_markdown(made, key=args.key, sheet_too=sheet_too).encode()
