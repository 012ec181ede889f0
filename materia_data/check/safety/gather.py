"""The compared set of a package: effective safety facts, safety rules and exceptions to them, and terms they read."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from typing import NamedTuple

from materia_data.check.registry import checks
from materia_data.check.rules import Rule, read_rules
from materia_data.check.safety.change import joined
from materia_data.facts.facts import Facts
from materia_data.facts.pattern import Atom, Not, StatesNot
from materia_data.facts.predicates import Predicate, predicates
from materia_data.facts.vocabulary import Vocabulary
from materia_data.materia import Materia
from materia_data.problem import Problem

TERM_COLUMNS = ("broader", "rank", "implied_cause", "implied_site", "topic", "kind")
COVERING = (("caution", "target"), ("control", "taxon"))
"""Qualifiers of which a broad term covers the narrower ones."""


class Held(NamedTuple):
    """A fact of a subject. required: false for handling (and its minutes) that is only usual or optional."""

    value: str
    qualifiers: tuple[tuple[str, str], ...]
    entry: int
    required: bool = True

    def get(self, key: str) -> str:
        """The qualifier's value, or the empty string."""
        for held, value in self.qualifiers:
            if held == key:
                return value
        return ""


Holding = Mapping[str, Sequence[Held]]
"""The facts of one subject by predicate."""


class Excepted(NamedTuple):
    """An exception to a safety rule: who is excepted from which, at what value, and its row."""

    rule: str
    subject: str
    value: str
    row: int


