"""Why a nature, a flavour, a channel is what it is: the rules that hold and name it, without circles."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from materia_data.check.measure import Measure, measure_all
from materia_data.check.rules import Rule, read_rules
from materia_data.facts.facts import Facts
from materia_data.facts.match import supporting_values
from materia_data.facts.pattern import Atom
from materia_data.materia import Materia

PROPERTIES = ("nature", "flavor", "channel")
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
class _Telling:
    """A rule that may explain, the atom it explains, its other positive atoms, and its measure."""

    rule: Rule
    explains: Atom
    others: tuple[Atom, ...]
    measured: Measure


@dataclass(frozen=True, slots=True)
class Explained:
    """A subject with its properties, in the order nature, flavours, channels."""

    id: str
    name_hans: str
    pinyin: str
    category: str
    properties: tuple[Property, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """Counts over all properties asked about: explained + excepted + together + unexplained = properties;
    only_category: explained by no rule
    but those that read nothing else than the category or group."""

    properties: int
    explained: int
    excepted: int
    together: int
    unexplained: int
    only_category: int
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
    rules, _ = read_rules(materia.package, facts)
    telling = list(_telling(rules, measure_all(rules, facts)))
    excepted = _exceptions(materia, {rule.id: rule for rule in rules})
    done = []
    for subject in subjects:
        properties = _properties(subject, facts, telling, excepted.get(subject, {}), own_only)
        if properties or not own_only:
            done.append(Explained(subject, *_naming(subject, facts), properties))
    everything = [item for one in done for item in one.properties]

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
        tuple(done),
    )


def _telling(rules: Sequence[Rule], measures: Sequence[Measure]) -> Iterator[_Telling]:
    for rule, measured in zip(rules, measures, strict=True):
        if rule.explains is not None and measured.tells:
            others = (atom for atom in (*rule.when.atoms(), *rule.expect.atoms()) if atom != rule.explains)
            yield _Telling(rule, rule.explains, tuple(others), measured)


def _properties(
    subject: str,
    facts: Facts,
    telling: Sequence[_Telling],
    excepted: Mapping[tuple[str, str], str],
    own_only: bool,
) -> tuple[Property, ...]:
    number = facts.number[subject]
    reasons, together = _reasons(subject, [one for one in telling if number in one.measured.holds], facts)
    found = []
    for predicate in PROPERTIES:
        for fact in facts.of(subject, predicate):
            if not fact.stated or (own_only and fact.inherited_from):
                continue
            key = (predicate, fact.value)
            why = sorted(
                (_reason(one.rule, by, one.measured) for one, by in reasons.get(key, ())),
                key=lambda reason: (reason.only_category, -reason.lift, -len(reason.by), reason.rule),
            )
            exception = "" if why else excepted.get(key, "")
            verdict = (
                "explained" if why else "excepted" if exception else "together" if key in together else "unexplained"
            )
            label = facts.vocabularies[facts.predicates[predicate].values.name].label(fact.value)
            found.append(
                Property(predicate, fact.value, label, verdict, tuple(why), exception, fact.source, fact.basis)
            )
    return tuple(found)


Key = tuple[str, str]
Body = list[list[Key]]


def _reasons(
    subject: str, holding: Sequence[_Telling], facts: Facts
) -> tuple[dict[Key, list[tuple[_Telling, tuple[str, ...]]]], set[Key]]:
    """The reasons that hold of each fact, and the facts that only circles explain.

    A fact that no holding rule names is given. A reason counts if each of the rule's other positive atoms has a fact
    that is given, or explained without resting on what is to be explained.
    """
    named: dict[Key, list[_Telling]] = {}
    bodies: dict[str, Body] = {}
    for one in holding:
        for key in _keys(one.explains, subject, facts):
            named.setdefault(key, []).append(one)
        bodies[one.rule.id] = [_keys(atom, subject, facts) for atom in one.others]
    reasons: dict[Key, list[tuple[_Telling, tuple[str, ...]]]] = {}
    for key, naming in named.items():
        known = _known_without(key, named, bodies)
        for one in naming:
            grounds = _grounds(bodies[one.rule.id], key, known, named)
            if grounds is not None:
                reasons.setdefault(key, []).append((one, grounds))
    return reasons, {key for key in named if key not in reasons}


def _keys(atom: Atom, subject: str, facts: Facts) -> list[Key]:
    return [(atom.predicate, value) for value in supporting_values(atom, subject, facts)]


def _known_without(barred: Key, named: Mapping[Key, Sequence[_Telling]], bodies: Mapping[str, Body]) -> set[Key]:
    """The named facts that can be explained from given ones with no use of the barred one, repeated until nothing
    changes."""
    known: set[Key] = set()
    while True:
        more = {
            key
            for key, naming in named.items()
            if key != barred
            and key not in known
            and any(_grounds(bodies[one.rule.id], barred, known, named) is not None for one in naming)
        }
        if not more:
            return known
        known |= more


def _grounds(body: Body, barred: Key, known: set[Key], named: Mapping[Key, object]) -> tuple[str, ...] | None:
    """For each other atom one fact that is given or known; None where one is missing."""
    chosen = []
    for keys in body:
        key = next((key for key in keys if key != barred and (key not in named or key in known)), None)
        if key is None:
            return None
        chosen.append(f"{key[0]} {key[1]}")
    return tuple(dict.fromkeys(chosen))


def _reason(rule: Rule, by: tuple[str, ...], measured: Measure) -> Reason:
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
        by,
        rule.when.predicates() <= _CATEGORY,
    )


def _exceptions(materia: Materia, rules: Mapping[str, Rule]) -> dict[str, dict[Key, str]]:
    """For each subject the values excepted from a rule whose `explains` names them, with the reason."""
    table = materia.package.tables["exceptions"]
    found: dict[str, dict[Key, str]] = {}
    for index, name in enumerate(table.columns["rule"]):
        rule = rules.get(name)
        subject = table.columns["subject"][index]
        if rule is None or rule.explains is None or subject not in materia.facts.number:
            continue
        value = table.columns["value"][index]
        for key in _keys(rule.explains, subject, materia.facts):
            if value in ("", key[1]):
                found.setdefault(subject, {})[key] = f"{rule.title}: {table.columns['reason'][index]}"
    return found


def _naming(subject: str, facts: Facts) -> tuple[str, str, str]:
    """Name, reading, and the category of the subject or, for a form, none of its own."""
    table = facts.package.tables[facts.kind(subject)]
    row = table.row(table.rows_of("id")[subject][0])
    return row["name_hans"], row["pinyin"], row.get("category", "")
