"""Every rule is missed when it is gone.

`broken.csv` keeps, apart from the rules, one subject for each that the rule must find at fault. Turning a rule off,
or letting it
expect no more than it asks, must leave that subject unfound.
"""

import csv
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

from materia_data import load
from materia_data.check.inline import inline_facts, inline_id, kind_of, stated_by
from materia_data.check.measure import measure_all
from materia_data.check.rules import Rule, read_rules
from materia_data.facts.facts import Facts
from materia_data.facts.match import match
from materia_data.facts.pattern import parse


@cache
def shipped() -> tuple[tuple[Rule, ...], Facts]:
    materia = load()
    rules, problems = read_rules(materia.package, materia.facts)
    assert not problems
    return tuple(rules), materia.facts


@cache
def broken() -> dict[str, str]:
    with (Path(__file__).parent / "broken.csv").open(encoding="utf-8", newline="") as lines:
        return {row["rule"]: row["broken"] for row in csv.DictReader(lines)}


@cache
def made() -> tuple[dict[str, int], Facts]:
    """The broken subjects as facts, and the number of each rule's."""
    rules, facts = shipped()
    over = {rule.id: rule.over for rule in rules}
    subjects, ids = [], {}
    for name, text in broken().items():
        statements = stated_by(parse(text, facts, safety_rule=True))
        kind = kind_of(over[name], statements)
        ids[name] = inline_id(kind, len(subjects))
        subjects.append((kind, statements))
    inline = inline_facts(subjects, facts.package)
    return {name: inline.number[id] for name, id in ids.items()}, inline


def unfound(rules: Sequence[Rule]) -> list[str]:
    """The rules of broken.csv whose subject no rule of that id finds at fault."""
    numbers, facts = made()
    by_id = {rule.id: rule for rule in rules}
    return [name for name, number in numbers.items() if name not in by_id or not at_fault(by_id[name], number, facts)]


def at_fault(rule: Rule, number: int, facts: Facts) -> bool:
    return number in match(rule.when, facts).true and number not in match(rule.expect, facts).true


def test_every_rule_finds_its_broken_subject() -> None:
    """Each shipped rule has a broken subject, and finds it; none is kept for a rule that is gone."""
    rules, _ = shipped()
    assert sorted(rule.id for rule in rules) == sorted(broken())
    assert unfound(rules) == []


def test_a_rule_turned_off_is_missed() -> None:
    """Without a rule just its own subject goes unfound, for each of the rules."""
    rules, _ = shipped()
    for gone in rules:
        assert unfound([rule for rule in rules if rule.id != gone.id]) == [gone.id]


def test_a_rule_that_expects_nothing_is_missed() -> None:
    """A rule whose `expect` is only what `when` asks finds nothing, and that is noticed."""
    rules, _ = shipped()
    numbers, facts = made()
    for rule in rules:
        assert not at_fault(replace(rule, expect=rule.when), numbers[rule.id], facts)


def test_there_are_enough_rules_and_enough_of_them_safety() -> None:
    """At least 90 rules, 20 of them safety, each with a reason, a basis and rows that hold and break."""
    rules, facts = shipped()
    assert len(rules) >= 90 and sum(rule.safety for rule in rules) >= 20
    assert all(rule.because and rule.basis and rule.holds and rule.breaks for rule in rules)
    measures = dict(zip((rule.id for rule in rules), measure_all(rules, facts), strict=True))
    assert sum(bool(measured.applies) for measured in measures.values()) >= 0.9 * len(rules)
