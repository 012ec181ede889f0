"""The rules of a package: what each expects, why, how far it holds, and who is excepted.

Exit 0 whatever the answer, 2 if a rule is not known.
"""

import argparse
import sys
from typing import Any

from materia_data.check.measure import Measure, measure_all
from materia_data.check.rules import Rule, read_rules
from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.materia import Materia
from materia_data.suggest import did_you_mean


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("rules", nargs="*", metavar="RULE", help="only these rules")
    parser.add_argument("--safety", action="store_true", help="only safety rules")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    materia = open_data(args)
    rules, problems = read_rules(materia.package, materia.facts)
    if unreadable := len({(problem.file, problem.line) for problem in problems}):
        sys.stderr.write(f"left out as unreadable: {unreadable}; `materia check` says what is wrong\n")
    for name in args.rules:
        if name not in {rule.id for rule in rules}:
            tip = did_you_mean(name, [rule.id for rule in rules]) or "`materia rules` lists them all."
            raise Trouble(f"there is no rule {name}, or it cannot be read. {tip}")
    chosen = [
        (rule, measured)
        for rule, measured in zip(rules, measure_all(rules, materia.facts), strict=True)
        if (not args.rules or rule.id in args.rules) and (rule.safety or not args.safety)
    ]
    excepted = _exceptions(materia)
    answer(
        args,
        lambda: {"rules": [_document(rule, measured, excepted, materia) for rule, measured in chosen]},
        lambda: "".join(_text(rule, measured, excepted) for rule, measured in chosen),
    )
    return 0


def _exceptions(materia: Materia) -> dict[str, list[dict[str, str]]]:
    table = materia.package.tables["exceptions"]
    found: dict[str, list[dict[str, str]]] = {}
    for index in range(len(table)):
        row = table.row(index)
        found.setdefault(row["rule"], []).append({key: row[key] for key in ("subject", "value", "reason", "review_on")})
    return found


def _document(
    rule: Rule, measured: Measure, excepted: dict[str, list[dict[str, str]]], materia: Materia
) -> dict[str, Any]:
    def ids(numbers: frozenset[int]) -> list[str]:
        return [materia.facts.subjects[number] for number in sorted(numbers)]

    return {
        "id": rule.id,
        "title": rule.title,
        "over": list(rule.over),
        "when": str(rule.when),
        "expect": str(rule.expect),
        "strength": rule.strength,
        "safety": rule.safety,
        "explains": str(rule.explains) if rule.explains else "",
        "because": rule.because,
        "basis": rule.basis,
        "source": rule.source,
        "locator": rule.locator,
        "measure": measured.sentence,
        "definition": measured.definition,
        "base": list(measured.base),
        "lift": round(measured.lift, 3),
        "holds": ids(measured.holds),
        "contradicted": ids(measured.contradicted),
        "unstated": ids(measured.unstated),
        "exceptions": excepted.get(rule.id, []),
        "file": rule.file,
        "line": rule.line,
    }


def _text(rule: Rule, measured: Measure, excepted: dict[str, list[dict[str, str]]]) -> str:
    kind = "definition" if measured.definition else f"{rule.strength}{', safety' if rule.safety else ''}"
    source = f"{rule.source}, {rule.locator}".rstrip(", ") or rule.basis.replace("-", " ")
    lines = [
        f"{rule.id}  ({kind})",
        f"  {rule.title}. {rule.because}",
        f"  {rule.when}  →  {rule.expect}",
        f"  {measured.sentence}; {measured.base_sentence}; {source}",
    ]
    for exception in excepted.get(rule.id, []):
        lines.append(
            f"  excepted: {' '.join(filter(None, (exception['subject'], exception['value'])))}: {exception['reason']}"
        )
    return "\n".join(lines) + "\n\n"
