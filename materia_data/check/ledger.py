"""Weakenings and losses of safety facts that no row of `record/loosenings` names."""

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from materia_data.check.safety.change import Change, joined
from materia_data.check.safety.compare import compare
from materia_data.check.safety.doses import ceilings
from materia_data.check.safety.gather import SafetySet, safety_facts
from materia_data.facts.facts import Facts
from materia_data.facts.predicates import predicates
from materia_data.materia import Materia
from materia_data.problem import Problem

LEDGER = "record/loosenings.csv"
_KEY = ("subject", "predicate", "qualifiers", "was", "now")
_RULES = {"weakened": "safety-loosened", "removed": "safety-lost"}
_WORDS = {"weakened": "weakened", "removed": "lost", "strengthened": "strengthened", "gained": "new"}
_Row = tuple[str, ...]


def unrecorded_loosenings(old: Materia, new: Materia) -> list[Problem]:
    """Compare the safety facts of a package with those of an older one.

    An error for each weakening or loss that no row of `record/loosenings`, added since, names exactly, and for each
    such row that names none; a note for what was strengthened or gained. Source: semantics.md, 5.
    """
    before, after = safety_facts(old), safety_facts(new)
    return judged(compare(before, after), before, after, old, new)


def judged(
    changes: Sequence[Change], before: SafetySet, after: SafetySet, old: Materia, new: Materia, file: str = LEDGER
) -> list[Problem]:
    """The problems of changes already found between two packages. file: the ledger that may name them."""
    added = _added_rows(old, new)
    licences = {row: index for index, row in added}
    ledger = _Ledger(changes, licences, before, after, file)
    return [*ledger.problems(), *_wrong_rows(added, changes, before, new)]


def unreadable_safety(old: Materia) -> Problem | None:
    """The first thing that could not be read of an older package's safety tables: it cannot be compared with."""
    safety = [predicate for predicate in predicates().values() if predicate.safety != "no"]
    files = {old.package.tables[table].file for predicate in safety for table, _ in predicate.sources}
    harmless = ("missing-column", "unknown-column", "reordered-columns")
    return next((one for one in old.package.problems if one.file in files and one.rule not in harmless), None)


def _added_rows(old: Materia, new: Materia) -> list[tuple[int, _Row]]:
    """Rows of the new ledger that are not history, with their place."""

    def rows(materia: Materia) -> list[_Row]:
        columns = materia.package.tables["loosenings"].columns
        return list(zip(*(columns[name] for name in (*_KEY, "on_date")), strict=True))

    history = set(rows(old))
    return [(index, row[:-1]) for index, row in enumerate(rows(new)) if row not in history]


def told(change: Change, old: Facts, new: Facts) -> str:
    """A change in words: `半夏 ban-xia: pregnancy, avoid → caution: weakened`."""
    was, now = shown_values(change)
    name = _name(change.subject, old, new)
    instead = f" (now {change.stands_as})" if change.stands_as not in ("", change.subject) else ""
    arrow = f"{was} → {now}" if now else was
    return f"{name}{instead}: {what(change)}{arrow}: {_WORDS[change.effect]}"


def change_key(change: Change) -> _Row:
    """What a row of `record/loosenings` says to name the change."""
    return change.subject, change.predicate, change.qualifiers, change.was, change.now


@dataclass(frozen=True, slots=True)
class _Ledger:
    changes: Sequence[Change]
    licences: Mapping[_Row, int]
    old: SafetySet
    new: SafetySet
    file: str

    def problems(self) -> Iterator[Problem]:
        told = {change_key(change): change.effect for change in self.changes}
        for change in self.changes:
            if change.effect == "none" or self._told_of_herb(change, told):
                continue
            if not change.looser:
                yield self._problem(change, f"safety-{change.effect}", "note", "")
            elif not self._licensed(change):
                yield self._problem(change, _RULES[change.effect], "error", _tip(change, self.file))

    def _told_of_herb(self, change: Change, told: Mapping[_Row, str]) -> bool:
        """Whether the herb that the form had the fact from has the same change."""
        herb = change.inherited_from
        return bool(herb) and told.get((herb, *change_key(change)[1:])) == change.effect

    def _licensed(self, change: Change) -> bool:
        return change_key(change) in self.licences or mirrored(change) in self.licences

    def _problem(self, change: Change, rule: str, severity: str, tip: str) -> Problem:
        file, message = change.file or self.file, told(change, self.old.facts, self.new.facts)
        return Problem(file, change.line, change.column, change.record, change.now, rule, severity, message, tip)


def mirrored(change: Change) -> _Row:
    """The same antagonism seen from the other side."""
    if change.predicate != "opposes":
        return change_key(change)
    now = change.now.replace(change.was, change.subject, 1)
    return change.was, "opposes", change.qualifiers, change.subject, now


