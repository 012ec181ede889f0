"""The members group by group: nature, flavors, channels, what each does first, grams a day. Of formulas, what
they hold."""

from collections.abc import Iterable, Sequence

from materia_data.facts.facts import Facts
from materia_data.study.document import Group, Run, Runs, Section, Table, joined
from materia_data.study.selection import Selection
from materia_data.study.writer import Writer, sentence
from materia_data.teach.standouts import StandOuts
from materia_data.teach.words import actions_of, row_of

_COLUMNS = ("Medicinal", "Nature", "Flavors", "Channels", "Does", "g a day")
_WIDTHS = (23, 11, 15, 17, 25, 9)
_DID = 3
_GUESTS = "Without a group here, or at home in another category"


def members(writer: Writer, chosen: Selection, found: StandOuts, broken: dict[str, set[str]]) -> Section:
    """A table with a head for each group. broken: for each member the predicates in which it breaks a tendency."""
    writer.section = "Group by group"
    shown = set(chosen.chosen)
    turn = {subject: place for place, subject in enumerate(chosen.chosen)}
    groups = []
    count = 0
    for group in found.groups:
        ids = sorted((one for one in group.members if one in shown), key=turn.__getitem__)
        rows = []
        for subject in ids:
            rows.append(_row(writer, subject, broken.get(subject, set()), count))
            count += 1
        if rows:
            said = f" {row_of(writer.facts, 'groups', group.id).get('name_hans', '')}".rstrip()
            title = group.title[:1].upper() + group.title[1:] if group.id else _GUESTS
            head: Runs = (Run(title), *((Run(" "), Run(said.strip(), "name")) if said else ()))
            same = chosen.shelf.get("id") == group.id
            note = (Run(sentence(group.strategy)),) if group.strategy and not same else ()
            groups.append(Group(head, note, tuple(rows)))
    about = "Underlined words break the pattern. The mark is the heaviest caution, read as in Safety first."
    return Section("members", writer.section, about, (), Table(_COLUMNS, _WIDTHS, (5,), tuple(groups)))


def _row(writer: Writer, subject: str, broken: set[str], count: int) -> tuple[Runs, ...]:
    """One medicinal. With blanks one cell of the four is asked for, in turn."""
    facts = writer.facts
    cells = [_values(writer, subject, predicate, predicate in broken) for predicate in ("nature", "flavor", "channel")]
    cells.append(_does(writer, subject))
    sizes = ("s", "s", "m", "m")
    asked = count % 4
    if writer.blanks and cells[asked] and cells[asked][0].text != "not stated":
        cells[asked] = (writer.ask("".join(run.text for run in cells[asked]), sizes[asked]),)
    return (writer.name(subject, mark=True), *cells, _dose(facts, subject))


def _values(writer: Writer, subject: str, predicate: str, odd: bool) -> Runs:
    facts = writer.facts
    table = facts.predicates[predicate].values.name
    said = [writer.term(table, fact.value) for fact in facts.of(subject, predicate) if fact.stated]
    if not said:
        return (Run("not stated", "small"),)
    return joined([(Run(text, "odd" if odd else ""),) for text in said])


def _does(writer: Writer, subject: str) -> Runs:
    """What it does first, and what it is stated not to do."""
    facts = writer.facts
    does = dict.fromkeys(writer.term("actions", f.value) for f in actions_of(facts, subject) if f.stated)
    denied = dict.fromkeys(writer.term("actions", f.value) for f in actions_of(facts, subject) if not f.stated)
    parts: list[Runs] = [(Run(text),) for text in list(does)[:_DID]]
    parts += [(Run("does not", "strong"), Run(f" {text}")) for text in denied]
    return joined(parts, "; ") if parts else (Run("not stated", "small"),)


def _dose(facts: Facts, subject: str) -> Runs:
    """What an adult takes: a day in decoction, else in the first way on record, which is then named; of what a bare
    name means where that is a form of its own."""
    meant = facts.default_form(subject)
    found = list(_ranges(facts, meant)) or list(_ranges(facts, subject))
    if not found:
        return (Run("not stated", "small"),)
    route, per, low, high, days = min(found, key=lambda one: (one[0] != "decoction", one[1] != "day"))
    span = f"{low}–{high}" if low and high else f"to {high}" if high else f"from {low}"
    how = [route] if route != "decoction" else []
    how += [f"a {per}"] if per != "day" else []
    how += [f"{days} days at most"] if days else []
    form = (Run(" "), Run(row_of(facts, "forms", meant)["name_hans"], "name")) if meant != subject else ()
    return (Run(span), *((Run(f" {', '.join(how)}", "small"),) if how else ()), *form)


def _ranges(facts: Facts, subject: str) -> Iterable[tuple[str, str, str, str, str]]:
    amounts: dict[tuple[tuple[str, str], ...], dict[str, str]] = {}
    for predicate in ("dose-min", "dose-max", "max-days"):
        for fact in facts.of(subject, predicate):
            amounts.setdefault(fact.qualifiers, {})[predicate] = fact.value
    for use, held in amounts.items():
        asked = dict(use)
        if asked.get("population") == "adult" and not asked.get("purpose"):
            low, high = held.get("dose-min", ""), held.get("dose-max", "")
            yield asked.get("route", ""), asked.get("per", ""), low, high, held.get("max-days", "")


def composition(writer: Writer, formulas: Sequence[str], found: StandOuts) -> Section:
    """Formulas group by group: what each does and what it holds."""
    writer.section = "Group by group"
    groups = []
    for group in found.groups:
        ids = [one for one in formulas if one in group.members]
        rows = [(writer.name(one, mark=True), _does(writer, one), _holds(writer, one)) for one in ids]
        if rows:
            groups.append(Group((Run(group.title[:1].upper() + group.title[1:]),), (), tuple(rows)))
    note = "The mark is the heaviest caution of the formula itself; what its items bring stands under In a formula."
    table = Table(("Formula", "Does", "Holds, the chief in bold"), (26, 30, 44), (), tuple(groups))
    return Section("members", writer.section, note, (), table)


def _holds(writer: Writer, formula: str) -> Runs:
    rows = writer.facts.package.tables["formula_items"]
    items = [rows.row(number) for number in rows.rows_of("formula").get(formula, ())]
    items.sort(key=lambda row: int(row["position"]) if row["position"].isdigit() else 0)
    parts: list[Runs] = []
    for row in items:
        chief = "chief" in row["roles"].split(";")
        name = writer.name(row["subject"], short=True)
        parts.append((Run(name[0].text, "name-strong" if chief else "name"), *name[1:]))
    return joined(parts, " ")
