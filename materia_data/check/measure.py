"""How far a rule holds: of how many subjects, how many hold, are contradicted, or do not say."""

from collections.abc import Sequence
from dataclasses import dataclass

from materia_data.check.inline import (
    Statement,
    inline_facts,
    inline_id,
    kind_of,
    single_value,
    stated_by,
    stated_by_branches,
)
from materia_data.check.rules import Rule
from materia_data.facts.facts import Facts
from materia_data.facts.match import match
from materia_data.facts.pattern import parse
from materia_data.facts.predicates import predicates


@dataclass(frozen=True, slots=True)
class Measure:
    """The measure of one rule. Sets hold subject numbers.

    applies: subjects for which `when` is true; holds, contradicted, unstated: what `expect` is for them;
    base: how many of how many subjects meet `expect`, whether `when` is true or not; negative: `expect` has no
    positive atom;
    definition: `expect` is already true of a subject that states only what `when` says, so that the rule scores and
    explains nothing.
    """

    applies: frozenset[int]
    holds: frozenset[int]
    contradicted: frozenset[int]
    unstated: frozenset[int]
    base: tuple[int, int]
    negative: bool
    definition: bool

    @property
    def sentence(self) -> str:
        """`of 47: 43 hold, 1 contradicted, 3 not stated`, with nothing said of what is none."""
        if not self.applies:
            return "applies to nothing"
        total = len(self.applies)
        if self.negative:
            broken = f", {len(self.contradicted)} contradicted" if self.contradicted else ""
            return f"of {total}: {total - len(self.contradicted)} not contradicted{broken}"
        parts = [f"{len(self.holds)} {'holds' if len(self.holds) == 1 else 'hold'}"]
        if self.contradicted:
            parts.append(f"{len(self.contradicted)} contradicted")
        if self.unstated:
            parts.append(f"{len(self.unstated)} not stated")
        return f"of {total}: {', '.join(parts)}"

    @property
    def base_sentence(self) -> str:
        """`25 of 110 anyway`: how many subjects meet `expect`, whatever `when` says."""
        return f"{self.base[0]} of {self.base[1]} anyway"

    @property
    def lift(self) -> float:
        """How many times more often `expect` is met where the rule applies than anywhere. 0 where it never applies."""
        if not self.applies or not self.base[0]:
            return 0.0
        return (len(self.holds) / len(self.applies)) / (self.base[0] / self.base[1])

    @property
    def tells(self) -> bool:
        """Whether the rule may explain: at least three subjects, at least half of those that state the matter, more
        than the base rate."""
        stating = len(self.holds) + len(self.contradicted)
        return not self.definition and len(self.applies) >= 3 and 2 * len(self.holds) >= stating and self.lift > 1.0


def measure_all(rules: Sequence[Rule], facts: Facts) -> list[Measure]:
    """The measure of each rule, in the order given."""
    kinds = {
        kind: frozenset(number for number, subject in enumerate(facts.subjects) if facts.kind(subject) == kind)
        for kind in ("herbs", "forms", "formulas")
    }
    stating: dict[str, frozenset[int]] = {}
    defined = _definitions(rules, facts)
    return [_measure(rule, facts, kinds, stating, definition) for rule, definition in zip(rules, defined, strict=True)]


def _measure(
    rule: Rule, facts: Facts, kinds: dict[str, frozenset[int]], stating: dict[str, frozenset[int]], definition: bool
) -> Measure:
    counted: set[int] = set()
    for kind in rule.over:
        counted |= (
            kinds[kind] if kind != "forms" or rule.safety else _forms_that_state(rule, facts, kinds["forms"], stating)
        )
    when, expect = match(rule.when, facts), match(rule.expect, facts)
    applies = frozenset(when.true & counted)
    holds, contradicted = applies & expect.true, applies & expect.false
    return Measure(
        applies,
        frozenset(holds),
        frozenset(contradicted),
        applies - holds - contradicted,
        (len(expect.true & counted), len(counted)),
        not rule.expect.atoms(),
        definition,
    )


def _forms_that_state(
    rule: Rule, facts: Facts, forms: frozenset[int], stating: dict[str, frozenset[int]]
) -> frozenset[int]:
    """The forms whose own rows state a predicate that the rule reads."""
    found: frozenset[int] = frozenset()
    for predicate in rule.reads():
        if predicate not in stating:
            stating[predicate] = frozenset(facts.own_entries[predicate]) & forms
        found |= stating[predicate]
    return found


def _definitions(rules: Sequence[Rule], facts: Facts) -> list[bool]:
    """For each rule whether it is a definition: `expect` true of every subject that states only what a branch of
    `when` says."""
    subjects: list[tuple[str, list[Statement]]] = []
    places = []
    for rule in rules:
        branches = [] if not rule.expect.atoms() else stated_by_branches(rule.when, facts)
        mine = []
        for branch in branches:
            branch = [*branch, *_defining(branch, facts)]
            kind = kind_of(rule.over, branch)
            mine.append(inline_id(kind, len(subjects)))
            subjects.append((kind, branch))
        places.append(mine)
    made = inline_facts(subjects, facts.package)
    result = []
    for rule, mine in zip(rules, places, strict=True):
        true = match(rule.expect, made).true if mine else frozenset()
        result.append(bool(mine) and all(made.number[subject] in true for subject in mine))
    return result


def _defining(branch: Sequence[Statement], facts: Facts) -> list[Statement]:
    """The defining actions of the categories and groups that a branch names."""
    found: list[Statement] = []
    for atom, stated in branch:
        for table in predicates()[atom.predicate].values.tables:
            rows = facts.package.tables[table]
            for row in (
                rows.rows_of("id").get(single_value(atom), ()) if stated and "defining_action" in rows.columns else ()
            ):
                if action := rows.columns["defining_action"][row]:
                    found += stated_by(parse(f"action:{action}", facts))
    return found
