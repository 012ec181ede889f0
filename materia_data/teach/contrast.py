"""What two to six medicinals share, the fewest facts that tell each from the others, and the points on record."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from materia_data.facts.facts import Facts
from materia_data.facts.match import match
from materia_data.facts.pattern import Atom, Qualifier
from materia_data.materia import Materia
from materia_data.teach.words import row_of, say, subject_name

MOST = 6
_BOUND = 6
Asked = tuple[Atom, tuple[str, ...]]
TAUGHT = (
    "toxicity", "caution", "opposes", "contains", "handling", "nature", "action", "flavor", "channel", "trait",
    "direction", "part", "method", "kind", "category", "subgroup", "indication", "status",
)  # fmt: skip
SAFETY = ("toxicity", "caution", "opposes")
_BY_QUALIFIER = {"action": ("site", "cause"), "caution": ("topic", "target"), "handling": ()}


@dataclass(frozen=True, slots=True)
class Side:
    """What one subject is to a fact: has (it is stated), has-not (it is stated not to be), or silent (not stated)."""

    id: str
    says: str


@dataclass(frozen=True, slots=True)
class Telling:
    """One fact that tells some of them apart. firm: by what is stated on both sides, never by what is only not said."""

    pattern: str
    label: str
    safety: bool
    firm: bool
    sides: tuple[Side, ...]


@dataclass(frozen=True, slots=True)
class Point:
    """A recorded point: what one subject is, on one axis."""

    subject: str
    axis: str
    text: str


@dataclass(frozen=True, slots=True)
class Recorded:
    """A recorded contrast, or what is on record about a mix-up (kind, harm, tell_apart)."""

    id: str
    subjects: tuple[str, ...]
    shared: str
    points: tuple[Point, ...]
    kind: str
    harm: str
    tell_apart: str


@dataclass(frozen=True, slots=True)
class Only:
    """What one formula has and none of the others: names of medicinals, a form counting as its herb."""

    id: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Name:
    id: str
    name_hans: str
    pinyin: str
    name_en: str


@dataclass(frozen=True, slots=True)
class Contrast:
    """shared: facts all state; only: of formulas, the items that one alone has; apart: the fewest facts that tell each
    from the others; whole: whether they do for every pair; alike: the pairs that the data cannot tell apart; recorded:
    contrasts and mix-ups on record."""

    subjects: tuple[Name, ...]
    shared: tuple[str, ...]
    only: tuple[Only, ...]
    apart: tuple[Telling, ...]
    whole: bool
    alike: tuple[tuple[str, str], ...]
    recorded: tuple[Recorded, ...]


def contrast(materia: Materia, subjects: Sequence[str]) -> Contrast:
    """Set two to six subjects side by side. ValueError: too few or too many; KeyError: no such subject.

    `apart` is an exact smallest set, up to six facts: facts stated on both sides before facts stated on one, then
    fewer, then those that matter for safety, then what is taught first.
    """
    wanted = tuple(dict.fromkeys(subjects))
    if not 2 <= len(wanted) <= MOST:
        raise ValueError(f"contrast takes two to {MOST} different subjects, not {len(wanted)}.")
    facts = materia.facts
    numbers = [facts.number[subject] for subject in wanted]
    asked = [(atom, _sides(atom, numbers, facts)) for atom in asked_of(facts, numbers)]
    shared = [(atom, sides) for atom, sides in asked if set(sides) == {"has"}]
    chosen, alike = _fewest(asked, len(wanted), facts)
    return Contrast(
        tuple(_name(facts, subject) for subject in wanted),
        tuple(dict.fromkeys(said_of(facts, atom) for atom, _ in _narrowest(shared, facts))),
        tuple(_only(facts, wanted)),
        tuple(_telling(facts, atom, sides, wanted) for atom, sides in chosen),
        not alike,
        tuple((wanted[a], wanted[b]) for a, b in alike),
        tuple(_recorded(facts, wanted)),
    )


def asked_of(facts: Facts, numbers: Sequence[int]) -> list[Atom]:
    """A question for every value that some of them states, plainly and under its qualifiers."""
    found: dict[Atom, None] = {}
    for predicate in TAUGHT:
        for number in numbers:
            for entry in facts.effective_entries[predicate].get(number, ()):
                kind = facts.entries.kind(entry)
                if kind.value in ("-", "unmarked", "none-stated", "ordinary", "current"):
                    continue
                asked = [(key, value) for key, value in kind.qualifiers if key in _BY_QUALIFIER.get(predicate, ())]
                quals = tuple(Qualifier(key, ":", value) for key, value in asked)
                if predicate in ("caution", "toxicity"):
                    found[Atom(predicate, "..", low=kind.value, qualifiers=quals)] = None
                    continue
                whole = Atom(predicate, ":", (kind.value,), qualifiers=quals)
                found[Atom(predicate, ":", (kind.value,))] = None
                if asked:
                    found[whole] = None
    return list(found)


def _sides(atom: Atom, numbers: Sequence[int], facts: Facts) -> tuple[str, ...]:
    truth = match(atom, facts)
    return tuple("has" if n in truth.true else "has-not" if n in truth.false else "silent" for n in numbers)


def _fewest(asked: Sequence[Asked], count: int, facts: Facts) -> tuple[list[Asked], list[tuple[int, int]]]:
    """The smallest set of facts that covers every pair that can be told apart, and the pairs that cannot."""
    pairs = list(combinations(range(count), 2))
    firm = _cheapest(asked, pairs, facts, {("has", "has-not")})
    soft = _cheapest(asked, pairs, facts, {("has", "has-not"), ("has", "silent")})
    hard_cover, cover = _union(firm), _union(soft)
    chosen = _hit(firm, hard_cover) + _hit(
        {m & ~hard_cover: a for m, a in _by_rest(soft, hard_cover)}, cover & ~hard_cover
    )
    order = {atom: place for place, (atom, _) in enumerate(asked)}
    alike = [pair for place, pair in enumerate(pairs) if not cover >> place & 1]
    return sorted(dict.fromkeys(chosen), key=lambda one: (_weight(one), order[one[0]])), alike


def _by_rest(masks: dict[int, Asked], done: int) -> Iterable[tuple[int, Asked]]:
    best: dict[int, Asked] = {}
    for mask, one in masks.items():
        rest = mask & ~done
        if rest and (rest not in best or _weight(one) < _weight(best[rest])):
            best[rest] = one
    return best.items()


def _cheapest(
    asked: Sequence[Asked], pairs: Sequence[tuple[int, int]], facts: Facts, telling: set[tuple[str, str]]
) -> dict[int, Asked]:
    """For each set of pairs (as bits) the fact to prefer among those that tell just these apart."""
    found: dict[int, Asked] = {}
    for atom, sides in asked:
        mask = sum(
            1 << place
            for place, (a, b) in enumerate(pairs)
            if (sides[a], sides[b]) in telling or (sides[b], sides[a]) in telling
        )
        if mask and (mask not in found or _weight((atom, sides)) < _weight(found[mask])):
            found[mask] = (atom, sides)
    return found


def _weight(one: Asked) -> tuple[bool, int, int, int]:
    atom, sides = one
    return (
        "silent" in sides,
        0 if atom.predicate in SAFETY else 1,
        TAUGHT.index(atom.predicate),
        len(atom.qualifiers),
    )


def _union(masks: Iterable[int]) -> int:
    whole = 0
    for mask in masks:
        whole |= mask
    return whole


def _hit(masks: dict[int, Asked], goal: int) -> list[Asked]:
    """An exact smallest cover of the goal, the lightest among them; beyond the bound the greedy one."""
    if not goal:
        return []
    best = [mask for mask in masks if not any(_better(masks, other, mask) for other in masks)]
    for size in range(1, _BOUND + 1):
        covers = list(_covers(best, goal, size, 0, ()))
        if covers:
            lightest = min(covers, key=lambda cover: sorted(_weight(masks[mask]) for mask in cover))
            return [masks[mask] for mask in lightest]
    chosen: list[Asked] = []
    while goal:
        mask = max(best, key=lambda each: ((each & goal).bit_count(), -_weight(masks[each])[2]))
        chosen.append(masks[mask])
        goal &= ~mask
    return chosen


def _better(masks: dict[int, Asked], one: int, other: int) -> bool:
    """Whether one tells all that the other does and more, and is no heavier."""
    return one != other and one | other == one and _weight(masks[one]) <= _weight(masks[other])


def _covers(
    masks: Sequence[int], goal: int, size: int, done: int, chosen: tuple[int, ...]
) -> Iterable[tuple[int, ...]]:
    """Every cover of that size, by branching on the first pair still open."""
    missing = goal & ~done
    if not missing:
        yield chosen
    elif size:
        lowest = missing & -missing
        for mask in masks:
            if mask & lowest:
                yield from _covers(masks, goal, size - 1, done | mask, (*chosen, mask))


def _narrowest(shared: Sequence[Asked], facts: Facts) -> list[Asked]:
    """Without the broader of two values of one predicate, and the plain one beside the same under qualifiers."""
    kept = []
    for atom, sides in shared:
        if not any(says_more(facts, other, atom) for other, _ in shared):
            kept.append((atom, sides))
    return kept


def says_more(facts: Facts, other: Atom, atom: Atom) -> bool:
    """Whether the other one, where it is true too, leaves nothing to be said by the atom."""
    if other == atom or other.predicate != atom.predicate:
        return False
    terms = facts.vocabularies.get(facts.predicates[atom.predicate].values.name)
    return (
        (
            (other.values, other.low) == (atom.values, atom.low)
            and set(atom.qualifiers) <= set(other.qualifiers)
            and len(other.qualifiers) > len(atom.qualifiers)
        )
        or (other.test == ".." and other.qualifiers == atom.qualifiers and _stricter(facts, other, atom))
        or (terms is not None and other.values != atom.values and atom.values[0] in terms.up(other.values[0]))
    )


def _stricter(facts: Facts, one: Atom, other: Atom) -> bool:
    values = one.values_within(facts)
    return bool(other.low) and other.low not in values


def _telling(facts: Facts, atom: Atom, sides: Sequence[str], subjects: Sequence[str]) -> Telling:
    return Telling(
        str(atom),
        said_of(facts, atom),
        atom.predicate in SAFETY,
        "silent" not in sides,
        tuple(Side(subject, says) for subject, says in zip(subjects, sides, strict=True)),
    )


def said_of(facts: Facts, atom: Atom) -> str:
    asked = [(one.key, one.value) for one in atom.qualifiers]
    if atom.test != "..":
        return say(facts, atom.predicate, atom.values[0], asked)
    stricter = "" if atom.low in ("contraindicated", "very-toxic") else ", or stricter"
    return say(facts, atom.predicate, atom.low, asked) + stricter


def _only(facts: Facts, subjects: Sequence[str]) -> Iterable[Only]:
    herbs = {
        subject: dict.fromkeys(facts.herb_of(f.value) for f in facts.of(subject, "contains") if f.value in facts.number)
        for subject in subjects
    }
    for subject, mine in herbs.items():
        alone = [herb for herb in mine if not any(herb in held for other, held in herbs.items() if other != subject)]
        if alone and facts.kind(subject) == "formulas":
            yield Only(subject, tuple(subject_name(facts, herb) for herb in alone))


def _name(facts: Facts, subject: str) -> Name:
    row = row_of(facts, facts.kind(subject), subject)
    return Name(subject, row["name_hans"], row["pinyin"], row["name_en"])


def _recorded(facts: Facts, subjects: Sequence[str]) -> Iterable[Recorded]:
    """The contrasts with two of the subjects or of their herbs among their points, and their mix-ups."""
    meant = {*subjects, *(facts.herb_of(subject) for subject in subjects)}
    tables = facts.package.tables
    points = tables["contrast_points"]
    for number in range(len(tables["contrasts"])):
        row = tables["contrasts"].row(number)
        mine = [points.row(place) for place in points.rows_of("contrast").get(row["id"], ())]
        named = tuple(dict.fromkeys(point["subject"] for point in mine))
        if len(meant & set(named)) >= 2:
            said = tuple(Point(p["subject"], p["axis"], p["point"]) for p in mine if p["subject"] in meant)
            yield Recorded(row["id"], named, row["shared"], said, "", "", "")
    mixed = tables["confusions"]
    for number in range(len(mixed)):
        row = mixed.row(number)
        if row["a"] in meant and row["b"] in meant:
            yield Recorded(mixed.key(number), (row["a"], row["b"]), "", (), row["kind"], row["harm"], row["tell_apart"])
