"""What changed between two packages, cell by cell, in words, with its effect on safety and the version it calls for."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from materia_data.check.ledger import told
from materia_data.check.safety import Change as SafetyChange
from materia_data.check.safety import compare, safety_facts
from materia_data.materia import Materia
from materia_data.read.package import Package
from materia_data.read.table import Table

_ORDER = ("weakened", "removed", "strengthened", "gained", "none")
_READ_IN = ("source", "locator", "basis")
_SUBJECT_COLUMNS = ("id", "subject", "formula", "record", "a")


@dataclass(frozen=True, slots=True)
class Change:
    """One change. column: empty where a whole row came or went (before or after is then empty); safety: its effect on
    what keeps people from harm, the gravest where there are several; effects: those, in words."""

    table: str
    record: str
    column: str
    before: str
    after: str
    safety: str
    words: str
    effects: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Diff:
    """Changes by table in file order, last what changed without a cell of its own and what moved under a layer's cell;
    bump: the smallest version step that tells the truth (major, minor, patch, none); why: what calls for it."""

    old: str
    new: str
    changes: tuple[Change, ...]
    bump: str
    why: str


def diff(old: Materia, new: Materia) -> Diff:
    """Compare two packages. Rows are matched by key, ids followed through `retired`; a moved row is no change.

    Bump: an id or a column that is gone, or safety loosened, is major; a new row or id minor; anything else patch.
    """
    retired = _retired(old, new)
    safety = _Safety(compare(safety_facts(old), safety_facts(new)), old, new)
    changes = [change for table in new.package.tables for change in _table(table, old, new, retired, safety)]
    changes += _rules(old, new, safety)
    changes += safety.rest()
    changes += _beneath(old, new)
    bump, why = _bump(changes, old, new)
    return Diff(old.release_id, new.release_id, tuple(changes), bump, why)


class _Safety:
    """Effects on safety by the record that they stand at, each handed out once."""

    def __init__(self, found: list[SafetyChange], old: Materia, new: Materia) -> None:
        self._facts = (old.facts, new.facts)
        self._at: dict[tuple[str, str], list[SafetyChange]] = {}
        self._given: set[int] = set()
        for change in found:
            if change.effect != "none":
                self._at.setdefault((change.table, change.record), []).append(change)

    def of(self, table: str, record: str, column: str) -> tuple[str, tuple[str, ...]]:
        """The gravest effect that stands at the record (at its cell, where another is told of), and all in words."""
        here = self._at.get((table, record), [])
        mine = [one for one in here if not column or one.column in ("", column)] or here
        self._given.update(map(id, mine))
        return self._said(mine)

    def rest(self) -> Iterator[Change]:
        """What no changed cell stands for: a caution lost because a link was cut elsewhere."""
        for (table, record), found in self._at.items():
            left = [one for one in found if id(one) not in self._given and not one.inherited_from]
            if left:
                effect, words = self._said(left)
                one = left[0]
                yield Change(table, record or one.subject, "", one.was, one.now, effect, words[0], words)

    def _said(self, found: list[SafetyChange]) -> tuple[str, tuple[str, ...]]:
        if not found:
            return "none", ()
        ranked = sorted(found, key=lambda one: (_ORDER.index(one.effect), bool(one.inherited_from)))
        return ranked[0].effect, tuple(dict.fromkeys(told(one, *self._facts) for one in ranked))


def _table(name: str, old: Materia, new: Materia, retired: Mapping[str, str], safety: _Safety) -> Iterator[Change]:
    before, after = old.package.tables[name], new.package.tables[name]
    was = {_moved(before, row, retired): row for row in range(len(before))}
    is_ = {after.key(row): row for row in range(len(after))}
    for key, row in was.items():
        if key not in is_:
            effect, effects = safety.of(name, before.key(row), "")
            told_row = _brief(before, row)
            words = f"{_called(old, before, row)}: taken out of {before.schema.title.lower()}: {told_row}"
            yield Change(name, before.key(row), "", told_row, "", effect, words, effects)
    for key, row in is_.items():
        other = was.get(key)
        if other is None:
            effect, effects = safety.of(name, key, "")
            told_row = _brief(after, row)
            words = f"{_called(new, after, row)}: new in {after.schema.title.lower()}: {told_row}"
            yield Change(name, key, "", "", told_row, effect, words, effects)
            continue
        cells = ((column, before.columns[column][other], after.columns[column][row]) for column in after.schema.by_name)
        changed = [cell for cell in cells if cell[1] != cell[2] and _followed(cell[1], retired) != cell[2]]
        values = [column for column, _, _ in changed if _is_value(after, column)]
        for column, text, now in changed:
            effect, effects = safety.of(name, key, column) if column in values or not values else ("none", ())
            title = after.schema.by_name[column].title
            words = f"{_called(new, after, row)}: {title}, {text or 'empty'} → {now or 'empty'}"
            yield Change(name, key, column, text, now, effect, words, effects)


def _is_value(table: Table, column: str) -> bool:
    """Whether the column says something of the subject, and not in other words, or where it was read."""
    return column not in _READ_IN and not table.schema.by_name[column].prose


def _beneath(old: Materia, new: Materia) -> Iterator[Change]:
    """Where the data moved under a cell of a layer, which hides it: no effective fact changed."""
    then = {(cell.layer, cell.table, cell.record, cell.column): cell for cell in old.package.said}
    for cell in new.package.said:
        was = then.get((cell.layer, cell.table, cell.record, cell.column))
        if was and was.was != cell.was and was.now == cell.now:
            says = f"the layer {cell.layer} still says {cell.now or 'nothing'}"
            words = f"{cell.record.replace('|', ', ').strip(', ')}: beneath, {cell.column}, {was.was or 'empty'} → "
            words += f"{cell.was or 'empty'}; {says}"
            yield Change(cell.table, cell.record, cell.column, was.was, cell.was, "none", words, ())


def _rules(old: Materia, new: Materia, safety: _Safety) -> Iterator[Change]:
    before, after = _rule_keys(old.package), _rule_keys(new.package)
    for rule in dict.fromkeys((*before, *after)):
        was, is_ = before.get(rule), after.get(rule)
        effect, effects = safety.of("rules", rule, "")
        if effect == "none":
            effect, effects = safety.of("", rule, "")
        if was is None or is_ is None:
            title = str((was or is_ or {}).get("title", ""))
            words = f"rule {rule}: {'taken out' if is_ is None else 'new'}: {title}"
            yield Change("rules", rule, "", title if was else "", title if is_ else "", effect, words, effects)
            continue
        for key in dict.fromkeys((*was, *is_)):
            text, now = _text(was.get(key, "")), _text(is_.get(key, ""))
            if text != now:
                yield Change("rules", rule, key, text, now, effect, f"rule {rule}: {key}, {text} → {now}", effects)


def _rule_keys(package: Package) -> dict[str, dict[str, object]]:
    found: dict[str, dict[str, object]] = {}
    for text in package.rules.values():
        try:
            rules = tomllib.loads(text).get("rule", [])
        except (tomllib.TOMLDecodeError, RecursionError):
            continue
        for rule in rules:
            if isinstance(rule, dict):
                id = str(rule.get("id", ""))
                found[id] = found.get(id, {}) | rule
    return found


def _text(value: object) -> str:
    return "; ".join(map(str, value)) if isinstance(value, list) else str(value)


def _retired(old: Materia, new: Materia) -> dict[str, str]:
    """Ids gone since, and what replaced them."""
    columns = new.package.tables["retired"].columns
    known = set(old.package.tables["retired"].columns["id"])
    pairs = zip(columns["id"], columns["replaced_by"], strict=True)
    return {id: to for id, to in pairs if to and (id not in known or old.package.subject_table(id))}


def _moved(table: Table, row: int, retired: Mapping[str, str]) -> str:
    return "|".join(_followed(table.columns[column][row], retired) for column in table.schema.key)


def _followed(cell: str, retired: Mapping[str, str]) -> str:
    return ";".join(retired.get(part, part) for part in cell.split(";")) if retired and cell else cell


def _called(materia: Materia, table: Table, row: int) -> str:
    """Name and id of the subject the row speaks of, else its key."""
    for column in _SUBJECT_COLUMNS:
        subject = table.columns[column][row].split("|")[0] if column in table.columns else ""
        kind = materia.package.subject_table(subject)
        if kind:
            own = materia.package.tables[kind]
            rest = [table.columns[key][row] for key in table.schema.key if key != column and table.columns[key][row]]
            name = f"{own.columns['name_hans'][own.rows_of('id')[subject][0]]} {subject}"
            return name + (f", {', '.join(rest)}" if rest else "")
    return table.key(row).replace("|", ", ").strip(", ")


def _brief(table: Table, row: int) -> str:
    """The filled cells that say what the row is, without key, source and prose."""
    said = [
        table.columns[field.name][row]
        for field in table.schema.fields
        if field.name not in (*table.schema.key, "source", "locator", "basis", "name_hant") and not field.prose
    ]
    return ", ".join(filter(None, said))[:160]


def _bump(changes: list[Change], old: Materia, new: Materia) -> tuple[str, str]:
    loosened = [change for change in changes if change.safety in ("weakened", "removed")]
    if loosened:
        places = "one place" if len(loosened) == 1 else f"{len(loosened)} places"
        return "major", f"safety is loosened in {places}, first: {loosened[0].words}"
    gone = [change for change in changes if not change.column and change.before and not change.after]
    lost = next((change for change in gone if change.table in _IDS), None)
    if lost:
        return "major", f"an id is gone: {lost.record}"
    for name, table in old.package.tables.items():
        if table.readable and (missing := sorted(new.package.tables[name].missing - table.missing)):
            return "major", f"a column is gone: {name}.{missing[0]}"
    added = next((change for change in changes if not change.column and change.after and not change.before), None)
    if added:
        return "minor", f"something is new: {added.words}"
    return ("patch", "only what stands in cells changed") if changes else ("none", "nothing changed")


_IDS = ("herbs", "forms", "formulas", "categories", "groups", "units", "sources", "rules")
