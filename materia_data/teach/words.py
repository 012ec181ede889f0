"""A fact in words a teacher says, with the terms' own English names."""

from collections.abc import Iterable, Sequence

from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts

_FRAMES = {
    "nature": "{}",
    "flavor": "{}",
    "channel": "enters the {}",
    "direction": "{} in direction",
    "part": "part used: {}",
    "method": "prepared by {}",
    "trait": "{}",
    "action": "{}",
    "indication": "used for {}",
    "toxicity": "toxicity: {}",
    "handling": "{}",
    "opposes": "not combined with {}",
    "status": "status: {}",
    "default-form": "a bare name means {}",
    "category": "{}",
    "subgroup": "{}",
    "kind": "kind: {}",
    "taught-in": "taught in {}",
    "taxon": "comes from {}",
    "basis": "basis: {}",
    "contains": "contains {}",
}
_JOINTS = {
    "pregnancy": "in",
    "lactation": "in",
    "drug": "with",
    "food": "with",
    "alcohol": "with",
    "children": "in",
    "surgery": "around",
}
_WEIGHTS = ("chief", "secondary", "minor")
_STATES = {"caution": "caution", "avoid": "avoid", "contraindicated": "contraindicated", "none-stated": "none stated"}


def say(facts: Facts, predicate: str, value: str, qualifiers: Sequence[tuple[str, str]] = ()) -> str:
    """One phrase: `enters the lung`, `stop bleeding (cause: cold)`, `avoid: pregnancy`, `ceiling 9 g (decoction)`."""
    asked: dict[str, list[str]] = {}
    for key, given in qualifiers:
        asked.setdefault(key, []).append(_label(facts, _VOCABULARY.get(key, ""), given))
    if predicate == "caution":
        topic, target = asked.get("topic", [""])[0], asked.get("target", [""])[0]
        joint = _JOINTS.get(dict(qualifiers).get("topic", ""), ":" if not target else "in")
        return f"{_STATES.get(value, value)}{'' if joint == ':' else ' '}{joint} {target or topic}"
    if predicate in ("dose-max", "dose-min"):
        where = ", ".join(part for key in ("route", "population", "purpose") for part in asked.get(key, ()))
        return f"{'ceiling' if predicate == 'dose-max' else 'from'} {value}{_unit(value)}" + (
            f" ({where})" if where else ""
        )
    if predicate == "max-days":
        return f"no longer than {value} days"
    if predicate == "minutes-min":
        return f"boiled {value} minutes or more"
    if predicate == "control":
        where = ", ".join(part for key in ("jurisdiction", "taxon") for part in asked.get(key, ()))
        return f"controlled: {_label(facts, 'levels', value)}" + (f" ({where})" if where else "")
    if predicate == "disputed":
        return f"sources disagree on {value}"
    words = facts.predicates[predicate].values
    subject = words.kind == "ids" and value in facts.number
    label = subject_name(facts, value) if subject else _label(facts, words.name, value)
    said = _FRAMES.get(predicate, predicate + ": {}").format(label)
    extra = [f"{key}: {', '.join(given)}" for key, given in asked.items() if key in ("site", "cause", "purpose")]
    return said + (f" ({'; '.join(extra)})" if extra else "")


def subject_name(facts: Facts, subject: str) -> str:
    """`半夏 bàn xià` of a subject; an id that is none as it is."""
    kind = facts.package.subject_table(subject)
    if kind is None:
        return subject
    table = facts.package.tables[kind]
    row = table.rows_of("id")[subject][0]
    return f"{table.columns['name_hans'][row]} {table.columns['pinyin'][row]}".strip()


def actions_of(facts: Facts, subject: str) -> list[Fact]:
    """The subject's actions, negatives too, as they are taught: the chief first, then by position."""

    def place(fact: Fact) -> tuple[int, int]:
        weight = dict(fact.qualifiers).get("weight", "secondary")
        position = cell_row(facts, fact).get("position", "")
        return _WEIGHTS.index(weight) if weight in _WEIGHTS else 1, int(position) if position.isdigit() else 99

    return sorted(facts.of(subject, "action"), key=place)


def cell(facts: Facts, fact: Fact, column: str) -> str:
    """A cell of the row that a fact was read from."""
    table = facts.package.tables[fact.table]
    return table.columns[column][table.row_at(fact.file, fact.line)]


def cell_row(facts: Facts, fact: Fact) -> dict[str, str]:
    """The row that a fact was read from."""
    table = facts.package.tables[fact.table]
    return table.row(table.row_at(fact.file, fact.line))


def row_of(facts: Facts, table: str, id: str) -> dict[str, str]:
    """The row of a table by its id; empty if there is none."""
    found = facts.package.tables[table]
    rows = found.rows_of("id").get(id, ())
    return found.row(rows[0]) if rows else {}


def listed(words: Iterable[str]) -> str:
    """`a, b and c`."""
    items = list(words)
    return " and ".join(filter(None, [", ".join(items[:-1]), items[-1]])) if items else ""


_VOCABULARY = {
    "site": "sites",
    "cause": "causes",
    "topic": "topics",
    "target": "targets",
    "route": "routes",
    "population": "populations",
    "purpose": "purposes",
    "jurisdiction": "jurisdictions",
    "taxon": "taxa",
}


def _label(facts: Facts, vocabulary: str, value: str) -> str:
    if vocabulary in facts.vocabularies:
        return facts.vocabularies[vocabulary].label(value)
    return value.replace("-", " ")


def _unit(value: str) -> str:
    return "" if " " in value else " g"
