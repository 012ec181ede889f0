"""Why a pattern is not true of a subject: a stated no, a complete list without it, a value outside, or nothing said."""

from collections.abc import Iterable
from dataclasses import dataclass

from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.facts.judge import Says, judge
from materia_data.facts.match import match, supports
from materia_data.facts.pattern import Atom, Pattern, parse
from materia_data.materia import Materia
from materia_data.teach.words import listed, row_of, say

TRUE, STATED_FALSE, UNSTATED = "true", "stated-false", "unstated"


@dataclass(frozen=True, slots=True)
class Ground:
    """One statement that the answer rests on. kind: states (what is asked), negative (stated not to), closed (the whole
    list), outside (another value of a scale), broader or otherwise (near what is asked, which is neither yes nor no),
    disputed; place: file and line, empty where several."""

    kind: str
    text: str
    place: str
    source: str
    locator: str
    basis: str


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the pattern. verdict: true, stated-false, unstated."""

    pattern: str
    verdict: str
    grounds: tuple[Ground, ...]


@dataclass(frozen=True, slots=True)
class WhyNot:
    """The whole answer: the pattern's verdict, and that of each of its parts with its grounds."""

    id: str
    name_hans: str
    pinyin: str
    pattern: str
    verdict: str
    parts: tuple[Part, ...]


def why_not(materia: Materia, subject: str, pattern: str) -> WhyNot:
    """Say why the pattern is not true of the subject, or that it is. KeyError: no such subject; PatternError."""
    facts = materia.facts
    parsed = parse(pattern, facts)
    row = row_of(facts, facts.kind(subject), subject)
    parts = tuple(
        Part(str(atom), _verdict(facts, atom, subject), tuple(_grounds(facts, atom, subject)))
        for atom in dict.fromkeys(parsed.atoms())
    )
    verdict = _verdict(facts, parsed, subject)
    return WhyNot(subject, row["name_hans"], row["pinyin"], str(parsed), verdict, parts)


def _verdict(facts: Facts, pattern: Pattern, subject: str) -> str:
    truth, number = match(pattern, facts), facts.number[subject]
    return TRUE if number in truth.true else STATED_FALSE if number in truth.false else UNSTATED


def _grounds(facts: Facts, atom: Atom, subject: str) -> Iterable[Ground]:
    verdict = _verdict(facts, atom, subject)
    if verdict == TRUE:
        yield from (_ground(facts, "states", fact) for fact in supports(atom, subject, facts))
        return
    stated = facts.of(subject, atom.predicate)
    if verdict == STATED_FALSE:
        denying = _denying(facts, atom, subject)
        yield from (_ground(facts, "outside" if fact.stated else "negative", fact) for fact in denying)
        if not denying:
            yield _closed(facts, stated)
        return
    if any(fact.value == atom.predicate for fact in facts.of(subject, "disputed")):
        yield Ground("disputed", "sources disagree on it, so what the list lacks is not a no", "", "", "", "")
    for fact in stated:
        kind = _near(facts, atom, fact)
        if fact.stated and kind:
            yield _ground(facts, kind, fact)


def _denying(facts: Facts, atom: Atom, subject: str) -> list[Fact]:
    says = judge(atom, facts)
    entries = facts.effective_entries[atom.predicate].get(facts.number[subject], ())
    return [facts.fact(subject, entry) for entry in entries if Says.DENIES in says(facts.entries.kind(entry))]


def _near(facts: Facts, atom: Atom, fact: Fact) -> str:
    """How a fact that settles nothing comes near the question: the same under other conditions, or more broadly."""
    asked = set(atom.values)
    terms = facts.vocabularies.get(facts.predicates[atom.predicate].values.name)
    if not asked or terms is None:
        return ""
    if any(fact.value in terms.down(value) for value in asked):
        return "otherwise"
    return "broader" if any(fact.value in terms.up(value) for value in asked) else ""


def _closed(facts: Facts, stated: list[Fact]) -> Ground:
    words = listed(say(facts, fact.predicate, fact.value, fact.qualifiers) for fact in stated)
    if not stated:
        return Ground("closed", "the list on record is complete and does not have it", "", "", "", "")
    first = stated[0]
    return Ground("closed", words, f"{first.file}:{first.line}", first.source, first.locator, first.basis)


def _ground(facts: Facts, kind: str, fact: Fact) -> Ground:
    said = say(facts, fact.predicate, fact.value, fact.qualifiers)
    place = f"{fact.file}:{fact.line}"
    return Ground(kind, said, place, fact.source, fact.locator, fact.basis)
