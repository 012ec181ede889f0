"""Who matches a pattern, across categories, formulas too, in teaching order.

A pattern: trait:seaweed and flavor:salty · caution:avoid..[topic:pregnancy] · action:stop-bleeding[cause:cold] and
toxicity=none
Exit 0 whatever the answer, 2 if the pattern cannot be read.
"""

import argparse
from dataclasses import asdict

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.facts.pattern import PatternError
from materia_data.teach.match import Matches, match


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("pattern", help="a pattern over facts")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    try:
        matches = match(open_data(args, kept=True), args.pattern)
    except PatternError as error:
        raise Trouble(f"the pattern cannot be read.\n{error}") from None
    answer(args, lambda: asdict(matches), lambda: _text(matches))
    return 0


def _text(matches: Matches) -> str:
    lines, category = [], None
    for one in matches.subjects:
        if one.category != category:
            category = one.category
            lines.append(f"{category}")
        lines.append(f"  {one.name_hans} {one.pinyin}  {one.name_en}  [{one.id}]")
    number = len(matches.subjects)
    lines.append(
        f"{number} {'matches' if number == 1 else 'match'}; {matches.stated_false} stated not to; "
        f"{matches.unstated} do not say"
    )
    return "\n".join(lines) + "\n"
