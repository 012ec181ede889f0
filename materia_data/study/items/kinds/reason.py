"""Which reason goes with a property. Wrong: reasons for such a property that are certainly not true of the medicinal,
because its closed lists lack what they begin with."""

from collections.abc import Mapping, Sequence

from materia_data.check.rules import Rule
from materia_data.facts.match import match
from materia_data.facts.pattern import Atom
from materia_data.study.items.bench import OPTIONS, Bench, claim_of
from materia_data.study.items.item import Claim, Item, Option
from materia_data.teach.explain import Property, Reason, explain

_CLOSED = ("nature", "flavor", "channel")
_ASKS = {
    "nature": "Why is {} {}?",
    "flavor": "Why does {} have the flavor {}?",
    "channel": "Why does {} enter the {} channel?",
}
Frame = tuple[str, str, str]


def frames(bench: Bench) -> Sequence[Frame]:
    """Subject, predicate and value of every stated property."""
    return [
        (subject, predicate, value)
        for subject in bench.subjects
        if bench.facts.kind(subject) == "herbs"
        for predicate in _CLOSED
        for value in bench.facts.values(subject, predicate)
        if value in (bench.closed(subject, predicate) or ())
    ]


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item: the most telling reason, and three that its closed properties rule out."""
    subject, predicate, value = frame
    reason = _best(_explained(bench, subject), predicate, value)
    if reason is None:
        return None
    wrong = _ruled_out(bench, subject, predicate, value)
    chosen, firsts = [], set[Claim]()
    for rule, claim in wrong:
        if claim not in firsts and rule.title != reason.title:
            chosen.append((rule, claim))
            firsts.add(claim)
        if len(chosen) == OPTIONS - 1:
            break
    right_predicate, _, right_value = reason.by[0].partition(" ")
    right = Option(reason.title, True, f"True of {bench.name(subject)}: {reason.because}",
                   claim_of(subject, right_predicate, right_value.split(" ")[0]))  # fmt: skip

    def option(said: tuple[Rule, Claim]) -> Option:
        rule, claim = said
        held = [fact.value for fact in bench.facts.of(subject, claim.predicate)]
        words = ", ".join(bench.label(claim.predicate, one) for one in held)
        why = f"{bench.name(subject)} has {claim.predicate} {words}, and nothing else."
        return Option(rule.title, False, why, claim)

    facts = [*bench.places(subject, predicate, value), *bench.places(subject, right_predicate, right.claim.value)]
    facts += [place for _, claim in chosen for place in bench.places(subject, claim.predicate)]
    stem = _ASKS[predicate].format(bench.name(subject), bench.label(predicate, value))
    stem += " Choose the reason that is true of it."
    hard = 1 - min(1.0, reason.lift / 10)
    return bench.item("reason", stem, right, map(option, chosen), [subject], facts, hard)


def _best(explained: Sequence[Property], predicate: str, value: str) -> Reason | None:
    for item in explained:
        if (item.predicate, item.value) == (predicate, value):
            usable = [one for one in item.reasons if one.by and not one.only_category]
            return usable[0] if usable else None
    return None


def _explained(bench: Bench, subject: str) -> Sequence[Property]:
    known: dict[str, Sequence[Property]] = bench.kept.setdefault("explained", {})
    if not known:
        herbs = [one for one in bench.subjects if bench.facts.kind(one) == "herbs"]
        known |= {one.id: one.properties for one in explain(bench.materia, herbs).subjects}
    return known.get(subject, ())


def _ruled_out(bench: Bench, subject: str, predicate: str, value: str) -> list[tuple[Rule, Claim]]:
    """Rules that give a reason for such a property, each with the closed property that it lacks; those for the very
    value first, in a drawn order."""
    found = []
    for rule, atoms in _speaking(bench).items():
        if rule.explains is None or rule.explains.predicate != predicate:
            continue
        for atom in atoms:
            held = bench.closed(subject, atom.predicate)
            if held and bench.apart(atom.predicate, atom.values[0], held):
                same = value in rule.explains.values
                found.append((same, rule, claim_of(subject, atom.predicate, atom.values[0], False)))
                break
    return [(rule, claim) for _, rule, claim in sorted(found, key=lambda one: (not one[0], bench.chance.random()))]


def _speaking(bench: Bench) -> Mapping[Rule, Sequence[Atom]]:
    """Rules that explain, each with those of its conditions that a closed list can rule out."""
    if "speaking" not in bench.kept:
        found: dict[Rule, list[Atom]] = {}
        for rule, measure in bench.materia.measured:
            if rule.explains is None or not measure.tells or rule.safety:
                continue
            falsifying = [
                atom
                for atom in rule.when.atoms()
                if atom.predicate in _CLOSED
                and atom.test == ":"
                and atom != rule.explains
                and not (match(rule.when, bench.facts).true - match(atom, bench.facts).true)
            ]
            if falsifying:
                found[rule] = falsifying
        bench.kept["speaking"] = found
    speaking: Mapping[Rule, Sequence[Atom]] = bench.kept["speaking"]
    return speaking