def _tip(change: Change, file: str) -> str:
    line = _csv_line([*change_key(change), "WHY", "SOURCE", "WHO", "YYYY-MM-DD"])
    return f"Put it back; or, if it was agreed, add to {file}: {line}"


def _csv_line(cells: Sequence[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()


def _name(subject: str, old: Facts, new: Facts) -> str:
    for facts in (new, old):
        if subject in facts.number:
            table = facts.package.tables[facts.kind(subject)]
            return f"{table.columns['name_hans'][table.rows_of('id')[subject][0]]} {subject}"
    return subject


def what(change: Change) -> str:
    """What is spoken of, up to the value: `pregnancy, `."""
    held = dict(pair.partition("=")[::2] for pair in change.qualifiers.split(";") if pair)
    match change.predicate:
        case "caution":
            return f"{held.get('topic', '')}{' (' + held['target'] + ')' if 'target' in held else ''}, "
        case "dose-max" | "dose-min" | "max-days":
            what = {"dose-max": "largest dose", "dose-min": "smallest dose", "max-days": "longest use"}
            return f"{what[change.predicate]} ({', '.join(held.values())}), "
        case "minutes-min":
            return f"boiling time of {held.get('handling', '')}{_purpose(held)}, "
        case "handling":
            return f"cooking{_purpose(held)}, "
        case "control":
            return f"control by {', '.join(held.values())}, "
        case "trait":
            return "constituent "
        case "default-form":
            return "what its bare name means, "
        case "rule":
            return "no longer reached by the safety rule "
        case "exception":
            return f"exception to the safety rule {held.get('rule', '')}, "
        case "broader" | "rank" | "topic":
            return f"{change.predicate} of the term ({held.get('terms', '')}), "
        case _:
            return f"{change.predicate} "


def _purpose(held: Mapping[str, str]) -> str:
    return f" ({held['purpose']})" if held.get("purpose") else ""


def shown_values(change: Change) -> tuple[str, str]:
    """was and now with their unit, `nothing` where there is none; now empty where only one value is spoken of."""
    units = {"dose-max": " g", "dose-min": " g", "max-days": " days", "minutes-min": " min"}
    unit = units.get(change.predicate, "")
    was, now = (
        f"{text}{unit if text.replace('.', '').isdigit() else ''}" if text else "nothing"
        for text in (change.was, change.now)
    )
    if change.predicate == "rule":
        return change.was, ""
    return was, now


def _wrong_rows(
    added: Sequence[tuple[int, _Row]], changes: Sequence[Change], old: SafetySet, new: Materia
) -> Iterator[Problem]:
    """Rows added to the ledger that name no weakening or loss."""
    real = {key for change in changes if change.looser for key in (change_key(change), mirrored(change))}
    table = new.package.tables["loosenings"]
    for index, row in added:
        if row in real:
            continue
        subject, predicate, qualifiers, was, now = row
        stood = _stood(subject, predicate, qualifiers, old)
        what = f"{subject}, {predicate}{' [' + qualifiers + ']' if qualifiers else ''}"
        made = next((change for change in changes if change.looser and change_key(change)[:4] == row[:4]), None)
        if was not in stood:
            said = " or ".join(sorted(stood)) if stood else "nothing"
            yield table.problem(index, "was", "loosening-was-otherwise", f"{what} was not {was or 'empty'} but {said}.",
                                tip="Write the old effective value, or delete this line.")  # fmt: skip
        elif made:
            yield table.problem(index, "now", "loosening-is-otherwise",
                                f"{what} is now {made.now or 'nothing'}, not {now or 'nothing'}.",
                                tip=f"Write {made.now}." if made.now else "Leave this cell empty.")  # fmt: skip
        else:
            yield table.problem(index, "now", "loosening-not-made",
                                f"{what} is as strict as it was: {was or 'nothing'}.",
                                tip="Delete this line: nothing was loosened that it would have to record.")  # fmt: skip


def _stood(subject: str, predicate: str, qualifiers: str, old: SafetySet) -> set[str]:
    """The old values of what a row speaks of."""
    if subject in old.facts.number:
        facts = old.of(subject).get(predicate, ())
        found = {held.value for held in facts if held.required and joined(held.qualifiers) == qualifiers}
        if predicate == "dose-max":
            found |= {value for key, value in ceilings(facts) if joined(key) == qualifiers}
        return found
    if subject in old.rules:
        rule = old.rules[subject]
        said = {"strength": rule.strength, "safety": "true", "over": ";".join(rule.over)}
        said |= {"when": str(rule.when), "expect": str(rule.expect)}
        return {said[predicate]} if predicate in said else set()
    name = qualifiers.removeprefix("terms=")
    table = old.facts.package.tables.get(name)
    if table is None or predicate not in table.columns:
        return set()
    return {table.columns[predicate][row] for row in table.rows_of("id").get(subject, ())}
