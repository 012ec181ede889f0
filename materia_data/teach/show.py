"""The whole record of one subject for reading in a terminal: safety first, sources at the end."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial

from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.teach.formula.dangers import ITSELF, antagonisms, cautions
from materia_data.teach.formula.recipe import recipe_of
from materia_data.teach.layered import LayerLine, layer_lines
from materia_data.teach.words import actions_of, cell_row, listed, row_of, say, subject_name

_SAFETY = ("status", "toxicity", "caution", "opposes", "dose-max", "max-days", "minutes-min", "control", "default-form")
_CHECKED = ("pregnancy", "lactation", "children", "drug")
_STATES = ("contraindicated", "avoid", "caution", "none-stated")
_PROPERTIES = ("nature", "flavor", "channel", "direction", "part", "method", "trait")


@dataclass(frozen=True, slots=True)
class Line:
    """One statement; basis and source say whose word it is."""

    text: str
    basis: str
    source: str


@dataclass(frozen=True, slots=True)
class Section:
    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """The record. safety: always the first section; not_checked: topics of caution of which nothing is on record, which
    is no permission; layers: what layers loosen and say of it; sources: id and title of every source named."""

    id: str
    kind: str
    name_hans: str
    name_hant: str
    pinyin: str
    name_en: str
    latin: str
    safety: tuple[Line, ...]
    not_checked: tuple[str, ...]
    sections: tuple[Section, ...]
    sources: tuple[tuple[str, str], ...]
    layers: tuple[LayerLine, ...] = ()


def show(materia: Materia, subject: str) -> Shown:
    """The record of a medicinal, a form or a formula. KeyError: no such subject."""
    facts = materia.facts
    kind = facts.kind(subject)
    row = row_of(facts, kind, subject)
    safety = tuple(_safety(facts, subject))
    sections = tuple(section for section in _sections(facts, subject, kind, row) if section.lines)
    named = dict.fromkeys(
        line.source for part in (safety, *(s.lines for s in sections)) for line in part if line.source
    )
    topics = _topics(facts, subject, kind)
    terms = facts.vocabularies["topics"]
    return Shown(
        subject, kind, row["name_hans"], row["name_hant"], row["pinyin"], row["name_en"], row.get("latin", ""),
        safety, tuple(terms.label(topic) for topic in _CHECKED if topic not in topics), sections,
        tuple((source, _title(facts, source)) for source in sorted(named)),
        layer_lines(materia, [subject], _items(facts, subject) if kind == "formulas" else ()),
    )  # fmt: skip


def _items(facts: Facts, formula: str) -> tuple[str, ...]:
    return tuple(item.means for item in recipe_of(facts, formula).items if item.means in facts.number)


def _topics(facts: Facts, subject: str, kind: str) -> set[str]:
    """Topics of caution with something on record, of a formula also those of its items."""
    whole = [subject] if kind != "formulas" else [subject, *(item.means for item in recipe_of(facts, subject).items)]
    return {dict(fact.qualifiers).get("topic", "") for one in whole for fact in facts.of(one, "caution")}


def _title(facts: Facts, source: str) -> str:
    row = row_of(facts, "sources", source)
    replaced = f"; superseded by {row['superseded_by']}" if row.get("superseded_by") else ""
    return f"{row['title']} {row['edition']}".strip() + replaced if row else source


def _safety(facts: Facts, subject: str) -> Iterable[Line]:
    for predicate in _SAFETY:
        found = facts.of(subject, predicate)
        if predicate == "caution":
            found = sorted(found, key=lambda fact: _STATES.index(fact.value) if fact.value in _STATES else 9)
        said: dict[str, Fact] = {}
        for fact in found:
            if (predicate, fact.value) not in (("status", "current"), ("toxicity", "unmarked")):
                said.setdefault(say(facts, predicate, fact.value, fact.qualifiers), fact)
        for text, fact in said.items():
            yield _line(text + _why(facts, fact), fact)
    if facts.kind(subject) == "formulas":
        yield from _from_items(facts, subject)
    for fact in facts.of(subject, "handling"):
        if fact.stated and ("force", "required") in fact.qualifiers:
            yield _line(f"required: {say(facts, 'handling', fact.value, fact.qualifiers)}{_why(facts, fact)}", fact)


def _from_items(facts: Facts, formula: str) -> Iterable[Line]:
    """What its items bring: opposed pairs, then each caution at the strictest."""
    recipe = recipe_of(facts, formula)
    for one in antagonisms(facts, recipe):
        yield Line(f"opposed: {one.names}, {one.state}. {one.excepted}".strip(), "", "")
    for caution in cautions(facts, recipe):
        if caution.state in ("avoid", "contraindicated") or caution.topic == "pregnancy":
            items = [name for name in caution.brought_by if name != ITSELF]
            yield from [Line(f"{caution.label}: {listed(items)}", "", "")] if items else []


def _why(facts: Facts, fact: Fact) -> str:
    row = cell_row(facts, fact)
    if fact.table not in ("cautions", "handling", "controls"):
        return ""
    detail, reason = (row.get(column, "").rstrip(".") for column in ("detail", "reason"))
    return (f". {detail}" if detail else "") + (f" ({reason})" if reason else "")


def _line(text: str, fact: Fact) -> Line:
    return Line(text, fact.basis, fact.source)


def _sections(facts: Facts, subject: str, kind: str, row: dict[str, str]) -> Iterable[Section]:
    tables = facts.package.tables
    yield Section("What it is", tuple(_identity(facts, subject, row)))
    yield Section("Nature, flavours, channels", tuple(_stated(facts, subject, _PROPERTIES)))
    yield Section("What it does", tuple(_actions(facts, subject)))
    yield Section(
        "Forms",
        tuple(
            _rows(
                facts,
                "forms",
                "herb",
                subject,
                lambda r: f"{r['name_hans']} {r['pinyin']} [{r['id']}] {r['kind']}: {r['changes'] or r['reason']}",
            )
        ),
    )
    yield Section("Doses", tuple(_doses(facts, subject)))
    yield Section("Cooking and taking", tuple(
        _line(say(facts, "handling", f.value, f.qualifiers) + f", {dict(f.qualifiers).get('force', '')}".rstrip(", ")
              + _why(facts, f), f)
        for f in facts.of(subject, "handling") if f.stated))  # fmt: skip
    if kind == "formulas":
        yield Section("Items", tuple(_rows(facts, "formula_items", "formula", subject, partial(_item, facts))))
    else:
        yield Section("In formulas", tuple(_used(facts, subject)))
    yield Section("Pairs", tuple(_pairs(facts, subject)))
    yield Section("Told apart from", tuple(_apart(facts, subject)))
    yield Section("Same plant, animal or mineral", tuple(_kin(facts, subject)))
    yield Section("Other names", tuple(
        Line(f"{r['name']} ({r['kind']}, {r['lang']})", "", r["source"])
        for r in (tables["names"].row(n) for n in tables["names"].rows_of("subject").get(subject, ()))))  # fmt: skip
    yield Section(
        "To remember",
        tuple(Line(tables["aids"].row(n)["text"], "", "") for n in tables["aids"].rows_of("subject").get(subject, ())),
    )
    yield Section("Sources disagree", tuple(_disputes(facts, kind, subject)))


def _item(facts: Facts, row: dict[str, str]) -> str:
    return f"{subject_name(facts, row['subject'])} {_amount(row)} {row['roles'].replace(';', ', ')}: {row['reason']}"


def _pairs(facts: Facts, subject: str) -> Iterable[Line]:
    for row in _all(facts, "pairs"):
        together = row["subjects"].split(";")
        if subject in together:
            names = listed(subject_name(facts, one) for one in together)
            yield Line(f"{names}: {row['effect']}", row["basis"], row["source"])


def _identity(facts: Facts, subject: str, row: dict[str, str]) -> Iterable[Line]:
    for predicate in ("category", "subgroup", "kind", "taught-in"):
        for fact in facts.of(subject, predicate):
            yield _line(say(facts, predicate, fact.value), fact)
    for name in ("changes", "reason", "note"):
        if row.get(name):
            yield Line(row[name], row["basis"], row["source"])


def _stated(facts: Facts, subject: str, predicates: Sequence[str]) -> Iterable[Line]:
    for predicate in predicates:
        for fact in facts.of(subject, predicate):
            if fact.stated:
                yield _line(say(facts, predicate, fact.value), fact)


def _actions(facts: Facts, subject: str) -> Iterable[Line]:
    for fact in actions_of(facts, subject):
        asked = dict(fact.qualifiers)
        weight = ", ".join(filter(None, (asked.get("weight"), asked.get("strength"))))
        said = say(facts, "action", fact.value, fact.qualifiers)
        yield _line(f"{'' if fact.stated else 'does not '}{said}" + (f" [{weight}]" if weight else ""), fact)


def _doses(facts: Facts, subject: str) -> Iterable[Line]:
    table = facts.package.tables["doses"]
    for owner in dict.fromkeys((subject, facts.herb_of(subject))):
        for number in table.rows_of("subject").get(owner, ()):
            row = table.row(number)
            where = ", ".join(filter(None, (row["route"], row["population"], row["purpose"])))
            span = f"{row['min']} to {row['max']}" if row["min"] else f"up to {row['max']}"
            inherited = "" if owner == subject else f" ({subject_name(facts, owner)})"
            yield Line(f"{where}: {span} {row['unit']} a {row['per']}{inherited}", row["basis"], row["source"])


def _used(facts: Facts, subject: str) -> Iterable[Line]:
    """Which formulas use it, in what role and amount; a form counts for its herb, not the other way."""
    table = facts.package.tables["formula_items"]
    for number in range(len(table)):
        row = table.row(number)
        item = row["subject"]
        if item == subject or (item in facts.number and facts.herb_of(item) == subject):
            as_form = "" if item == subject else f", as {subject_name(facts, item)}"
            name = f"{subject_name(facts, row['formula'])} [{row['formula']}]"
            text = f"{name}: {row['roles'].replace(';', ', ')} {_amount(row)}{as_form}. {row['reason']}".replace(
                " .", "."
            )
            yield Line(text, row["basis"], row["source"])


def _amount(row: dict[str, str]) -> str:
    return (
        f"{row['amount_g']} g"
        if row["amount_g"]
        else f"{row['amount_parts']} {'part' if row['amount_parts'] == '1' else 'parts'}"
        if row["amount_parts"]
        else row["amount_classical"]
    )


def _apart(facts: Facts, subject: str) -> Iterable[Line]:
    for row in _all(facts, "contrast_points"):
        if row["subject"] == subject:
            contrast = row_of(facts, "contrasts", row["contrast"])
            yield Line(
                f"{row['axis']}: {row['point']} ({row['contrast']})",
                contrast.get("basis", ""),
                contrast.get("source", ""),
            )
    for row in _all(facts, "confusions"):
        if subject in (row["a"], row["b"]):
            other = row["b"] if row["a"] == subject else row["a"]
            yield Line(
                f"not {subject_name(facts, other)}: {row['harm']} {row['tell_apart']}".strip(),
                row["basis"],
                row["source"],
            )


def _kin(facts: Facts, subject: str) -> Iterable[Line]:
    """What else comes from the same taxa."""
    mine = {fact.value for fact in facts.of(subject, "taxon")}
    herb = facts.herb_of(subject)
    for row in _all(facts, "species"):
        if row["taxon"] in mine and row["subject"] in facts.number and facts.herb_of(row["subject"]) != herb:
            taxon = row_of(facts, "taxa", row["taxon"]).get("name_latin", row["taxon"])
            from_it = f"{row['part'].replace('-', ' ')} of {taxon}, {row['status']}"
            yield Line(f"{subject_name(facts, row['subject'])} [{row['subject']}]: {from_it}", "", row["source"])


def _disputes(facts: Facts, kind: str, subject: str) -> Iterable[Line]:
    for row in _all(facts, "citations"):
        if row["about_table"] == kind and row["record"] == subject and row["stated"]:
            own = row_of(facts, kind, subject).get(row["column"], "")
            if sorted(row["stated"].split(";")) != sorted(own.split(";")) and not row["value"]:
                yield Line(
                    f"{row['column']}: {row['stated']} (here: {own or 'not stated'})"
                    + (f". {row['reason']}" if row["reason"] else ""),
                    row["basis"],
                    row["source"],
                )


def _all(facts: Facts, table: str) -> Iterable[dict[str, str]]:
    rows = facts.package.tables[table]
    return (rows.row(number) for number in range(len(rows)))


def _rows(facts: Facts, table: str, column: str, value: str, told: Callable[[dict[str, str]], str]) -> Iterable[Line]:
    rows = facts.package.tables[table]
    for number in rows.rows_of(column).get(value, ()):
        row = rows.row(number)
        yield Line(told(row).strip(), row.get("basis", ""), row.get("source", ""))
