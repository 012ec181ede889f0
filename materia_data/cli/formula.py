"""A formula or a recipe looked at from every side: roles and reasons, what the whole does, what is opposed, cautions at
their strictest, doses, raw drugs, controls, cooking, kin.

Names a formula on record, or a CSV with the columns name, amount_g and handling (the last two may be left out).
Exit 0 when nothing grave is found, 1 when something is (an antagonism, an amount above its ceiling, a raw drug, an
unknown name), 2 if it could not be read.
"""

import argparse
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.materia import Materia
from materia_data.suggest import did_you_mean
from materia_data.teach.formula.analysis import Analysed, Formula, analyse
from materia_data.teach.formula.dangers import Antagonism, Control
from materia_data.teach.formula.recipe import Recipe, RecipeError, Unknown, read_recipe, recipe_of
from materia_data.teach.formula.whole import Whole
from materia_data.teach.words import listed


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("recipe", metavar="FORMULA or FILE", help="an id or name of a formula, or a CSV")
    parser.add_argument(
        "--for",
        dest="care",
        metavar="REASONS",
        default="",
        help="one person's reasons for care, by comma: pregnancy,warfarin",
    )
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    materia = open_data(args, kept=True)
    asks = [part.strip() for part in args.care.split(",") if part.strip()]
    try:
        formula = analyse(materia, _recipe(materia, args.recipe), asks)
    except RecipeError as error:
        raise Trouble(str(error)) from None
    except KeyError as error:
        raise Trouble(error.args[0]) from None
    answer(args, lambda: asdict(formula), lambda: _text(formula))
    return 1 if formula.grave else 0


def _recipe(materia: Materia, text: str) -> Recipe:
    formulas = [one for one in materia if materia.package.subject_table(one) == "formulas"]
    if text in formulas:
        return recipe_of(materia.facts, text)
    found = [one for one in materia.resolve(text) if materia.package.subject_table(one.id) == "formulas"]
    if found and found[0].score >= 0.95:
        return recipe_of(materia.facts, found[0].id)
    if Path(text).suffix or "/" in text or Path(text).exists():
        return read_recipe(materia, Path(text))
    raise Trouble(f"{text} is no formula on record, and no file. {did_you_mean(text, formulas)}".strip())


def _text(formula: Formula) -> str:
    lines = [f"{formula.title}" + (f"  [{formula.id}]" if formula.id else "")]
    lines += [f"  ! {said}" for said in formula.grave]
    lines += ["", "Items"]
    written: list[Analysed | Unknown] = [*formula.items, *formula.unknown]
    for line in sorted(written, key=lambda line: line.position):
        if isinstance(line, Analysed):
            lines.append(f"  {line.position}. {_item(line, formula.amounts_are)}")
            lines += [f"     {line.reason}"] if line.reason else []
        else:
            maybe = f" Perhaps {', '.join(line.may_mean)}." if line.may_mean else ""
            lines.append(f"  {line.position}. {line.name}: {line.why}.{maybe}")
    lines += ["", "What the whole does", *(f"  {line}" for line in _whole(formula.whole))]
    lines += _block("Opposed", map(_opposed, formula.antagonisms))
    for person in formula.person:
        lines += _block(
            f"For this person: {person.asked}",
            [*(f"{one.label}: {listed(one.brought_by)}{_because(one.reasons)}" for one in person.said),
             *([f"not checked, which is no permission: {listed(person.not_checked)}"] if person.not_checked else [])],
        )  # fmt: skip
    lines += _block(
        "Cautions, at the strictest", (f"{one.label}: {listed(one.brought_by)}" for one in formula.cautions)
    )
    lines += _block("Amounts a day", _doses(formula))
    lines += _block("Raw and prepared", (f"{one.name}: {one.message}" for one in formula.raw))
    lines += _block("Law", map(_law, formula.controls))
    lines += _block(
        "Cooking", (_step(step.stage, step.start, step.end, step.what, step.items) for step in formula.cooking)
    )
    lines += _block(
        "Kin", (_kin(one.how, f"{one.name_hans} {one.pinyin} [{one.id}]", one.more, one.less) for one in formula.kin)
    )
    lines += ["", "For teaching; local law, the current pharmacopoeia and licensed practice decide."]
    return "\n".join(lines) + "\n"


