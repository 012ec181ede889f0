"""Why a nature, a flavour, a channel is what it is, and why a caution or a way of cooking: the rules that hold and name
it, without circles."""

from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field
from functools import cache

from materia_data.check.measure import Measure
from materia_data.check.rules import Rule
from materia_data.facts.entries import Kind
from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.facts.match import supporting_kinds
from materia_data.facts.pattern import Atom
from materia_data.materia import Materia
from materia_data.teach.words import cell, say

PROPERTIES = ("nature", "flavor", "channel")
INSTRUCTIONS = ("caution", "handling")
_CATEGORY = frozenset({"category", "subgroup"})


@dataclass(frozen=True, slots=True)
class Reason:
    """A rule that holds and names the value; by: the facts it rests on, as `predicate value`."""

    rule: str
    title: str
    because: str
    measure: str
    base: str
    lift: float
    source: str
    basis: str
    by: tuple[str, ...]
    only_category: bool


@dataclass(frozen=True, slots=True)
class Property:
    """One value of one subject, and why.

    verdict: explained, excepted, together (explained only by what it explains itself), or unexplained.
    """

    predicate: str
    value: str
    label: str
    verdict: str
    reasons: tuple[Reason, ...]
    exception: str
    source: str
    basis: str


@dataclass(frozen=True, slots=True)
class Instruction:
    """One caution or one way of cooking and taking, and why: the row's own reason, and the rules that ask for it.

    label: in words; topic, target: of a caution; purpose, force: of a handling; inherited_from: the herb it comes from.
    """

    predicate: str
    value: str
    label: str
    topic: str
    target: str
    purpose: str
    force: str
    reason: str
    reasons: tuple[Reason, ...]
    exception: str
    source: str
    basis: str
    inherited_from: str


@dataclass(frozen=True, slots=True, eq=False)
class _Telling:
    """A rule that may explain: what it explains and what its other positive atoms need, by subject number, and what it
    says, but for the facts it rests on."""

    explains: "Stating"
    others: "tuple[Stating, ...]"
    says: Reason


