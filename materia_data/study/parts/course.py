"""Where the course stands: who does the same and was met before, the formula that puts the members to use, aids."""

from collections.abc import Sequence

from materia_data.materia import Materia
from materia_data.study.document import Line, Run, Runs, Section
from materia_data.study.selection import Selection
from materia_data.study.writer import Writer, clause, sentence
from materia_data.teach.formula.dangers import ITSELF, antagonisms, cautions
from materia_data.teach.formula.recipe import recipe_of
from materia_data.teach.match import match
from materia_data.teach.standouts import StandOuts
from materia_data.teach.words import listed, row_of, subject_name

_MET = 24
_FORMULAS = 3


def met(writer: Writer, materia: Materia, chosen: Selection, found: StandOuts) -> Section:
    """Medicinals of other categories that do what this one is for, taught so far by the order of the course."""
    title = "Met before"
    action = chosen.shelf.get("defining_action", "") or _first_shared(found)
    if not action or not chosen.unit:
        return Section("met", title, "", ())
    here = {one.id for one in found.members} | set(chosen.chosen)
    categories = {chosen.shelf.get("id", ""), chosen.shelf.get("category", "")}
    pattern = f"action:{action}"
    met = [
        one
        for one in match(materia, pattern, through=chosen.unit).subjects
        if one.when == "so-far"
        and one.id not in here
        and one.category not in categories
        and writer.facts.kind(one.id) == chosen.of
    ]
    if not met:
        return Section("met", title, "", ())
    by_unit: dict[str, list[str]] = {}
    for one in met[:_MET]:
        by_unit.setdefault(one.unit, []).append(one.id)
    runs: list[Run] = [Run(f"Also {writer.term('actions', action)}: ", "strong")]
    for place, (unit, ids) in enumerate(by_unit.items()):
        runs += [Run("; ")] if place else []
        runs += [*writer.names(ids, mark=True), Run(f" ({_lesson(writer, unit)})", "small")]
    more = len(met) - _MET
    rest = f' And {more} more: materia match "{pattern}" --through {chosen.unit}' if more > 0 else ""
    return Section("met", title, "", (Line((*runs, Run("."), Run(rest))),))


def _lesson(writer: Writer, unit: str) -> str:
    row = row_of(writer.facts, "units", unit)
    return f"unit {row['position']}, {row['title'][:1].lower()}{row['title'][1:]}"


def _first_shared(found: StandOuts) -> str:
    actions = [one for one in found.shared if one.pattern.startswith("action:")]
    return max(actions, key=lambda one: (one.holds, one.lift)).pattern.partition(":")[2] if actions else ""


def formulas(writer: Writer, chosen: Selection, found: StandOuts) -> Section:
    """For each of the largest groups the formula that uses most of its members, with each item's reason."""
    writer.section = "In a formula"
    lines = []
    for formula in _best(writer, chosen, found):
        lines += [Line(_items(writer, formula, set(chosen.chosen)))]
        lines += [Line(runs, "heavy") for runs in [_watch(writer, formula)] if runs]
    note = "Members of this sheet in bold" if lines and chosen.of != "formulas" else ""
    return Section("formula", writer.section, note, tuple(lines))


def _best(writer: Writer, chosen: Selection, found: StandOuts) -> Sequence[str]:
    if chosen.of == "formulas":
        return chosen.chosen
    if chosen.formulas:
        return chosen.formulas
    facts = writer.facts
    rows = facts.package.tables["formula_items"]
    used: dict[str, dict[str, bool]] = {}
    for number in range(len(rows)):
        row = rows.row(number)
        if row["subject"] in facts.number:
            used.setdefault(row["formula"], {})[facts.herb_of(row["subject"])] = "chief" in row["roles"]
    shown, picked = set(chosen.chosen), dict[str, None]()
    for group in sorted(found.groups, key=lambda group: -len(shown.intersection(group.members)))[:_FORMULAS]:
        mine = shown.intersection(group.members)

        def worth(formula: str, mine: set[str] = mine) -> tuple[int, int, int, str]:
            inside = mine.intersection(used[formula])
            return -len(inside), -sum(used[formula][one] for one in inside), len(used[formula]), formula

        best = min(used, key=worth, default="")
        if best and mine.intersection(used[best]):
            picked[best] = None
    return list(picked)


def _items(writer: Writer, formula: str, shown: set[str]) -> Runs:
    facts = writer.facts
    runs: list[Run] = [*writer.name(formula, strong=True), Run(f", {row_of(facts, 'formulas', formula)['name_en']}: ")]
    for place, item in enumerate(recipe_of(facts, formula).items):
        runs += [Run("; ")] if place else []
        name = writer.name(item.subject, short=True)
        mine = facts.herb_of(item.subject) in shown
        runs.append(Run(name[0].text, "name-strong" if mine else "name"))
        runs.append(Run(f" {', '.join(item.roles)}" if item.roles else "", "small"))
        if item.reason:
            asked = mine and not writer.dangerous(item.subject)
            runs += [Run(": "), writer.ask(clause(item.reason), "l") if asked else Run(clause(item.reason))]
    return (*runs, Run("."))


def _watch(writer: Writer, formula: str) -> Runs:
    """What its own row and its items bring, at the strictest; the milder ones are counted, with the way to them."""
    facts = writer.facts
    recipe = recipe_of(facts, formula)
    said = [
        f"{one.names} together: {one.state}" + (f" ({clause(one.excepted)})" if one.excepted else "")
        for one in antagonisms(facts, recipe)
    ]
    brought: dict[str, dict[str, list[str]]] = {}
    mild = 0
    for caution in cautions(facts, recipe):
        if caution.state not in ("contraindicated", "avoid"):
            mild += 1
            continue
        who = [name.partition(" ")[0] for name in caution.brought_by if name != ITSELF]
        about = writer.term("targets", caution.target) or writer.term("topics", caution.topic)
        brought.setdefault(caution.state, {}).setdefault(listed(who), []).append(about)
    for state, whom in brought.items():
        parts = [f"{', '.join(about)}" + (f" ({who})" if who else "") for who, about in whom.items()]
        said.append(f"{state}: {'; '.join(parts)}")
    if not said and not mild:
        return ()
    rest = f" {mild} milder: materia formula {formula}." if mild else ""
    text = ". ".join(one[:1].upper() + one[1:] for one in said) + ("." if said else "") + rest
    return (Run(f"Watch {subject_name(facts, formula).partition(' ')[0]}: ", "strong"), Run(text))


def aids(writer: Writer, chosen: Selection) -> Section:
    """What helps to remember."""
    writer.section = "To remember"
    rows = writer.facts.package.tables["aids"]
    lines = []
    for subject in chosen.chosen:
        for number in rows.rows_of("subject").get(subject, ()):
            lines.append(Line((*writer.name(subject, strong=True), Run(" "), Run(sentence(rows.row(number)["text"])))))
    return Section("aids", writer.section, "", tuple(lines), columns=2)
