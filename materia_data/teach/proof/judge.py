"""A claim against the data: contradicted, something of safety left out, in keeping, or not to be judged."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.facts.match import match, supports
from materia_data.facts.pattern import Atom, Qualifier
from materia_data.teach.proof.claim import Claim
from materia_data.teach.proof.mentions import Mention

_STATES = ("none-stated", "caution", "avoid", "contraindicated")
_OUTSIDE = ("external", "enema", "inhaled")
_POT = ("decoct-first", "wrap", "melt", "dissolve")
_OUT_OF_POT = ("not-decocted", "pills-powder-only")
_EITHER = {
    "decoct-first": ("ahead",),
    "melt": ("melt", "dissolve", "separate"),
    "dissolve": ("melt", "dissolve", "take-powder"),
}
_BROAD = {"cold": ("very-cold", "cold", "slightly-cold", "cool"), "warm": ("slightly-warm", "warm", "hot", "very-hot")}
_LONG = 30.0
_LATEST = 20.0


@dataclass(frozen=True, slots=True)
class Verdict:
    """kind: contradiction, omission, or kept (the data say so too); subject: of whom; fact: that decides."""

    kind: str
    subject: str
    fact: Fact


def judge(facts: Facts, claim: Claim) -> list[Verdict]:
    """What the data say to the claim; nothing where they don't say. A name that may mean several is held against only
    what holds of each."""
    if claim.kind == "together":
        return list(_together(facts, claim))
    found = []
    for mention in claim.subjects:
        if mention.changed:
            continue
        verdicts = [_one(facts, claim, subject) for subject in mention.subjects if facts.kind(subject) != "formulas"]
        kinds = {verdict.kind if verdict else "" for verdict in verdicts}
        if len(kinds) == 1 and verdicts and verdicts[0]:
            found.append(verdicts[0])
        elif kinds == {"contradiction", "omission"}:
            found.append(next(verdict for verdict in verdicts if verdict))
    return found


def _one(facts: Facts, claim: Claim, subject: str) -> Verdict | None:
    match claim.kind:
        case "nature":
            return _nature(facts, claim, subject)
        case "flavor" | "channel":
            return _listed(facts, claim, subject)
        case "toxicity" | "harmless":
            return _toxicity(facts, claim, subject)
        case "action":
            return _action(facts, claim, subject)
        case "allowed":
            return _allowed(facts, claim, subject)
        case "dose":
            return _dose(facts, claim, subject)
        case "spared" | "late" | "early" | "decocted" | "cooked":
            return _cooking(facts, claim, subject)
        case "swallowed":
            return _swallowed(facts, claim, subject)
    return None


def _nature(facts: Facts, claim: Claim, subject: str) -> Verdict | None:
    held = facts.of(subject, "nature")
    if len(held) != 1 or held[0].inherited_from or not _closed(facts, subject, "nature"):
        return None
    said, stated = claim.value, held[0].value
    near = abs(_rank(facts, said) - _rank(facts, stated)) < 2 and _side(facts, said) == _side(facts, stated)
    alike = stated == said or stated in _BROAD.get(said, ()) or near
    if claim.stated and not alike and _cited(facts, held[0], {said, *_BROAD.get(said, ())}):
        return None
    if claim.stated:
        return Verdict("kept" if alike else "contradiction", subject, held[0])
    same = stated == said or stated in _BROAD.get(said, ())
    return Verdict("contradiction" if same else "kept", subject, held[0])


def _rank(facts: Facts, nature: str) -> float:
    return facts.vocabularies["natures"].rank(nature) or 0.0


def _side(facts: Facts, nature: str) -> int:
    neutral = _rank(facts, "neutral")
    return (_rank(facts, nature) > neutral) - (_rank(facts, nature) < neutral)


def _closed(facts: Facts, subject: str, predicate: str) -> bool:
    return facts.number[subject] in facts.closed[predicate]


def _listed(facts: Facts, claim: Claim, subject: str) -> Verdict | None:
    held = facts.of(subject, claim.kind)
    if not held or held[0].inherited_from or not _closed(facts, subject, claim.kind):
        return None
    terms = facts.vocabularies["flavors" if claim.kind == "flavor" else "channels"]
    near = terms.up(claim.value) | terms.down(claim.value)
    having = next((fact for fact in held if fact.value in near), None)
    if claim.stated and not having and _cited(facts, held[0], near):
        return None
    if claim.stated:
        return Verdict("kept", subject, having) if having else Verdict("contradiction", subject, held[0])
    if having is None:
        return Verdict("kept", subject, held[0])
    return Verdict("contradiction", subject, having) if having.value in terms.down(claim.value) else None


def _cited(facts: Facts, fact: Fact, values: Iterable[str]) -> bool:
    """Whether some source cited beside the fact's cell, a classic too, states one of the values: then they differ, and
    nobody is wrong who follows it."""
    table = facts.package.tables["citations"]
    rows = map(table.row, table.rows_of("record").get(fact.inherited_from or fact.subject, ()))
    cited = (row["stated"] for row in rows if (row["about_table"], row["column"]) == (fact.table, fact.column))
    return not set(values).isdisjoint(value for stated in cited for value in stated.split(";"))


def _toxicity(facts: Facts, claim: Claim, subject: str) -> Verdict | None:
    held = next((fact for fact in facts.of(subject, "toxicity") if fact.value != "unmarked"), None)
    if held is None:
        return None
    said = "none" if claim.kind == "harmless" else claim.value
    if not claim.stated:
        if said == "none":
            return Verdict("contradiction" if held.value == "none" else "kept", subject, held)
        if said == "toxic":
            return Verdict("kept" if held.value == "none" else "contradiction", subject, held)
        return Verdict("contradiction", subject, held) if said == held.value else None
    if said == "toxic" and held.value in ("slight", "very-toxic"):
        return Verdict("kept", subject, held)
    return Verdict("kept" if said == held.value else "contradiction", subject, held)


def _action(facts: Facts, claim: Claim, subject: str) -> Verdict | None:
    atom = Atom("action", ":", (claim.value,))
    having = supports(atom, subject, facts)
    if claim.stated:
        if having:
            return Verdict("kept", subject, having[0])
        if facts.number[subject] not in match(atom, facts).false:
            return None
        broader = facts.vocabularies["actions"].up(claim.value)
        denied = [fact for fact in facts.of(subject, "action") if not fact.stated and fact.value in broader]
        whole = [fact for fact in denied if not {"site", "cause"} & dict(fact.qualifiers).keys()]
        return Verdict("contradiction", subject, whole[0]) if whole else None
    if having:
        firm = [fact for fact in having if dict(fact.qualifiers).get("weight") != "minor"]
        return Verdict("contradiction", subject, firm[0]) if firm else None
    denied = [fact for fact in facts.of(subject, "action") if not fact.stated and fact.value == claim.value]
    return Verdict("kept", subject, denied[0]) if denied else None


def _allowed(facts: Facts, claim: Claim, subject: str) -> Verdict | None:
    key = "topic" if claim.value in set(facts.vocabularies["topics"]) else "target"
    asked = Atom("caution", "any", qualifiers=(Qualifier(key, ":", claim.value),))
    met = [fact for fact in supports(asked, subject, facts) if key == "target" or "target" not in dict(fact.qualifiers)]
    if not met:
        return None
    worst = max(met, key=lambda fact: _STATES.index(fact.value) if fact.value in _STATES else 0)
    if worst.value in ("avoid", "contraindicated"):
        return Verdict("contradiction", subject, worst)
    if worst.value == "caution" and not claim.careful:
        return Verdict("omission", subject, worst)
    return Verdict("kept", subject, worst)


def _together(facts: Facts, claim: Claim) -> Iterator[Verdict]:
    for one, other in combinations(claim.subjects, 2):
        pairs = [(a, b) for a in one.subjects for b in other.subjects]
        found = [_opposed(facts, a, b) for a, b in pairs]
        if found and all(found) and found[0] is not None:
            kind = "contradiction" if claim.value == "allowed" else "omission"
            yield Verdict(kind, found[0].subject, found[0])
            a, b = pairs[0]
            if back := _opposed(facts, b, a):
                yield Verdict(kind, b, back)


def _opposed(facts: Facts, a: str, b: str) -> Fact | None:
    for fact in facts.of(a, "opposes"):
        if (
            fact.stated
            and facts.herb_of(b) in (fact.value, facts.herb_of(fact.value))
            and (dict(fact.qualifiers).get("state") in ("avoid", "contraindicated"))
        ):
            return fact
    return None


def _dose(facts: Facts, claim: Claim, subject: str) -> Verdict | None:
    subjects = dict.fromkeys((subject, facts.default_form(subject)))
    most = list(_doses(facts, subjects, "dose-max", claim.value)) or list(_doses(facts, subjects, "dose-max", ""))
    if not most or claim.amount is None:
        return None
    ceiling, fact = max(most, key=lambda pair: pair[0])
    if claim.amount > ceiling:
        return Verdict("contradiction", subject, fact)
    least = list(_doses(facts, subjects, "dose-min", ""))
    if claim.low is not None and least and claim.amount < min(least, key=lambda pair: pair[0])[0]:
        return Verdict("contradiction", subject, min(least, key=lambda pair: pair[0])[1])
    return Verdict("kept", subject, fact)


def _doses(facts: Facts, subjects: Iterable[str], predicate: str, route: str) -> Iterator[tuple[float, Fact]]:
    for subject in subjects:
        for fact in facts.of(subject, predicate):
            asked = dict(fact.qualifiers)
            by = asked.get("route") == route if route else asked.get("route") not in _OUTSIDE
            if by and asked.get("population") == "adult" and fact.value.replace(".", "", 1).isdigit():
                yield float(fact.value), fact


def _cooking(facts: Facts, claim: Claim, subject: str) -> Verdict | None:
    required = _required(facts, subject)
    if claim.kind == "spared":
        fact = required.get(claim.value)
        return Verdict("contradiction", subject, fact) if fact else None
    if claim.kind == "late":
        fact = required.get("decoct-first")
        return Verdict("omission", subject, fact) if fact else None
    if claim.kind == "early":
        fact = required.get("add-late")
        return Verdict("contradiction", subject, fact) if fact else None
    if claim.kind == "decocted":
        out = next((required[way] for way in _OUT_OF_POT if way in required), None)
        fact = required.get("decoct-first")
        return Verdict("contradiction", subject, out) if out else Verdict("omission", subject, fact) if fact else None
    for way in _OUT_OF_POT:
        if way in required and not set(claim.handled) & {"not-decocted", "take-powder", "dissolve", "melt", "separate"}:
            return Verdict("contradiction", subject, required[way])
    late = required.get("add-late")
    if late and "add-late" not in claim.handled and ((claim.amount or 0) >= _LATEST or "decoct-first" in claim.handled):
        return Verdict("omission", subject, late)
    for way in _POT:
        if way not in required:
            continue
        if set(claim.handled) & {way, *_EITHER.get(way, ())}:
            return Verdict("kept", subject, required[way])
        if (
            way == "decoct-first"
            and (claim.careful or (claim.amount or 0) >= _least(facts, subject))
            and (claim.amount is None or claim.amount >= _least(facts, subject))
        ):
            return Verdict("kept", subject, required[way])
        return Verdict("omission", subject, required[way])
    return None


def _required(facts: Facts, subject: str) -> dict[str, Fact]:
    found: dict[str, Fact] = {}
    for one in dict.fromkeys((subject, facts.default_form(subject))):
        for fact in facts.of(one, "handling"):
            asked = dict(fact.qualifiers)
            if asked.get("force") == "required" and "purpose" not in asked and fact.stated:
                found.setdefault(fact.value, fact)
    return found


def _least(facts: Facts, subject: str) -> float:
    """Minutes of the shortest boiling on record; thirty where none is (common practice, no source)."""
    known = [float(fact.value) for fact in facts.of(subject, "minutes-min") if fact.value.isdigit()]
    return max(known, default=_LONG)


def _swallowed(facts: Facts, claim: Claim, subject: str) -> Verdict | None:
    for fact in facts.of(subject, "caution"):
        if ("topic", "internal-use") in fact.qualifiers and fact.value in ("avoid", "contraindicated"):
            return Verdict("omission", subject, fact)
    if subject.endswith(".sheng") and claim.value != "amount":
        toxic = [fact for fact in facts.of(subject, "toxicity") if fact.value in ("slight", "toxic", "very-toxic")]
        return Verdict("omission", subject, toxic[0]) if toxic else None
    return None


def whom(mention: Mention) -> str:
    """The subject a finding without a verdict names: the one meant, or nobody."""
    return mention.subjects[0] if len(mention.subjects) == 1 else ""