def _opposed(one: Antagonism) -> str:
    return f"{one.names}: {one.state} ({', '.join(one.lists)})" + (
        f". On purpose: {one.excepted}" if one.excepted else ""
    )


def _law(one: Control) -> str:
    by = f" [{one.instrument}]" if one.instrument else ""
    instead = f"; in its place {one.substitute} {one.ratio}".rstrip() if one.substitute else ""
    return f"{one.name}: {one.label}{by}{instead}"


def _item(item: Analysed, amounts_are: str) -> str:
    unit = "parts" if amounts_are == "ratio" else "g"
    amount = f" {item.amount:g} {unit}" if item.amount is not None else f" {item.classical}" if item.classical else ""
    roles = f"  {', '.join(item.roles)}" if item.roles else ""
    function = f" ({item.function})" if item.function else ""
    instead = f", or in place of item {item.alternative_to}" if item.alternative_to else ""
    return f"{item.name}{amount}{roles}{function}{instead}"


def _whole(whole: Whole) -> Iterable[str]:
    for one in whole.actions:
        yield f"{one.label}: {listed(one.items)}"
    by = "by amount" if whole.by_amount else "each item counted alike"
    yield f"nature: {whole.nature} ({whole.cold:.0%} cold, {whole.neutral:.0%} neutral, {whole.warm:.0%} warm, {by})"
    if whole.uncounted:
        yield f"no nature on record, so not counted: {listed(whole.uncounted)}"
    yield f"direction: {whole.rising:.0%} rising or outward, {whole.sinking:.0%} sinking or inward, the rest not stated"
    yield f"channels: {', '.join(f'{name.replace(chr(45), chr(32))} {count}' for name, count in whole.channels)}"
    for pull in whole.pulls:
        yield f"{'on purpose' if pull.meant else 'against the rest'}: {pull.name}: {pull.against}"


def _doses(formula: Formula) -> Iterable[str]:
    if formula.amounts_are != "daily":
        yield f"the amounts are those of a {formula.amounts_are}, not a day's: not compared"
        return
    for one in formula.doses:
        span = f"{one.low} to {one.high} g" if one.low and one.high else f"up to {one.high} g" if one.high else ""
        other = f"{one.elsewhere} g, the most on record by mouth" if one.elsewhere else ""
        said = {
            "within": f"within {span}", "above": f"ABOVE {span or other}", "below": f"below {span}",
            "no-amount": f"no amount given{'; on record ' + span if span else ''}",
            "no-range": "no range on record" + (f" for this form; up to {other}" if other else ""),
        }[one.verdict]  # fmt: skip
        yield f"{one.name}{'' if one.amount is None else f' {one.amount:g} g'}: {said}"


def _step(stage: str, start: int | None, end: int | None, what: str, items: tuple[str, ...]) -> str:
    clock = (
        f"{start:>3} to {end:>3} min  "
        if start is not None and end is not None
        else f"at {start} min  "
        if start is not None
        else ""
    )
    return f"{clock}{what}: {', '.join(items)}"


def _kin(how: str, name: str, more: tuple[str, ...], less: tuple[str, ...]) -> str:
    said = {
        "made-from": "made from",
        "made-into": "made into",
        "contained": "holds",
        "contains": "is held by",
        "near": "near",
    }[how]
    parts = [f"with {', '.join(more)}" if more else "", f"without {', '.join(less)}" if less else ""]
    told = "; ".join(filter(None, parts)) if len(more) + len(less) <= 8 else f"{len(more)} more, {len(less)} fewer"
    return f"{said} {name}" + (f": {told}" if told else "")


def _because(reasons: tuple[str, ...]) -> str:
    return f" ({'; '.join(reasons)})" if reasons else ""


def _block(title: str, lines: Iterable[str]) -> list[str]:
    said = [f"  {line}" for line in lines]
    return ["", title, *said] if said else []
