"""Which medicinal, form or formula a messy name means: characters, a reading with or without tones, Wade–Giles, Latin,
English, a misspelling, or a sentence with a name in it. Names what would hurt if it were another.

Exit 0 whatever the answer.
"""

import argparse
from dataclasses import asdict

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.teach.name import Named, name


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("text", nargs="+", metavar="TEXT", help="the name as it was written or heard")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    named = name(open_data(args, kept=True), " ".join(args.text))
    answer(args, lambda: asdict(named), lambda: _text(named))
    return 0


def _text(named: Named) -> str:
    lines = [f"{one.score:.2f}  {one.name_hans} {one.pinyin}  [{one.id}]  {one.why}" for one in named.candidates]
    lines = lines or ["Nothing on record has a name near this."]
    return "\n".join([*lines, *(f"  ! {warning}" for warning in named.warnings)]) + "\n"
