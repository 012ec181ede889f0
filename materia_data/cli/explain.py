"""Why each nature, flavour and channel is what it is, and why each caution and way of cooking stands: every rule that
holds and names it, or the recorded exception.

--why-not PATTERN asks the other way round: why does it not do this? A stated no with its source, a complete list
without it, a value outside, or nothing stated at all.
Exit 0 whatever the answer, 2 if a subject is not known or a pattern cannot be read.
"""

import argparse
from collections import Counter
from dataclasses import asdict

from materia_data.cli.answer import answer, data_options, open_data, subject_of
from materia_data.cli.trouble import Trouble
from materia_data.facts.pattern import PatternError
from materia_data.materia import Materia
from materia_data.suggest import did_you_mean
from materia_data.teach.explain import Explanation, Instruction, Property, Reason, explain, explain_all
from materia_data.teach.why_not import WhyNot, why_not


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("subjects", nargs="*", metavar="SUBJECT", help="an id or any name of a medicinal or form")
    parser.add_argument(
        "--all",
        action="store_true",
        help="every herb, and what forms state themselves: counts, and what is still unexplained",
    )
    parser.add_argument("--why-not", metavar="PATTERN", default="", help="why a pattern is not true of the subjects")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    if bool(args.subjects) == args.all:
        raise Trouble("explain takes one or more subjects, or --all.")
    if args.why_not and args.all:
        raise Trouble("--why-not asks of subjects; name them instead of --all.")
    materia = open_data(args, kept=True)
    if args.why_not:
        return _answer_why_not(args, materia)
    if args.all:
        explanation = explain_all(materia)
        answer(args, lambda: asdict(explanation), lambda: _overview(explanation))
        return 0
    subjects = []
    for text in args.subjects:
        found = (
            [text]
            if text in materia
            else [candidate.id for candidate in materia.resolve(text)[:1] if candidate.score == 1]
        )
        if not found or materia.package.subject_table(found[0]) == "formulas":
            what = "is a formula; explain takes medicinals and forms" if found else "is no medicinal or form"
            medicinals = [subject for subject in materia if materia.package.subject_table(subject) != "formulas"]
            raise Trouble(f"{text} {what}. {'' if found else did_you_mean(text, medicinals)}".strip())
        subjects += found
    explanation = explain(materia, subjects)
    answer(args, lambda: asdict(explanation), lambda: _aloud(explanation))
    return 0


def _answer_why_not(args: argparse.Namespace, materia: Materia) -> int:
    try:
        found = [why_not(materia, subject_of(materia, text), args.why_not) for text in args.subjects]
    except PatternError as error:
        raise Trouble(f"the pattern cannot be read.\n{error}") from None
    document = {"why_not": [asdict(one) for one in found]}
    answer(args, lambda: document, lambda: "\n".join(map(_why_it_is_not, found)))
    return 0


_VERDICT = {"true": "it does", "stated-false": "stated not to", "unstated": "not stated, which is no no"}
_GROUND = {
    "states": "on record",
    "negative": "stated not to",
    "closed": "all that is listed",
    "outside": "instead",
    "broader": "only more broadly",
    "otherwise": "only under other conditions",
    "disputed": "disputed",
}


def _why_it_is_not(found: WhyNot) -> str:
    lines = [f"{found.name_hans} {found.pinyin}  [{found.id}]", f"  {found.pattern}: {_VERDICT[found.verdict]}"]
    for part in found.parts:
        indent = "    "
        if len(found.parts) > 1:
            lines.append(f"    {part.pattern}: {_VERDICT[part.verdict]}")
            indent += "  "
        for ground in part.grounds:
            word = ", ".join(
                filter(None, (ground.source, ground.locator, ground.basis.replace("-", " "), ground.place))
            )
            lines.append(f"{indent}{_GROUND[ground.kind]}: {ground.text}" + (f"  ({word})" if word else ""))
        if not part.grounds:
            lines.append(f"{indent}nothing on record either way")
    return "\n".join(lines) + "\n"


def _aloud(explanation: Explanation) -> str:
    lines: list[str] = []
    for one in explanation.subjects:
        lines.append(f"{one.name_hans} {one.pinyin}  [{one.id}]")
        for item in one.properties:
            lines.append(f"  {item.predicate}: {item.label}")
            lines += [f"    {line}" for line in _why(item)]
        for instruction in one.instructions:
            lines.append(f"  {instruction.label}{_bound(instruction)}")
            lines += [f"    {line}" for line in _why_so(instruction)]
        lines.append("")
    lines.append(_counts(explanation))
    return "\n".join(lines) + "\n"


def _why(item: Property) -> list[str]:
    if item.verdict == "excepted":
        return [f"exception — {item.exception}"]
    if item.verdict == "together":
        return ["given together with what it explains; no reason of its own"]
    if item.verdict == "unexplained":
        return ["no reason recorded"]
    return _told(item.reasons)


def _bound(instruction: Instruction) -> str:
    return ", required" if instruction.force == "required" else ""


def _why_so(instruction: Instruction) -> list[str]:
    lines = [f"because: {instruction.reason}"] if instruction.reason else []
    lines += _told(instruction.reasons)
    if instruction.exception:
        lines.append(f"exception — {instruction.exception}")
    return lines or ["no reason recorded"]


def _told(reasons: tuple[Reason, ...]) -> list[str]:
    lines = []
    for reason in reasons:
        source = reason.source or reason.basis.replace("-", " ")
        lines.append(f"because: {reason.because}")
        lines.append(f"  {reason.rule} ({reason.measure}; {reason.base}; {source})")
        if reason.by:
            lines.append(f"  rests on {', '.join(reason.by)}")
    return lines


def _overview(explanation: Explanation) -> str:
    lines = []
    by_category: dict[str, Counter[str]] = {}
    for one in explanation.subjects:
        by_category.setdefault(one.category or "forms", Counter()).update(item.verdict for item in one.properties)
    for category, tally in sorted(by_category.items()):
        total = sum(tally.values())
        lines.append(
            f"{category}: of {total}: {tally['explained']} explained, {tally['excepted']} excepted, "
            f"{tally['together']} given together, {tally['unexplained']} without a reason"
        )
    missing = []
    for one in explanation.subjects:
        open_ = [
            f"{item.predicate} {item.label}" for item in one.properties if item.verdict in ("unexplained", "together")
        ]
        if open_:
            missing.append(f"{one.name_hans} {one.id}: {', '.join(open_)}")
    if missing:
        lines += ["", "Still without a reason:", *(f"  {line}" for line in missing)]
    lines += ["", _counts(explanation)]
    return "\n".join(lines) + "\n"


def _counts(explanation: Explanation) -> str:
    weak = (
        f"; {explanation.only_category} of the explained only by what their category tends to"
        if explanation.only_category
        else ""
    )
    return (
        f"of {explanation.properties} values: {explanation.explained} explained, {explanation.excepted} excepted, "
        f"{explanation.together} given together, {explanation.unexplained} without a reason{weak}\n"
        f"of {explanation.instructions} cautions and ways of cooking: {explanation.reasoned} with a reason"
    )
