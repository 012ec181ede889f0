"""What the members of a category share and how strongly, who breaks it and why, what only one does, what is
dangerous."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt

from materia_data.facts.facts import Facts
from materia_data.facts.match import match
from materia_data.facts.pattern import Atom, Pattern, parse
from materia_data.materia import Materia
from materia_data.teach.explain import explain
from materia_data.teach.holders import holders
from materia_data.teach.words import actions_of, row_of, say

_SHARED = ("nature", "flavor", "channel", "direction", "part", "trait", "action", "handling", "contains")
_ALONE = ("nature", "flavor", "channel", "direction", "part", "trait", "action", "handling", "toxicity")
_COLD, _WARM = "nature:..cool", "nature:slightly-warm.."
_FEWEST = 3
_KINDS = ("herbs", "forms", "formulas")
Reasons = dict[str, dict[tuple[str, str], str]]


@dataclass(frozen=True, slots=True)
class Member:
    """A subject of the category, as other results name it."""

    id: str
    name_hans: str
    pinyin: str
    name_en: str
    group: str


@dataclass(frozen=True, slots=True)
class Breaker:
    """A member of which the data state that it departs; says: what it has instead; why: its reason, or none."""

    id: str
    name_hans: str
    pinyin: str
    says: str
    why: str


@dataclass(frozen=True, slots=True)
class Shared:
    """One fact that most members share. holds of `of` members against rest_holds of rest_of others of their kind; low,
    high: the Wilson interval of the share at 95 %; definition: true of all by what the category is; silent: members
    that state neither."""

    pattern: str
    label: str
    holds: int
    of: int
    rest_holds: int
    rest_of: int
    low: float
    high: float
    lift: float
    definition: bool
    breakers: tuple[Breaker, ...]
    silent: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StandOut:
    """A member that stands out: the tendencies it breaks, and what no other member has."""

    id: str
    name_hans: str
    pinyin: str
    breaks: tuple[str, ...]
    alone: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Members that serve one strategy. id: of the subgroup, or of the chief action where the category has none."""

    id: str
    title: str
    strategy: str
    members: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Danger:
    """One danger and who carries it, the gravest first."""

    label: str
    members: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StandOuts:
    """The whole answer. asked: the id of a category or group, or the pattern; members in table order."""

    asked: str
    title: str
    definition: str
    strategy: str
    caution: str
    members: tuple[Member, ...]
    shared: tuple[Shared, ...]
    groups: tuple[Group, ...]
    standouts: tuple[StandOut, ...]
    dangers: tuple[Danger, ...]


def standouts(materia: Materia, asked: str) -> StandOuts:
    """The lesson of a category, a group, or of all that match a pattern.

    Of a category and a pattern the members are medicinals; forms or formulas where it holds only of those. Raises
    PatternError for what is neither an id nor a pattern.
    """
    facts = materia.facts
    row, pattern = _asked(asked, facts)
    inside = match(pattern, facts).true
    of_kind = {kind: frozenset(n for n in inside if facts.kind(facts.subjects[n]) == kind) for kind in _KINDS}
    kind = next((kind for kind in _KINDS if of_kind[kind]), "herbs")
    members = sorted(of_kind[kind])
    rest = frozenset(n for n, one in enumerate(facts.subjects) if facts.kind(one) == kind) - of_kind[kind]
    shared = tuple(_shared(materia, members, rest, row.get("defining_action", "")))
    people = tuple(_member(facts, number) for number in members)
    return StandOuts(
        asked=row.get("id", asked),
        title=row.get("name_en", "") or asked,
        definition=row.get("definition", ""),
        strategy=row.get("strategy", ""),
        caution=row.get("caution", ""),
        members=people,
        shared=shared,
        groups=tuple(_groups(facts, people, row.get("id", ""))),
        standouts=tuple(_standing_out(facts, members, shared)),
        dangers=tuple(_dangers(facts, members)),
    )


