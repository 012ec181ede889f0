"""Begin a new record: every question of its table is asked, with help; the row is written only when all answers are
right.

materia new herbs                          asks at the terminal
materia new aids --set id=… --set text=…   takes the answers as given
Exit 0 when the row is written, 1 when an answer is wrong, 2 when it could not run.
"""

import argparse
import sys
from collections.abc import Sequence
from dataclasses import asdict

from materia_data.change.new import Question, new, questions
from materia_data.check.report import visible
from materia_data.cli.answer import answer, data_options, open_data, writable
from materia_data.cli.trouble import Trouble
from materia_data.problem import Problem
from materia_data.suggest import did_you_mean


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("table", help="herbs, forms, names, doses, cautions … any table")
    parser.add_argument(
        "--set", action="append", default=[], metavar="COLUMN=VALUE", help="an answer; with it nothing is asked"
    )
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    materia = open_data(args)
    writable(materia)
    package = materia.package
    table = args.table.replace("-", "_")
    if table not in package.tables:
        raise Trouble(f"there is no table {args.table}. {did_you_mean(table, package.tables)}".strip())
    asked = questions(package, table)
    if args.set:
        answers = _given(args.set, [question.column for question in asked])
        problems = new(package, table, answers)
    else:
        if not sys.stdin.isatty() and args.format == "json":
            raise Trouble("with --format json nothing is asked: give the answers with --set COLUMN=VALUE.")
        answers = {question.column: _ask(question) for question in asked}
        while problems := new(package, table, answers):
            _say(problems)
            answers |= {
                question.column: _ask(question, answers[question.column])
                for question in asked
                if question.column in {problem.column for problem in problems}
            }
    record = "|".join(answers.get(column, "") for column in package.tables[table].schema.key)
    answer(
        args,
        lambda: {
            "table": table,
            "record": record,
            "written": not problems,
            "problems": [asdict(problem) for problem in problems],
        },
        lambda: (
            ""
            if problems
            else f"{record} stands in {package.tables[table].file}. Run `materia check` to see what else it needs.\n"
        ),
    )
    if problems and args.format == "text":
        _say(problems)
    return 1 if problems else 0


def _given(pairs: Sequence[str], columns: Sequence[str]) -> dict[str, str]:
    answers = {}
    for pair in pairs:
        column, mark, value = pair.partition("=")
        if not mark or column not in columns:
            raise Trouble(f"--set takes COLUMN=VALUE; {column} is no column. {did_you_mean(column, columns)}".strip())
        answers[column] = value
    return answers


def _ask(question: Question, before: str = "") -> str:
    shown = (
        ", ".join(question.answers)
        if 0 < len(question.answers) <= 24
        else f"{len(question.answers)} ids"
        if question.answers
        else ""
    )
    sys.stderr.write(
        f"\n{question.title} ({question.column}){'' if question.required else ', may stay empty'}\n  {question.asks}\n"
        f"  e.g. {question.example}\n" + (f"  one of: {shown}\n" if shown else "")
    )
    while True:
        sys.stderr.write(f"  {f'[{before}] ' if before else ''}> ")
        sys.stderr.flush()
        line = sys.stdin.readline()
        if not line:
            raise Trouble("the answers ended early; nothing was written.")
        value = line.strip() or before
        if value or not question.required:
            return value
        sys.stderr.write("  It cannot stay empty.\n")


def _say(problems: Sequence[Problem]) -> None:
    for problem in problems:
        sys.stderr.write(
            f"{problem.column}: {visible(problem.message)}{' Tip: ' + visible(problem.tip) if problem.tip else ''}\n"
        )
