"""Sign-offs: who answers for which part of which subject, by a digest over the facts, and what a release asks of them.

Source: semantics.md, 6.
"""

import unicodedata
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256

from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.problem import Problem

SCOPES = ("identity", "safety", "teaching")
NOT_SIGNED_OFF = "not signed off"
PEOPLE = 2
FILE = "record/signoffs.csv"


@dataclass(frozen=True, slots=True)
class SignOff:
    """One sign-off. signed_on: ISO date; state: stands, lapsed (the facts are no longer those signed for), or
    withdrawn."""

    subject: str
    scope: str
    by: str
    role: str
    signed_on: str
    digest: str
    state: str


def scope_digest(facts: Facts, subject: str, scope: str) -> str:
    """SHA-256, 64 hex digits, over the subject's effective facts in the scope: predicate, value, qualifiers, polarity
    and basis, in an order of their own, so that a new column or a row elsewhere changes nothing.

    The safety scope reads the constituents too, as the safety comparison does.
    """
    lines = []
    for name, predicate in facts.predicates.items():
        constituents = scope == "safety" and predicate.safety == "constituents"
        if predicate.scope != scope and not constituents:
            continue
        for fact in facts.of(subject, name):
            if constituents and not _is_constituent(facts, name, fact.value):
                continue
            held = ";".join(f"{key}={value}" for key, value in fact.qualifiers)
            lines.append("\t".join((name, fact.value, held, "is" if fact.stated else "is-not", fact.basis)))
    return sha256("\n".join([subject, scope, *sorted(lines)]).encode("utf-8", "surrogatepass")).hexdigest()


def signoffs(materia: Materia) -> list[SignOff]:
    """Every sign-off on record, in file order, with its state today."""
    table = materia.package.tables["signoffs"]
    names = ("subject", "scope", "by", "role", "signed_on", "digest", "kind")
    rows = list(zip(*(table.columns[name] for name in names), strict=True))
    withdrawn = {(row[0], row[1], row[5], person(row[2])) for row in rows if row[6] == "withdrawn"}
    today: dict[tuple[str, str], str] = {}
    found = []
    for subject, scope, by, role, on, digest, kind in rows:
        if kind != "signed":
            continue
        if subject in materia.facts.number and (subject, scope) not in today:
            today[subject, scope] = scope_digest(materia.facts, subject, scope)
        state = "stands" if today.get((subject, scope)) == digest else "lapsed"
        if (subject, scope, digest, person(by)) in withdrawn:
            state = "withdrawn"
        found.append(SignOff(subject, scope, by, role, on, digest, state))
    return found


def people(materia: Materia, scope: str) -> Mapping[str, set[str]]:
    """By subject the different people whose sign-off for the scope stands."""
    found: dict[str, set[str]] = {}
    for one in signoffs(materia):
        if one.scope == scope and one.state == "stands":
            found.setdefault(one.subject, set()).add(person(one.by))
    return found


def person(by: str) -> str:
    """A name as it is compared: case, width and spaces do not make another person."""
    return " ".join(unicodedata.normalize("NFKC", by).casefold().split())


def in_words(materia: Materia, subjects: Collection[str] | None = None) -> str:
    """`not signed off`, `safety signed off for 3 of 9 subjects`, or `safety signed off`: by two people each.

    subjects: those it is about; all by default.
    """
    if not len(materia.package.tables["signoffs"]):
        return NOT_SIGNED_OFF
    asked = set(materia if subjects is None else subjects)
    signed = sum(len(who) >= PEOPLE for one, who in people(materia, "safety").items() if one in asked)
    if not signed:
        return NOT_SIGNED_OFF
    return "safety signed off" if signed == len(asked) else f"safety signed off for {signed} of {len(asked)} subjects"


def release_problems(materia: Materia, version: str) -> Iterator[Problem]:
    """What keeps the data from being released under the version for want of sign-offs: from 1.0.0 an error for each
    subject for whose safety fewer than two people answer; below it one note, for the release then says so."""
    who = people(materia, "safety")
    without = [subject for subject in materia if len(who.get(subject, ())) < PEOPLE]
    if not without:
        return
    if version.partition(".")[0] == "0":
        message = f"Safety is {NOT_SIGNED_OFF} for {len(without)} of {len(materia)} subjects."
        tip = "Below 1.0 a release goes out all the same, and says so on every output."
        yield Problem(FILE, 0, "", "", "", "not-signed-off", "note", message, tip)
        return
    for subject in without:
        signed = sorted(who.get(subject, ()))
        message = f"The safety of {subject} is signed off by {f'{signed[0]} alone' if signed else 'nobody'}."
        tip = "Two different people look at it and sign: `materia signoff add`."
        yield Problem(FILE, 0, "", subject, "", "not-signed-off", "error", message, tip)


def signoffs_gone(old: Materia, new: Materia) -> Iterator[Problem]:
    """An error for each sign-off of the older package that is no longer on record, though its subject is."""

    def rows(materia: Materia) -> list[tuple[str, ...]]:
        columns = materia.package.tables["signoffs"].columns
        names = ("subject", "scope", "digest", "by", "kind", "role", "signed_on")
        return list(zip(*(columns[name] for name in names), strict=True))

    kept = set(rows(new))
    for row in rows(old):
        if row not in kept and row[0] in new:
            message = f"The sign-off of {row[3]} for {row[1]} of {row[0]} is gone or was changed."
            tip = "Put the line back: sign-offs are only added. `materia signoff lapse` withdraws one."
            yield Problem(FILE, 0, "", "|".join(row[:5]), "", "sign-off-gone", "error", message, tip)


def _is_constituent(facts: Facts, predicate: str, value: str) -> bool:
    words = facts.vocabularies[facts.predicates[predicate].values.name]
    asked = facts.predicates[predicate].constituents
    return any(words.cell(value, column) == cell for column, cell in asked.items())
