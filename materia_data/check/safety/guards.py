"""What has become of the safety rules, of the exceptions to them, and of the terms that facts and rules rest on."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from materia_data.check.rules import STRENGTHS, Rule
from materia_data.check.safety.change import Change
from materia_data.check.safety.gather import Excepted, SafetySet
from materia_data.check.safety.implies import implies
from materia_data.facts.build import build_facts
from materia_data.facts.facts import Facts
from materia_data.facts.match import match
from materia_data.facts.pattern import And, Atom, Not, Or, Pattern
from materia_data.facts.predicates import predicates
from materia_data.read.table import Table

_BROADER_TABLES = ("categories", "groups")
_READ = ("broader", "rank", "implied_cause", "implied_site", "topic", "kind")


def rule_changes(old: SafetySet, new: SafetySet, successors: Mapping[str, str]) -> Iterator[Change]:
    """Safety rules that are gone, lower in strength, no longer about safety, narrower or softer; and new ones."""
    for id, rule in old.rules.items():
        rule = replace(rule, when=_as_today(rule.when, successors), expect=_as_today(rule.expect, successors))
        now = new.rules.get(id) or new.other_rules.get(id)
        if now is None:
            yield _gone(rule, new)
            continue
        if not now.safety:
            yield _change(rule, now, "safety", "true", "false", "weakened")
        if now.strength != rule.strength:
            lower = STRENGTHS.index(now.strength) > STRENGTHS.index(rule.strength)
            yield _change(rule, now, "strength", rule.strength, now.strength, _effect(lower))
        if set(now.over) != set(rule.over):
            lower = not set(rule.over) <= set(now.over)
            yield _change(rule, now, "over", ";".join(rule.over), ";".join(now.over), _effect(lower))
        if str(now.when) != str(rule.when):
            lower = not implies(rule.when, now.when, new.facts)
            same = implies(now.when, rule.when, new.facts)
            yield _change(rule, now, "when", str(rule.when), str(now.when), _effect(lower, same))
        if str(now.expect) != str(rule.expect):
            lower = not implies(now.expect, rule.expect, new.facts)
            same = implies(rule.expect, now.expect, new.facts)
            yield _change(rule, now, "expect", str(rule.expect), str(now.expect), _effect(lower, same))
    for id, rule in new.rules.items():
        if id not in old.rules:
            yield _change(rule, rule, "strength", "", rule.strength, "gained")


def _as_today(pattern: Pattern, successors: Mapping[str, str]) -> Pattern:
    """The pattern with retired ids as those that replaced them."""
    match pattern:
        case And(parts) | Or(parts):
            return type(pattern)(tuple(_as_today(part, successors) for part in parts))
        case Not(part):
            return Not(_as_today(part, successors))
        case Atom(predicate=name, values=values) if predicates()[name].values.kind == "ids":
            return replace(pattern, values=tuple(successors.get(value, value) for value in values))
        case _:
            return pattern


def _effect(lower: bool, same: bool = False) -> str:
    return "weakened" if lower else "none" if same else "strengthened"


def _gone(rule: Rule, new: SafetySet) -> Change:
    """A rule that no longer stands, unless another asks as much of as many."""
    for other in new.rules.values():
        if (
            STRENGTHS.index(other.strength) <= STRENGTHS.index(rule.strength)
            and set(rule.over) <= set(other.over)
            and implies(rule.when, other.when, new.facts)
            and implies(other.expect, rule.expect, new.facts)
        ):
            return _change(rule, other, "strength", rule.strength, other.strength, "none")
    for problem in new.rule_problems:
        if problem.record == rule.id and problem.column == "strength" and problem.value in STRENGTHS:
            return Change(rule.id, "strength", "", rule.strength, problem.value, "weakened", problem.file, "rules",
                          rule.id, problem.line, "strength")  # fmt: skip
    file = rule.file
    return Change(rule.id, "strength", "", rule.strength, "", "removed", file, "rules", rule.id, 0, "")


def _change(rule: Rule, now: Rule, predicate: str, was: str, is_: str, effect: str) -> Change:
    return Change(rule.id, predicate, "", was, is_, effect, now.file, "rules", now.id, now.line, predicate)


def exception_changes(old: SafetySet, new: SafetySet, successors: Mapping[str, str]) -> Iterator[Change]:
    """New exceptions to safety rules, and those that are gone."""
    table = new.facts.package.tables["exceptions"]

    def key(each: Excepted) -> tuple[str, str, frozenset[str]]:
        values = frozenset(successors.get(part, part) for part in each.value.split("+"))
        return each.rule, successors.get(each.subject, each.subject), values

    stood = {key(each): each for each in old.exceptions}
    stand = {key(each): each for each in new.exceptions}
    for each in (each for at, each in stand.items() if at not in stood):
        file, line = table.place(each.row)
        yield Change(each.subject, "exception", f"rule={each.rule}", "", each.value, "weakened", file,
                     "exceptions", table.key(each.row), line, "rule")  # fmt: skip
    for each in (each for at, each in stood.items() if at not in stand):
        yield Change(each.subject, "exception", f"rule={each.rule}", each.value, "", "strengthened", table.file,
                     "exceptions", "|".join(each[:3]))  # fmt: skip


def reach_changes(old: SafetySet, new: SafetySet, successors: Mapping[str, str]) -> Iterator[Change]:
    """Subjects that a safety rule no longer reaches because a term was moved: the old rows, read with today's terms."""
    names = [name for name, table in old.facts.package.tables.items() if _is_terms(table)]
    tables = {name: new.facts.package.tables[name] for name in names}
    if not old.rules or all(_cells(old.facts.package.tables[name]) == _cells(tables[name]) for name in names):
        return
    moved = build_facts(replace(old.facts.package, tables={**old.facts.package.tables, **tables}, _kinds=None))
    for id, rule in old.rules.items():
        if id in new.rules:
            still = {new.facts.subjects[number] for number in _reached(new.rules[id], new.facts)}
            gone = _reached(rule, old.facts) - _reached(rule, moved)
            for number in sorted(gone):
                subject = old.facts.subjects[number]
                stands = successors.get(subject, subject)
                if stands in new.facts.number and stands not in still:
                    yield _unreached(rule, subject, stands, gone, old.facts, new.facts)


def _unreached(rule: Rule, subject: str, stands: str, gone: set[int], old: Facts, new: Facts) -> Change:
    herb = old.herb_of(subject)
    from_herb = herb if herb != subject and old.number[herb] in gone else ""
    table = new.package.tables[new.kind(stands)]
    file, line = table.place(table.rows_of("id")[stands][0])
    return Change(subject, "rule", "", rule.id, "", "removed", file, table.schema.name, stands, line, "id",
                  from_herb, stands)  # fmt: skip


def _reached(rule: Rule, facts: Facts) -> set[int]:
    return {number for number in match(rule.when, facts).true if facts.kind(facts.subjects[number]) in rule.over}


def _is_terms(table: Table) -> bool:
    return table.file.startswith("terms/") or table.schema.name in _BROADER_TABLES


def _cells(table: Table) -> dict[str, tuple[str, ...]]:
    """By term what facts and rules read of it."""
    columns = [table.columns[name] for name in ("id", *_READ) if name in table.columns]
    return {cells[0]: cells[1:] for cells in zip(*columns, strict=True) if any(cells[1:])}