@dataclass(eq=False)
class SafetySet:
    """The compared set. `of` gives a subject's facts by predicate; rules and exceptions are those about safety."""

    facts: Facts
    rules: Mapping[str, Rule]
    other_rules: Mapping[str, Rule]
    rule_problems: tuple[Problem, ...]

    def of(self, subject: str) -> dict[str, list[Held]]:
        """Effective facts of every predicate in the set, and `dose-min`, which tells that a row still gives a dose."""
        number = self.facts.number[subject]
        found: dict[str, list[Held]] = {}
        for name in (*safety_predicates(), "dose-min"):
            entries = self.facts.effective_entries[name].get(number)
            if entries and (held := [each for entry in entries if (each := self.held(name, entry)) is not None]):
                found[name] = held
        return found

    def held(self, name: str, entry: int) -> Held | None:
        """The entry as a fact of the set; None for a trait that is no constituent."""
        predicate, kind = self.facts.predicates[name], self.facts.entries.kind(entry)
        if predicate.safety == "constituents" and not self.constituent(kind.value):
            return None
        if not predicate.required:
            return Held(kind.value, kind.qualifiers, entry)
        table, row, _ = self.facts.entries.place(entry)
        required = all(table.columns[column][row] == cell for column, cell in predicate.required.items())
        return Held(kind.value, kind.qualifiers, entry, required)

    def constituent(self, trait: str) -> bool:
        """Whether the trait is a constituent that carries a caution."""
        predicate = self.facts.predicates["trait"]
        terms = self.facts.vocabularies[predicate.values.name]
        return any(terms.cell(trait, column) == cell for column, cell in predicate.constituents.items())

    @cached_property
    def exceptions(self) -> tuple[Excepted, ...]:
        """The exceptions to safety rules and to safety checks written in Python, in row order."""
        declared = checks()
        table = self.facts.package.tables["exceptions"]
        rows = zip(*(table.columns[column] for column in ("rule", "subject", "value")), strict=True)
        return tuple(
            Excepted(rule, subject, value, row)
            for row, (rule, subject, value) in enumerate(rows)
            if rule in self.rules or (rule in declared and declared[rule].safety)
        )

    @cached_property
    def named(self) -> Mapping[str, frozenset[str]]:
        """By vocabulary the terms that effective safety facts name, as value or qualifier."""
        found: dict[str, set[str]] = {}
        for name, predicate in safety_predicates().items():
            for number in self.facts.by_kind(name):
                kind = self.facts.entries.kinds[number]
                if predicate.safety == "constituents" and not self.constituent(kind.value):
                    continue
                if predicate.values.kind == "terms":
                    found.setdefault(predicate.values.name, set()).add(kind.value)
                for key, value in kind.qualifiers:
                    if predicate.asked[key].kind == "terms":
                        found.setdefault(predicate.asked[key].name, set()).add(value)
        return {name: frozenset(terms) for name, terms in found.items()}

    @cached_property
    def digest(self) -> str:
        """SHA-256 over the set as sorted lines of text, 64 hex digits: the same wherever the rows stand."""
        return sha256("\n".join(sorted(self._lines())).encode("utf-8", "surrogatepass")).hexdigest()

    def _lines(self) -> Iterator[str]:
        for subject in self.facts.subjects:
            for name, held in self.of(subject).items():
                if name != "dose-min":
                    yield from (
                        _line("fact", subject, name, each.value, joined(each.qualifiers))
                        for each in held
                        if each.required
                    )
        for rule in self.rules.values():
            yield _line("rule", rule.id, rule.strength, ";".join(sorted(rule.over)), str(rule.when), str(rule.expect))
        for rule_id, subject, value, _ in self.exceptions:
            yield _line("exception", rule_id, subject, value)
        for name, terms in self._read().items():
            if name not in self.facts.package.tables:
                continue
            table = self.facts.package.tables[name]
            rows = table.rows_of("id")
            for term in terms & rows.keys():
                cells = [table.columns[column][rows[term][0]] for column in TERM_COLUMNS if column in table.columns]
                yield _line("term", name, term, *cells)

    def _read(self) -> Mapping[str, frozenset[str]]:
        """By vocabulary what facts and rules read: terms named, broader, and narrower where a broad one covers them."""
        found = {name: set(terms) for name, terms in self.named.items()}
        for predicate, key in COVERING:
            words = self.facts.predicates[predicate].asked[key]
            found[words.name] = _reached(found.get(words.name, set()), self.facts.vocabularies[words.name])
        for rule in self.rules.values():
            for atom in _atoms(rule):
                predicate_ = self.facts.predicates[atom.predicate]
                if predicate_.values.kind == "terms":
                    asked = atom.values_within(self.facts)
                    words = predicate_.values
                    found.setdefault(words.name, set()).update(_reached(asked, self.facts.vocabularies[words.name]))
                for qualifier in atom.qualifiers:
                    words = predicate_.asked[qualifier.key]
                    reached = _reached((qualifier.value,), self.facts.vocabularies[words.name])
                    found.setdefault(words.name, set()).update(reached)
        return {
            name: frozenset(above for term in terms for above in self.facts.vocabularies[name].up(term))
            for name, terms in found.items()
        }


def safety_facts(materia: Materia) -> SafetySet:
    """The compared set of a package. Whatever its cells and rules hold, this returns."""
    facts = materia.facts
    rules, problems = read_rules(materia.package, facts)
    return SafetySet(
        facts,
        {rule.id: rule for rule in rules if rule.safety},
        {rule.id: rule for rule in rules if not rule.safety},
        tuple(problems),
    )


def safety_digest(materia: Materia) -> str:
    """The digest of the package's compared set, 64 hex digits."""
    return safety_facts(materia).digest


def safety_predicates() -> Mapping[str, Predicate]:
    """The predicates whose facts are compared, in the declared order."""
    return {name: predicate for name, predicate in predicates().items() if predicate.safety != "no"}


def _atoms(rule: Rule) -> Iterator[Atom]:
    waiting = [rule.when, rule.expect]
    while waiting:
        pattern = waiting.pop()
        if isinstance(pattern, Atom):
            yield pattern
        elif isinstance(pattern, Not | StatesNot):
            waiting.append(pattern.part)
        else:
            waiting += getattr(pattern, "parts", ())


def _reached(terms: "set[str] | tuple[str, ...]", vocabulary: Vocabulary) -> set[str]:
    return {below for term in terms for below in vocabulary.down(term)}


def _line(*parts: str) -> str:
    return "\t".join(parts)
