"""Safety first: poison and standing, every caution of every medicinal on the sheet in all five states, then the law."""

from collections.abc import Iterable

from materia_data.facts.facts import Facts
from materia_data.study.document import STATES, Line, Run, Runs, Section
from materia_data.study.selection import Selection
from materia_data.study.watch import Watched, family, unchecked, watched
from materia_data.study.writer import Writer, clause, sentence
from materia_data.teach.words import cell_row

_GRADES = ("very-toxic", "toxic", "slight")
_ASKED_FIRST = ("pregnancy", "lactation", "children", "drug")
_STANDING = ("withdrawn", "restricted", "historical")


def safety(writer: Writer, chosen: Selection, told: Iterable[str] = ()) -> Section:
    """All that must be watched with the medicinals chosen. told: medicinals beside them."""
    facts, members = writer.facts, [*chosen.chosen, *told]
    lines = list(_poison(writer, members))
    found = watched(facts, members)
    for state in STATES[:-1]:
        runs = _said(writer, [one for one in found if one.state == state])
        if runs:
            if state == "none-stated":
                runs = (*runs, Run(" The source states none; this is not a finding of safety."))
            lines.append(Line(runs, "watch", state))
    lines.append(Line(_not_checked(writer, members), "watch", "not-checked"))
    lines += _law(writer, members)
    if chosen.shelf.get("caution"):
        lines.append(Line((Run("Of the whole group: ", "strong"), Run(sentence(chosen.shelf["caution"])))))
    note = "A name stands for its forms too; a form is named for what only it carries."
    return Section("safety", "Safety first", note, tuple(line for line in lines if line.runs))


def _said(writer: Writer, found: list[Watched]) -> Runs:
    """`Pregnancy: 半夏, 桃仁. Overdose: 朱砂, never above …`, one sentence a topic and target."""
    out: list[Run] = []
    about: dict[str, list[Watched]] = {}
    for one in found:
        about.setdefault(_head(writer.facts, one), []).append(one)
    for label, same in about.items():
        out += [Run(" ")] if out else []
        out.append(Run(f"{label[:1].upper()}{label[1:]}: ", "strong"))
        for place, one in enumerate(same):
            out += [Run("; ")] if place else []
            out += writer.names(one.subjects)
            out += [Run(f" ({clause(one.detail)})")] if one.detail else []
        out.append(Run("."))
    return tuple(out)


def _head(facts: Facts, one: Watched) -> str:
    if one.topic == "opposes" or not one.target:
        return one.label
    return f"{one.label} (pattern)" if one.topic == "pattern" else one.label


def _not_checked(writer: Writer, members: list[str]) -> Runs:
    """By name for what is asked first; for other topics how many of the members."""
    out: list[Run] = []
    counted: list[str] = []
    first = {writer.term("topics", topic) for topic in _ASKED_FIRST}
    for label, who in unchecked(writer.facts, members):
        if label not in first:
            counted.append(f"{label} {len(who)}")
            continue
        out += [Run(" ")] if out else []
        out.append(Run(f"{label[:1].upper()}{label[1:]}: ", "strong"))
        if len(who) == len(members):
            out.append(Run(f"all {len(members)}." if len(members) > 1 else "not looked up."))
        elif 2 * len(who) > len(members):
            others = [one for one in members if one not in who]
            out += [Run(f"{len(who)} of {len(members)}, all but "), *writer.names(others), Run(".")]
        else:
            out += [*writer.names(who), Run(".")]
    if counted:
        out += [Run(" Other topics: ", "strong"), Run(f"{', '.join(counted)}, of {len(members)}.")]
    return (*out, Run(" Nobody has looked; this is no finding of safety.")) if out else ()


def _poison(writer: Writer, members: list[str]) -> Iterable[Line]:
    """Grades of toxicity and what is out of use; a form where it differs from its herb."""
    facts = writer.facts
    for predicate, values, table in (("toxicity", _GRADES, "toxicities"), ("status", _STANDING, "")):
        everyone = list(_everyone(facts, members, predicate))
        parts: list[Run] = []
        for value in values:
            who = [one for one in everyone if value in _held(facts, one, predicate)]
            if who:
                label = writer.term(table, value) if table else value
                parts += [Run(" ")] if parts else []
                parts += [Run(f"{label[:1].upper()}{label[1:]}: ", "strong"), *writer.names(who), Run(".")]
        if parts:
            yield Line(tuple(parts), "heavy")


def _law(writer: Writer, members: list[str]) -> Iterable[Line]:
    """What a law says, in its row's words: a level alone says too much or too little."""
    held: dict[tuple[str, str], dict[str, None]] = {}
    for one in _everyone(writer.facts, members, "control"):
        for fact in writer.facts.of(one, "control"):
            where = dict(fact.qualifiers).get("jurisdiction", "")
            label = f"{writer.term('levels', fact.value)}, {writer.term('jurisdictions', where)}".rstrip(", ")
            held.setdefault((label, cell_row(writer.facts, fact).get("detail", "")), {})[one] = None
    parts: list[Run] = []
    for (label, detail), who in held.items():
        parts += [Run(" ")] if parts else [Run("By law. ", "strong")]
        parts += [*writer.names(who), Run(f": {label}. {sentence(detail)}".rstrip())]
    if parts:
        yield Line(tuple(parts), "heavy")


def _everyone(facts: Facts, members: Iterable[str], predicate: str) -> Iterable[str]:
    """Members, and forms whose own value is another than their herb's."""
    for member in members:
        for one in family(facts, member):
            if one == member or _held(facts, one, predicate) - _held(facts, member, predicate):
                yield one


def _held(facts: Facts, subject: str, predicate: str) -> set[str]:
    return {fact.value for fact in facts.of(subject, predicate)}