def wilson(holds: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a share (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927, 209-212). (0, 1) of nothing."""
    if not of:
        return 0.0, 1.0
    z, share = 1.959964, holds / of
    middle = share + z * z / (2 * of)
    width = z * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    whole = 1 + z * z / of
    return max(0.0, (middle - width) / whole), min(1.0, (middle + width) / whole)


def _asked(asked: str, facts: Facts) -> tuple[dict[str, str], Pattern]:
    for table, predicate in (("categories", "category"), ("groups", "subgroup")):
        rows = facts.package.tables[table]
        for number in range(len(rows)):
            row = rows.row(number)
            if asked.strip().casefold() in {row["id"].casefold(), row["name_hans"], row["name_en"].casefold()}:
                return row, parse(f"{predicate}:{row['id']}", facts)
    return {}, parse(asked, facts)


def _member(facts: Facts, number: int) -> Member:
    subject = facts.subjects[number]
    row = row_of(facts, facts.kind(subject), subject)
    return Member(subject, row["name_hans"], row["pinyin"], row["name_en"], row.get("subgroup", ""))


def _shared(materia: Materia, members: Sequence[int], rest: frozenset[int], defining: str) -> Iterable[Shared]:
    facts, inside = materia.facts, frozenset(members)
    if len(members) < _FEWEST:
        return
    tendencies = []
    for text in _questions(facts, members):
        pattern = parse(text, facts)
        truth = match(pattern, facts)
        holds = len(truth.true & inside)
        base = len(truth.true & rest) / len(rest) if rest else 0.0
        if 2 * holds >= len(members) and (
            wilson(holds, len(members))[0] > base or holds == len(members) > base * holds
        ):
            tendencies.append((text, pattern, truth))
    why = _reasons(materia, {n for _, _, truth in tendencies for n in truth.false & inside})
    found = []
    for text, pattern, truth in tendencies:
        holds, others = len(truth.true & inside), len(truth.true & rest)
        low, high = wilson(holds, len(members))
        base = others / len(rest) if rest else 0.0
        breakers = tuple(_breaker(facts, n, pattern, why) for n in sorted(truth.false & inside))
        silent = tuple(facts.subjects[n] for n in sorted(inside - truth.true - truth.false))
        lift = round(holds / len(members) / base, 2) if base else 0.0
        definition = bool(defining) and _implied(facts, defining, pattern)
        found.append(
            (truth.true & inside, pattern, Shared(
                text, _label(facts, text, pattern), holds, len(members), others, len(rest),
                round(low, 3), round(high, 3), lift, definition, breakers, silent,
            ))
        )  # fmt: skip
    kept = [one for true, pattern, one in found if not _said_closer(true, pattern, found, facts)]
    order = {name: place for place, name in enumerate(_SHARED)}
    yield from sorted(kept, key=lambda one: (order[_predicate(one.pattern)], -one.holds, -one.lift, one.pattern))


def _questions(facts: Facts, members: Sequence[int]) -> list[str]:
    """Every value that some member states, each broader one too, and whether it is cold or warm at all."""
    asked = [text for text in (_COLD, _WARM) if holders(facts, text).true]
    for predicate in _SHARED:
        words = facts.predicates[predicate].values
        terms = facts.vocabularies.get(words.name)
        values: dict[str, None] = {}
        for number in members:
            for entry in facts.effective_entries[predicate].get(number, ()):
                kind = facts.entries.kind(entry)
                if kind.stated and kind.value != "-":
                    values.update(dict.fromkeys(sorted(terms.up(kind.value)) if terms else [kind.value]))
        asked += [f"{predicate}:{value}" for value in values]
    return asked


def _said_closer(
    true: set[int], pattern: Pattern, found: Sequence[tuple[set[int], Pattern, Shared]], facts: Facts
) -> bool:
    """Whether a narrower value, or one side of a range, says the same of the same members."""
    if not isinstance(pattern, Atom):
        return False
    for others, other, _ in found:
        if other == pattern or not isinstance(other, Atom) or other.predicate != pattern.predicate or others != true:
            continue
        if other.test != ".." and (pattern.test == ".." or other.values[0] in _narrower(facts, pattern)):
            return True
    return False


def _narrower(facts: Facts, atom: Atom) -> frozenset[str]:
    terms = facts.vocabularies.get(facts.predicates[atom.predicate].values.name)
    return terms.down(atom.values[0]) - {atom.values[0]} if terms and atom.values else frozenset()


def _implied(facts: Facts, action: str, pattern: Pattern) -> bool:
    return (
        isinstance(pattern, Atom)
        and pattern.predicate == "action"
        and pattern.values[0] in facts.vocabularies["actions"].up(action)
    )


def _predicate(text: str) -> str:
    return text.partition(":")[0]


def _label(facts: Facts, text: str, pattern: Pattern) -> str:
    if text in (_COLD, _WARM):
        return "cold or cool" if text == _COLD else "warm or hot"
    assert isinstance(pattern, Atom)
    return say(facts, pattern.predicate, pattern.values[0])


def _breaker(facts: Facts, number: int, pattern: Pattern, why: Reasons) -> Breaker:
    subject = facts.subjects[number]
    row = row_of(facts, facts.kind(subject), subject)
    predicate = next(iter(pattern.predicates()))
    own = [fact for fact in facts.of(subject, predicate) if fact.stated]
    negative = [fact for fact in facts.of(subject, predicate) if not fact.stated]
    said = ", ".join(say(facts, predicate, fact.value) for fact in own) if predicate != "action" else ""
    if not said:
        said = "stated not to" if negative else "none"
    reasons = why.get(subject, {})
    given = [reasons[predicate, fact.value] for fact in own if reasons.get((predicate, fact.value))]
    return Breaker(subject, row["name_hans"], row["pinyin"], said, given[0] if given else "")


def _reasons(materia: Materia, numbers: Iterable[int]) -> Reasons:
    """For each medicinal why it has the natures, flavors and channels that it has."""
    facts = materia.facts
    asked = [facts.subjects[n] for n in sorted(numbers) if facts.kind(facts.subjects[n]) != "formulas"]
    return {
        one.id: {
            (item.predicate, item.value): item.exception or (item.reasons[0].because if item.reasons else "")
            for item in one.properties
        }
        for one in explain(materia, asked).subjects
    }


def _groups(facts: Facts, members: Sequence[Member], category: str) -> Iterable[Group]:
    """By subgroup in their order, of a category only its own; without subgroups, by what each does first."""
    group = {member.id: _own_group(facts, member.group, category) for member in members}
    if any(group.values()):
        for id in sorted(set(group.values()), key=lambda id: (_position(facts, id), id)):
            row = row_of(facts, "groups", id)
            yield Group(
                id, row.get("name_en", "") or "the others", row.get("strategy", ""),
                tuple(member.id for member in members if group[member.id] == id),
            )  # fmt: skip
        return
    by_action: dict[str, list[str]] = {}
    for member in members:
        by_action.setdefault(_chief(facts, member.id), []).append(member.id)
    for action, ids in sorted(by_action.items(), key=lambda item: (-len(item[1]), item[0])):
        yield Group(action, say(facts, "action", action) if action else "the others", "", tuple(ids))


def _own_group(facts: Facts, group: str, category: str) -> str:
    """The group; none for a member that is at home in another category and belongs to this one as well."""
    in_category = row_of(facts, "groups", group).get("category", "")
    return group if not row_of(facts, "categories", category) or in_category == category else ""


def _position(facts: Facts, group: str) -> int:
    text = row_of(facts, "groups", group).get("position", "")
    return int(text) if text.isdigit() else 1 << 30


def _chief(facts: Facts, subject: str) -> str:
    return next((fact.value for fact in actions_of(facts, subject) if fact.stated), "")


def _standing_out(facts: Facts, members: Sequence[int], shared: Sequence[Shared]) -> Iterable[StandOut]:
    breaks: dict[str, list[str]] = {}
    for one in shared:
        for breaker in one.breakers:
            breaks.setdefault(breaker.id, []).append(f"not {one.label}: {breaker.says}")
    alone = _alone(facts, members)
    for number in members:
        subject = facts.subjects[number]
        if subject in breaks or subject in alone:
            row = row_of(facts, facts.kind(subject), subject)
            yield StandOut(
                subject, row["name_hans"], row["pinyin"],
                tuple(breaks.get(subject, ())), tuple(alone.get(subject, ())),
            )  # fmt: skip


def _alone(facts: Facts, members: Sequence[int]) -> dict[str, list[str]]:
    """What exactly one member states, narrower words taken together: said once, by the broadest that it has alone."""
    if len(members) < _FEWEST:
        return {}
    found: dict[str, list[str]] = {}
    for predicate in _ALONE:
        terms = facts.vocabularies[facts.predicates[predicate].values.name]
        holders: dict[str, set[int]] = {}
        for number in members:
            for entry in facts.effective_entries[predicate].get(number, ()):
                kind = facts.entries.kind(entry)
                if kind.stated and kind.value not in ("-", "unmarked", "ordinary"):
                    for value in terms.up(kind.value):
                        holders.setdefault(value, set()).add(number)
        single = {value: next(iter(who)) for value, who in holders.items() if len(who) == 1}
        for value, number in sorted(single.items()):
            if not any(broader in single for broader in terms.up(value) - {value}):
                found.setdefault(facts.subjects[number], []).append(say(facts, predicate, value))
    return found


_GRAVE = (
    ("very toxic", "toxicity:very-toxic"),
    ("toxic", "toxicity:toxic"),
    ("slightly toxic", "toxicity:slight"),
    ("withdrawn", "status:withdrawn"),
    ("restricted", "status:restricted"),
    ("historical only", "status:historical"),
    ("contraindicated in pregnancy", "caution:contraindicated[topic:pregnancy]"),
    ("avoided in pregnancy", "caution:avoid[topic:pregnancy]"),
    ("caution in pregnancy", "caution:caution[topic:pregnancy]"),
    ("not taken by mouth", "caution:avoid..[topic:internal-use]"),
    ("opposed to other medicinals", "opposes"),
    ("boiled first", "handling:decoct-first[force:required]"),
    ("in pills or powder only", "handling:pills-powder-only"),
    ("controlled by law", "control"),
)


def _dangers(facts: Facts, members: Sequence[int]) -> Iterable[Danger]:
    for label, text in _GRAVE:
        true = holders(facts, text).true
        who = tuple(facts.subjects[number] for number in members if number in true)
        if who:
            yield Danger(label, who)
