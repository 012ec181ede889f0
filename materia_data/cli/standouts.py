"""What a category shares and how strongly, its groups, who breaks a tendency and why, what only one does, what is
dangerous: the page to open a lesson with.

Takes a category or group (id or name), or a pattern. Of a method of preparation (wine-frying, 酒炙, method:wine-frying)
it tells what changes between a medicinal and its forms so prepared.
Exit 0 whatever the answer, 2 if it can be read as none of these.
"""

import argparse
from dataclasses import asdict

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.facts.pattern import PatternError
from materia_data.suggest import did_you_mean
from materia_data.teach.processing import Processing, method_meant, processing
from materia_data.teach.standouts import Shared, StandOuts, standouts
from materia_data.teach.words import listed


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("asked", metavar="CATEGORY or PATTERN", help="a category, a group, a method, or a pattern")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    materia = open_data(args, kept=True)
    if method := method_meant(materia, args.asked):
        prepared = processing(materia, method)
        answer(args, lambda: asdict(prepared), lambda: _changes(prepared))
        return 0
    try:
        found = standouts(materia, args.asked)
    except PatternError as error:
        tables = materia.package.tables
        names = [id for name in ("categories", "groups", "methods") for id in tables[name].columns["id"]]
        tip = did_you_mean(args.asked, names)
        raise Trouble(f"this is no category, group or method, and no pattern. {tip}\n{error}") from None
    answer(args, lambda: asdict(found), lambda: _text(found))
    return 0


def _text(found: StandOuts) -> str:
    named = {one.id: f"{one.name_hans} {one.pinyin}" for one in found.members}
    lines = [f"{found.title}  [{found.asked}]", f"{len(found.members)} members"]
    lines += [text for text in (found.definition, found.strategy) if text]
    if found.dangers:
        lines += ["", "What is dangerous"]
        lines += [f"  {one.label}: {listed(named[id] for id in one.members)}" for one in found.dangers]
    if found.caution:
        lines.append(f"  {found.caution}")
    if found.shared:
        lines += ["", "What they share"]
        for one in found.shared:
            lines.append(f"  {_shared(one)}")
            lines += [
                f"    not {b.name_hans} {b.pinyin}: {b.says}" + (f". {b.why}" if b.why else "") for b in one.breakers
            ]
            if one.silent:
                lines.append(f"    not stated of {listed(named[id] for id in one.silent)}")
    lines += ["", "Groups"]
    for group in found.groups:
        lines.append(f"  {group.title}: {listed(named[id] for id in group.members)}")
        if group.strategy:
            lines.append(f"    {group.strategy}")
    alone = [one for one in found.standouts if one.alone]
    if alone:
        lines += ["", "What only one does, as far as is stated"]
        lines += [f"  {one.name_hans} {one.pinyin}: {'; '.join(one.alone)}" for one in alone]
    return "\n".join(lines) + "\n"


def _changes(found: Processing) -> str:
    named = {one.id: f"{one.name_hans} {one.pinyin}" for one in found.forms}
    lines = [f"{found.title}  [{found.method}]", f"{len(found.forms)} forms so prepared"]
    lines += ["", "What changes between the medicinal and the form"] if found.changed else []
    for one in found.changed:
        label = one.how if one.label == one.predicate else f"{one.label}: {one.how}"
        span = f"95 % interval {one.low:.0%} to {one.high:.0%}"
        rest = f"{one.rest_holds} of {one.rest_of} forms prepared otherwise"
        lines.append(f"  {label}: {one.holds} of {one.of} ({span}; {rest})")
        lines.append(f"    {listed(named[id] for id in one.forms)}")
    lines += ["", "Form by form"]
    for form in found.forms:
        lines.append(f"  {named[form.id]} [{form.id}], of {form.herb}: {form.changes or form.reason}")
    if found.unchanged:
        lines += ["", f"No change is stated in facts, only in words: {listed(named[id] for id in found.unchanged)}"]
    return "\n".join(lines) + "\n"


def _shared(one: Shared) -> str:
    what = "all" if one.holds == one.of else f"{one.holds} of {one.of}"
    rest = f"{one.rest_holds} of {one.rest_of} others"
    span = f"95 % interval {one.low:.0%} to {one.high:.0%}"
    return f"{one.label}: {what} ({span}; {rest}){', by definition' if one.definition else ''}"