@dataclass(frozen=True, slots=True)
class Explained:
    """A subject with its properties, in the order nature, flavours, channels, then its cautions and ways of cooking."""

    id: str
    name_hans: str
    pinyin: str
    category: str
    properties: tuple[Property, ...]
    instructions: tuple[Instruction, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """Counts over all properties asked about: explained + excepted + together + unexplained = properties;
    only_category: explained by no rule
    but those that read nothing else than the category or group; instructions, reasoned: how many cautions and ways of
    cooking were asked about, and for how many of them a reason is on record."""

    properties: int
    explained: int
    excepted: int
    together: int
    unexplained: int
    only_category: int
    instructions: int
    reasoned: int
    subjects: tuple[Explained, ...] = field(default=())


def explain(materia: Materia, subjects: str | Sequence[str]) -> Explanation:
    """Explain a subject, or several: every effective nature, flavour and channel of each. KeyError: no such subject."""
    return _explain(materia, [subjects] if isinstance(subjects, str) else subjects, own_only=False)


def explain_all(materia: Materia) -> Explanation:
    """Explain every herb, and of every form the values that its own row states."""
    facts = materia.facts
    return _explain(
        materia, [subject for subject in facts.subjects if facts.kind(subject) != "formulas"], own_only=True
    )


def _explain(materia: Materia, subjects: Sequence[str], *, own_only: bool) -> Explanation:
    facts = materia.facts
    stating = cache(lambda atom: _stating(atom, facts))
    telling = _telling(materia.measured, {facts.number[subject] for subject in subjects}, stating)
    excepted = _exceptions(materia, {rule.id: rule for rule, _ in materia.measured}, stating)
    done = []
    for subject in subjects:
        number = facts.number[subject]
        reasons, together = _reasons(number, telling.get(number, ()))
        properties = _properties(subject, facts, reasons, together, excepted.get(subject, {}), own_only)
        instructions = _instructions(subject, facts, reasons, excepted.get(subject, {}), own_only)
        if properties or instructions or not own_only:
            done.append(Explained(subject, *_naming(subject, facts), properties, instructions))
    everything = [item for one in done for item in one.properties]
    asked = [item for one in done for item in one.instructions]

    def count(verdict: str) -> int:
        return sum(item.verdict == verdict for item in everything)

    weak = sum(
        item.verdict == "explained" and all(reason.only_category for reason in item.reasons) for item in everything
    )
    return Explanation(
        len(everything),
        count("explained"),
        count("excepted"),
        count("together"),
        count("unexplained"),
        weak,
        len(asked),
        sum(bool(item.reason or item.reasons or item.exception) for item in asked),
        tuple(done),
    )


def _telling(
    measured: Sequence[tuple[Rule, Measure]], asked: Set[int], stating: "Callable[[Atom], Stating]"
) -> dict[int, list[_Telling]]:
    """For each subject number the rules that hold of it and may explain something.

    A rule without `explains` gives a reason for each caution and handling that it expects.
    """
    found: dict[int, list[_Telling]] = {}
    for rule, measure in measured:
        numbers = measure.holds & asked
        if not numbers or not measure.tells:
            continue
        atoms = (*rule.when.atoms(), *rule.expect.atoms())
        named = [rule.explains] if rule.explains else [a for a in rule.expect.atoms() if a.predicate in INSTRUCTIONS]
        says = _reason(rule, measure)
        for explains in named:
            one = _Telling(stating(explains), tuple(stating(atom) for atom in atoms if atom != explains), says)
            for number in numbers:
                found.setdefault(number, []).append(one)
    return found


def _properties(
    subject: str,
    facts: Facts,
    reasons: "Found",
    together: set["Key"],
    excepted: Mapping["Key", str],
    own_only: bool,
) -> tuple[Property, ...]:
    found = []
    for predicate in PROPERTIES:
        vocabulary = facts.vocabularies[facts.predicates[predicate].values.name]
        for fact in _asked(subject, predicate, facts, own_only):
            key = _key(fact)
            why = _in_order(reasons.get(key, ()))
            exception = "" if why else excepted.get(key, "")
            verdict = (
                "explained" if why else "excepted" if exception else "together" if key in together else "unexplained"
            )
            label = vocabulary.label(fact.value)
            found.append(Property(predicate, fact.value, label, verdict, why, exception, fact.source, fact.basis))
    return tuple(found)


def _instructions(
    subject: str, facts: Facts, reasons: "Found", excepted: Mapping["Key", str], own_only: bool
) -> tuple[Instruction, ...]:
    found = []
    for predicate in INSTRUCTIONS:
        for fact in _asked(subject, predicate, facts, own_only):
            asked = dict(fact.qualifiers)
            why = _in_order(reasons.get(_key(fact), ()))
            found.append(
                Instruction(
                    predicate,
                    fact.value,
                    say(facts, predicate, fact.value, fact.qualifiers),
                    asked.get("topic", ""),
                    asked.get("target", ""),
                    asked.get("purpose", ""),
                    asked.get("force", ""),
                    cell(facts, fact, "reason"),
                    why,
                    "" if why else excepted.get(_key(fact), ""),
                    fact.source,
                    fact.basis,
                    fact.inherited_from,
                )
            )
    return tuple(found)


def _asked(subject: str, predicate: str, facts: Facts, own_only: bool) -> list[Fact]:
    found = facts.own(subject, predicate) if own_only else facts.of(subject, predicate)
    return [fact for fact in found if fact.stated and fact.confirmed]


def _in_order(found: "Iterable[tuple[_Telling, Grounds]]") -> tuple[Reason, ...]:
    """What tells most first: any reason before one that reads nothing but the category, then by lift, then by how much
    it rests on. A rule that reads its value in several places speaks once."""
    reasons = {one.says.rule: _resting(one.says, by) for one, by in found}
    return tuple(
        sorted(reasons.values(), key=lambda reason: (reason.only_category, -reason.lift, -len(reason.by), reason.rule))
    )


Key = tuple[str, ...]
Stating = Mapping[int, list[Key]]
Body = list[list[Key]]
Named = Mapping[Key, list[tuple[_Telling, Body]]]
Grounds = list[Key]
Found = dict[Key, list[tuple[_Telling, Grounds]]]


def _reasons(number: int, holding: Sequence[_Telling]) -> tuple[Found, set[Key]]:
    """The reasons that hold of each fact, and the facts that only circles explain.

    A fact that no holding rule names is given. A reason counts if each of the rule's other positive atoms has a fact
    that is given, or explained without resting on what is to be explained.
    """
    named: dict[Key, list[tuple[_Telling, Body]]] = {}
    for one in holding:
        body = [stating.get(number, []) for stating in one.others]
        for key in one.explains.get(number, ()):
            naming = named.setdefault(key, [])
            if all(body):
                naming.append((one, body))
    reasons: Found = {}
    none: frozenset[Key] = frozenset()
    given = {key: [_grounds(body, key, none, named) for _, body in naming] for key, naming in named.items()}
    soon = {key for key, found in given.items() if any(grounds is not None for grounds in found)}
    for key, naming in named.items():
        known: set[Key] | None = None
        for (one, body), grounds in zip(naming, given[key], strict=True):
            if grounds is None:
                known = _known_without(key, soon - {key}, named) if known is None else known
                grounds = _grounds(body, key, known, named)
            if grounds is not None:
                reasons.setdefault(key, []).append((one, grounds))
    return reasons, {key for key in named if key not in reasons}


def _key(fact: Fact | Kind) -> Key:
    """What one fact is told from another by: predicate and value, of an instruction also what it is about."""
    if fact.predicate not in INSTRUCTIONS:
        return fact.predicate, fact.value
    return fact.predicate, fact.value, *(f"{key}:{value}" for key, value in fact.qualifiers if key != "force")


def _stating(atom: Atom, facts: Facts) -> Stating:
    """By subject number what makes the atom true of it."""
    key = cache(lambda kind: _key(facts.entries.kinds[kind]))
    return {
        number: [key(kinds[0])] if len(kinds) == 1 else list(dict.fromkeys(map(key, kinds)))
        for number, kinds in supporting_kinds(atom, facts).items()
    }


def _known_without(barred: Key, known: set[Key], named: Named) -> set[Key]:
    """The named facts that can be explained with no use of the barred one, beginning with those known, repeated until
    nothing changes."""
    known = set(known)
    left = {key: naming for key, naming in named.items() if naming and key != barred and key not in known}
    while True:
        more = {
            key
            for key, naming in left.items()
            if any(_grounds(body, barred, known, named) is not None for _, body in naming)
        }
        if not more:
            return known
        known |= more
        left = {key: naming for key, naming in left.items() if key not in more}


def _grounds(body: Body, barred: Key, known: Set[Key], named: Named) -> Grounds | None:
    """For each other atom one fact that is given or known; None where one is missing."""
    chosen = []
    for keys in body:
        for key in keys:
            if key != barred and (key not in named or key in known):
                chosen.append(key)
                break
        else:
            return None
    return chosen


def _reason(rule: Rule, measured: Measure) -> Reason:
    source = f"{rule.source}, {rule.locator}".rstrip(", ")
    return Reason(
        rule.id,
        rule.title,
        rule.because,
        measured.sentence,
        measured.base_sentence,
        round(measured.lift, 2),
        source,
        rule.basis,
        (),
        rule.when.predicates() <= _CATEGORY,
    )


def _resting(said: Reason, grounds: "Grounds") -> Reason:
    """The reason, resting on these facts."""
    by = tuple(dict.fromkeys(map(" ".join, grounds)))
    return Reason(
        said.rule, said.title, said.because, said.measure, said.base, said.lift, said.source, said.basis, by,
        said.only_category,
    )  # fmt: skip


def _exceptions(
    materia: Materia, rules: Mapping[str, Rule], stating: Callable[[Atom], Stating]
) -> dict[str, dict[Key, str]]:
    """For each subject the values excepted from a rule whose `explains` names them, with the reason."""
    table = materia.package.tables["exceptions"]
    found: dict[str, dict[Key, str]] = {}
    for index, name in enumerate(table.columns["rule"]):
        rule = rules.get(name)
        subject = table.columns["subject"][index]
        if rule is None or rule.explains is None or subject not in materia.facts.number:
            continue
        value = table.columns["value"][index]
        for key in stating(rule.explains).get(materia.facts.number[subject], ()):
            if value in ("", key[1]):
                found.setdefault(subject, {})[key] = f"{rule.title}: {table.columns['reason'][index]}"
    return found


def _naming(subject: str, facts: Facts) -> tuple[str, str, str]:
    """Name, reading, and the category of the subject or, for a form, none of its own."""
    table = facts.package.tables[facts.kind(subject)]
    row = table.row(table.rows_of("id")[subject][0])
    return row["name_hans"], row["pinyin"], row.get("category", "")
