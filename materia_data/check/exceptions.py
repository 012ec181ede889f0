"""Exceptions: what they soften, which are needed, and what is wrong with the others."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from materia_data.check.measure import Measure
from materia_data.check.registry import Check
from materia_data.check.rules import Rule
from materia_data.facts.facts import Facts
from materia_data.problem import Problem
from materia_data.read.package import Package
from materia_data.suggest import did_you_mean


class Exceptions:
    """The rows of `record/exceptions.csv`, and which of them were needed in this check."""

    def __init__(self, package: Package, facts: Facts) -> None:
        self._table = package.tables["exceptions"]
        self._facts = facts
        self._needed: set[int] = set()
        self._rows: dict[tuple[str, str], list[int]] = {}
        columns = self._table.columns
        for index, pair in enumerate(zip(columns["rule"], columns["subject"], strict=True)):
            self._rows.setdefault(pair, []).append(index)

    def soften(self, problem: Problem, *, safety: bool) -> Problem:
        """The problem, or the note with the reason that stands in its place where an exception covers it.

        An exception to a safety rule covers only the exact value it names; a herb's covers the forms that have the
        fact from there.
        """
        if not self._rows:
            return problem
        for index in self._about(problem.rule, problem.record.split("|")[0]):
            value = self._table.columns["value"][index]
            if value == problem.value or (not value and not safety):
                self._needed.add(index)
                reason, by = self._table.columns["reason"][index], self._table.columns["by"][index]
                file, line = self._table.place(index)
                return replace(
                    problem,
                    severity="note",
                    message=f"{problem.message} Excepted: {reason}",
                    tip=f"Decided by: {by} ({file}:{line}).",
                )
        return problem

    def needed_by(self, rule: Rule, measured: Measure) -> None:
        """Mark the exceptions that a rule needs: those of subjects for which it applies and does not hold, at any
        strength."""
        fails = measured.contradicted | measured.unstated
        for (named, subject), indexes in self._rows.items():
            if named == rule.id and subject in self._facts.number and self._facts.number[subject] in fails:
                self._needed.update(indexes)

    def problems(
        self, rules: Mapping[str, Rule], checks: Mapping[str, Check], day: date, layer: str = ""
    ) -> list[Problem]:
        """Exceptions that name no rule, lack what a safety exception must say, are overdue, or are not needed.

        layer: whose exceptions are judged, by default the base's: each where its own file stands.
        """
        found: list[Problem] = []
        known = [*rules, *checks]
        for index in range(len(self._table)):
            if self._table.layer(index) != layer:
                continue
            row = self._table.row(index)
            named = rules.get(row["rule"]) or checks.get(row["rule"])
            if named is None:
                tip = did_you_mean(row["rule"], known) or "Name a rule of datapackage/rules or a check."
                found.append(
                    self._table.problem(
                        index, "rule", "exception-unknown-rule", f"{row['rule']} is no rule and no check.", tip=tip
                    )
                )
                continue
            if named.safety and not row["value"]:
                found.append(
                    self._table.problem(
                        index,
                        "value",
                        "exception-too-wide",
                        f"{named.id} is about safety, and the exception does not name the exact value.",
                        tip="Name the value that the problem shows.",
                    )
                )
            if named.safety and not row["review_on"]:
                found.append(
                    self._table.problem(
                        index,
                        "review_on",
                        "exception-without-review",
                        f"{named.id} is about safety, and nobody is to look at the exception again.",
                        tip="Add the day on which the course owner looks at it again.",
                    )
                )
            if row["review_on"] and row["review_on"] < day.isoformat():
                found.append(
                    self._table.problem(
                        index,
                        "review_on",
                        "exception-overdue",
                        f"The exception was to be looked at again on {row['review_on']}; it is {day.isoformat()}.",
                        tip="Look at it, then set the next day or delete the line.",
                        severity="warning",
                    )
                )
            if index not in self._needed:
                found.append(
                    self._table.problem(
                        index,
                        "rule",
                        "exception-not-needed",
                        f"{row['rule']} no longer finds fault with {row['subject']}"
                        f"{' at ' + row['value'] if row['value'] else ''}.",
                        tip="Delete this line.",
                    )
                )
        return found

    def _about(self, rule: str, subject: str) -> list[int]:
        own = self._rows.get((rule, subject), [])
        if subject not in self._facts.number:
            return own
        herb = self._facts.herb_of(subject)
        return own if herb == subject else [*own, *self._rows.get((rule, herb), [])]
