"""What a rule finds: a problem for each subject for which it does not hold, and for each of its inline rows that
does not do its part."""

from collections.abc import Iterator, Sequence

from materia_data.check.inline import Statement, inline_facts, inline_id, kind_of, stated_by
from materia_data.check.measure import Measure
from materia_data.check.rules import Rule
from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.facts.match import match, supports
from materia_data.problem import Problem

_SEVERITY = {
    ("must", "contradicted"): "error",
    ("must", "unstated"): "error",
    ("expected", "contradicted"): "warning",
    ("expected", "unstated"): "note",
}


def verdicts(rule: Rule, measured: Measure, facts: Facts) -> Iterator[Problem]:
    """The problems of one rule; a rule that is only measured (`tends`) has none, one that applies to nothing has a
    note."""
    if not measured.applies:
        yield Problem(
            rule.file,
            rule.line,
            "when",
            rule.id,
            str(rule.when),
            rule.id,
            "note",
            f"{rule.title}: the rule applies to nothing.",
            "Keep it if its medicinals are still to come; else remove it.",
        )
        return
    for outcome, numbers in (("contradicted", measured.contradicted), ("unstated", measured.unstated)):
        severity = _SEVERITY.get((rule.strength, outcome))
        if severity:
            for number in sorted(numbers):
                yield _verdict(rule, facts.subjects[number], outcome, severity, facts)


def example_problems(rules: Sequence[Rule], facts: Facts) -> Iterator[Problem]:
    """A problem for each inline row that should hold and does not, or should break and does not."""
    subjects: list[tuple[str, list[Statement]]] = []
    rows = []
    for rule in rules:
        for key in ("holds", "breaks"):
            for row in getattr(rule, key):
                statements = stated_by(row)
                kind = kind_of(rule.over, statements)
                rows.append((rule, key, row, inline_id(kind, len(subjects))))
                subjects.append((kind, statements))
    made = inline_facts(subjects, facts.package)
    truths = {rule.id: (match(rule.when, made), match(rule.expect, made)) for rule in rules}
    for rule, key, row, subject in rows:
        number = made.number[subject]
        when, expect = truths[rule.id]
        if number not in when.true:
            yield rule.problem(
                key,
                f"{row} does not meet when, so it shows nothing.",
                rule="rule-example",
                tip=f"State in it what `{rule.when}` asks.",
                value=str(row),
            )
        elif (number in expect.true) != (key == "holds"):
            does = (
                "holds" if number in expect.true else "is contradicted" if number in expect.false else "is not stated"
            )
            yield rule.problem(
                key,
                f"{row} stands under {key}, but `{rule.expect}` {does} for it.",
                rule="rule-example",
                tip="Correct the row, or the rule.",
                value=str(row),
            )


def _verdict(rule: Rule, subject: str, outcome: str, severity: str, facts: Facts) -> Problem:
    because = _because(rule, subject, facts)
    first = because[0] if because else None
    said = [_said(fact, facts) for fact in because]
    listed = f"{', '.join(said[:-1])} and {said[-1]}" if len(said) > 1 else "".join(said)
    lead = f"{_name(subject, facts)} has {listed}" if said else _name(subject, facts)
    against = (
        f"`{rule.expect}` is not stated" if outcome == "unstated" else f"what is stated contradicts `{rule.expect}`"
    )
    message = f"{lead}, but {against}. {rule.title}. {rule.because}"
    excepted = f"{rule.id},{subject},{first.value if first else ''},…"
    tip = f"State it, correct what is wrong, or except it with a reason in record/exceptions.csv: {excepted}"
    file, line, column = _place(subject, first, facts)
    source = f"{rule.source}, {rule.locator}".rstrip(", ") if rule.source else rule.basis.replace("-", " ")
    return Problem(file, line, column, subject, first.value if first else "", rule.id, severity, message, tip, source)


def _because(rule: Rule, subject: str, facts: Facts) -> list[Fact]:
    """For each positive atom of `when` the first fact that supports it."""
    found = (supports(atom, subject, facts) for atom in rule.when.atoms())
    return [support[0] for support in found if support]


def _place(subject: str, fact: Fact | None, facts: Facts) -> tuple[str, int, str]:
    if fact is not None and not fact.inherited_from:
        return fact.file, fact.line, fact.column
    table = facts.package.tables[facts.kind(subject)]
    return *table.place(table.rows_of("id")[subject][0]), "id"


def _said(fact: Fact, facts: Facts) -> str:
    inside = ", ".join(
        f"{key} {value}" for key, value in fact.qualifiers if key in ("topic", "target", "route", "cause", "site")
    )
    origin = f" (from {fact.inherited_from})" if fact.inherited_from else ""
    return f"{fact.predicate} {fact.value}{f' [{inside}]' if inside else ''}{origin}"


def _name(subject: str, facts: Facts) -> str:
    table = facts.package.tables[facts.kind(subject)]
    return f"{table.columns['name_hans'][table.rows_of('id')[subject][0]]} {subject}"
