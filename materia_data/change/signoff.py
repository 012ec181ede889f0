"""Signing off and withdrawing: rows added to `record/signoffs`, never changed and never taken out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from materia_data.change.tidy import canonical
from materia_data.change.write import write_all
from materia_data.check.signoffs import PEOPLE, SignOff, people, person, scope_digest, signoffs
from materia_data.materia import Materia
from materia_data.problem import Problem
from materia_data.read.structure import check_structure
from materia_data.read.table import Table
from materia_data.suggest import did_you_mean


class SignOffError(ValueError):
    """Nothing was written: says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Standing:
    """The sign-offs of some subjects.

    signoffs: those asked for, in file order; subjects: how many subjects were asked about; signed: of those, for how
    many two different people answer for safety; missing: ids of the others, in table order.
    """

    signoffs: tuple[SignOff, ...]
    subjects: int
    signed: int
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Signed:
    """What was written. kind: signed or withdrawn; added: ids of the subjects; already: those for which nothing was to
    be done; alone: of the added, those for whose safety one more person is to sign."""

    kind: str
    scope: str
    by: str
    role: str
    on: str
    added: tuple[str, ...]
    already: tuple[str, ...]
    alone: tuple[str, ...]


def standing(materia: Materia, subjects: Sequence[str] = (), scope: str = "") -> Standing:
    """Who signed off what. subjects: ids, all if empty; scope: only this one, if given. Raises SignOffError."""
    _known(materia, subjects)
    asked = list(dict.fromkeys(subjects)) or list(materia)
    wanted = set(asked)
    every = [one for one in signoffs(materia) if one.subject in wanted]
    who = people(materia, "safety")
    missing = tuple(subject for subject in asked if len(who.get(subject, ())) < PEOPLE)
    shown = tuple(one for one in every if not scope or one.scope == scope)
    return Standing(shown, len(asked), len(asked) - len(missing), missing)


def sign(materia: Materia, subjects: Sequence[str], scope: str, *, by: str, role: str, on: date) -> Signed:
    """Record that a person answers for the subjects as they stand. Raises SignOffError; then nothing was written."""
    _known(materia, subjects)
    _person(by, role)
    mine = [one for one in signoffs(materia) if one.scope == scope and person(one.by) == person(by)]
    state = {(one.subject, one.digest): one.state for one in mine}
    digests = {subject: scope_digest(materia.facts, subject, scope) for subject in dict.fromkeys(subjects)}
    taken_back = [subject for subject, digest in digests.items() if state.get((subject, digest)) == "withdrawn"]
    if taken_back:
        raise SignOffError(
            f"{by} withdrew the sign-off for {scope} of {_listed(taken_back)}, and nothing there has changed since. "
            "Correct what was wrong, or let somebody else sign."
        )
    already = tuple(subject for subject, digest in digests.items() if (subject, digest) in state)
    added = tuple(subject for subject in digests if subject not in already)
    _write(materia, [_row(subject, scope, digests[subject], by, role, on, "signed", "") for subject in added])
    who = people(materia, "safety") if scope == "safety" else {}
    alone = tuple(subject for subject in added if scope == "safety" and len(who[subject]) < PEOPLE)
    return Signed("signed", scope, by, role, on.isoformat(), added, already, alone)


def withdraw(
    materia: Materia, subjects: Sequence[str], scope: str, *, by: str, role: str, on: date, reason: str
) -> Signed:
    """Record that a person no longer answers for the subjects, and why. Raises SignOffError; then nothing was
    written."""
    _known(materia, subjects)
    _person(by, role)
    if not reason.strip():
        raise SignOffError("A sign-off is withdrawn with a reason: say what was wrong.")
    mine = [one for one in signoffs(materia) if one.scope == scope and person(one.by) == person(by)]
    stands = {one.subject: one for one in mine if one.state == "stands"}
    asked = tuple(dict.fromkeys(subjects))
    added = tuple(subject for subject in asked if subject in stands)
    if not added:
        raise SignOffError(f"No sign-off of {by} for {scope} of {_listed(asked)} stands, so none can be withdrawn.")
    rows = [_row(one, scope, stands[one].digest, stands[one].by, role, on, "withdrawn", reason) for one in added]
    _write(materia, rows)
    already = tuple(subject for subject in asked if subject not in stands)
    return Signed("withdrawn", scope, by, role, on.isoformat(), added, already, ())


def _known(materia: Materia, subjects: Sequence[str]) -> None:
    for subject in subjects:
        if subject not in materia:
            tip = did_you_mean(subject, materia)
            raise SignOffError(f"There is no herb, form or formula {subject}. {tip}".strip())


def _person(by: str, role: str) -> None:
    if not by.strip() or not role.strip():
        raise SignOffError("A sign-off names who answers (--by) and in which role (--role).")


def _row(subject: str, scope: str, digest: str, by: str, role: str, on: date, kind: str, reason: str) -> dict[str, str]:
    return {"subject": subject, "scope": scope, "digest": digest, "by": " ".join(by.split()), "role": role.strip(),
            "signed_on": on.isoformat(), "kind": kind, "reason": reason.strip()}  # fmt: skip


def _write(materia: Materia, rows: Sequence[Mapping[str, str]]) -> None:
    if not rows:
        return
    package = materia.package
    old = package.tables["signoffs"]
    lines = [*old.lines, *range(len(old) + 2, len(old) + 2 + len(rows))]
    columns = {name: [*cells, *(row[name] for row in rows)] for name, cells in old.columns.items()}
    grown = Table(old.schema, columns, lines)
    keys = {grown.key(row) for row in range(len(old), len(grown))}
    problems: list[Problem] = [problem for problem in package.problems if problem.file == old.file]
    whole = replace(package, tables=package.tables | {"signoffs": grown}, _kinds=None)
    problems += [
        problem
        for problem in check_structure(whole)
        if problem.file == old.file and problem.record in keys and problem.rule != "rows-in-order"
    ]
    if problems:
        first = problems[0]
        raise SignOffError(f"{first.file}, {first.column or f'line {first.line}'}: {first.message} {first.tip}")
    write_all(package.root, {old.file: canonical(grown)})
    package.tables["signoffs"] = grown


def _listed(subjects: Sequence[str]) -> str:
    return ", ".join(subjects[:5]) + (f" and {len(subjects) - 5} more" if len(subjects) > 5 else "")
