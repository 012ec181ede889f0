"""The medicinals, forms or formulas closest to one, and what may stand in for it when it cannot be used."""

from dataclasses import dataclass

from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.teach.holders import holders
from materia_data.teach.likeness import Marks, likeness, marks
from materia_data.teach.words import row_of, say

_LEFT_OUT = {
    "banned": ("control:banned", "control:cites-appendix-i", "control:withdrawn-standard"),
    "short": (),
    "pregnancy": ("caution:caution..[topic:pregnancy]",),
    "plant-only": (
        "trait:animal", "trait:insect", "trait:shell", "trait:horn-bone", "trait:gelatin", "part:whole-animal",
    ),
}  # fmt: skip
WANTS = tuple(_LEFT_OUT)


@dataclass(frozen=True, slots=True)
class Near:
    """One of the nearest. likeness: 0 to 1; shared: the rarest facts both have; lacks: chief actions of the one asked
    about that are not stated of it; warning: what must be known before it takes the other's place; lawful: named by the
    record as a lawful substitute, with the ratio if one is given."""

    id: str
    name_hans: str
    pinyin: str
    name_en: str
    category: str
    likeness: float
    shared: tuple[str, ...]
    lacks: tuple[str, ...]
    warning: str
    lawful: str


@dataclass(frozen=True, slots=True)
class Nearest:
    """The subjects nearest to one, the nearest first. instead: why it needs a stand-in, or empty; note: what a stand-in
    is not."""

    id: str
    name_hans: str
    pinyin: str
    instead: str
    subjects: tuple[Near, ...]
    note: str


def nearest(materia: Materia, subject: str, most: int = 5, *, instead: str = "") -> Nearest:
    """The nearest of the same kind. instead: one of WANTS, to leave out what would not help then.

    In pregnancy what carries a caution of any degree is left out, and what carries none is shown as *not checked*: no
    caution on record is not a permission. KeyError: no such subject, or no such reason.
    """
    facts = materia.facts
    if instead and instead not in WANTS:
        raise KeyError(f"There is no reason {instead}. One of: {', '.join(WANTS)}.")
    own, kind = facts.number[subject], facts.kind(subject)
    numbers = [n for n, other in enumerate(facts.subjects) if facts.kind(other) == kind]
    known = marks(facts, numbers)
    family = {facts.herb_of(subject)}
    lawful = _lawful(facts, subject) if instead else {}
    allowed = _allowed(facts, instead) if instead else set(numbers)
    allowed |= {facts.number[name] for name in lawful if name in facts.number}
    ranked = sorted(
        (
            n
            for n in numbers
            if n != own and n in allowed and facts.herb_of(facts.subjects[n]) not in family - {subject}
        ),
        key=lambda n: (facts.subjects[n] not in lawful, -likeness(known[own], known[n]), n),
    )
    row = row_of(facts, kind, subject)
    found = tuple(_near(facts, own, n, known, instead, lawful) for n in ranked[:most])
    return Nearest(subject, row["name_hans"], row["pinyin"], instead, found, _NOTE if instead else "")


_NOTE = (
    "A stand-in does part of the same work; whether it may take the place in a formula, and in what amount, is for a "
    "licensed practitioner to judge."
)


def _allowed(facts: Facts, instead: str) -> set[int]:
    return set(holders(facts, "status:current").true).difference(
        *(holders(facts, text).true for text in _LEFT_OUT[instead])
    )


def _lawful(facts: Facts, subject: str) -> dict[str, str]:
    """Substitutes that the record of controls names, with the ratio."""
    table = facts.package.tables["controls"]
    found: dict[str, str] = {}
    for number in table.rows_of("subject").get(facts.herb_of(subject), ()):
        row = table.row(number)
        for name in filter(None, row["substitute"].split(";")):
            found[name.strip()] = row["substitute_ratio"]
    return found


def _near(
    facts: Facts,
    own: int,
    other: int,
    known: dict[int, Marks],
    instead: str,
    lawful: dict[str, str],
) -> Near:
    subject = facts.subjects[other]
    row = row_of(facts, facts.kind(subject), subject)
    common = {mark for mark in known[own] if mark in known[other]}
    both = sorted(common - _broader(facts, common), key=lambda mark: (-known[own][mark], mark))
    return Near(
        subject,
        row["name_hans"],
        row["pinyin"],
        row["name_en"],
        row.get("category", "") or row_of(facts, "herbs", facts.herb_of(subject)).get("category", ""),
        round(likeness(known[own], known[other]), 3),
        tuple(say(facts, *mark) for mark in both if mark[0] not in ("category", "subgroup", "indication"))[:6],
        tuple(_lacking(facts, own, other)),
        _warning(facts, subject, instead),
        _as_substitute(lawful[subject]) if subject in lawful else "",
    )


def _broader(facts: Facts, marks: set[tuple[str, str]]) -> set[tuple[str, str]]:
    """Those of which a narrower one is among them too."""
    found = set()
    for predicate, value in marks:
        terms = facts.vocabularies[facts.predicates[predicate].values.name]
        found |= {(predicate, broader) for broader in terms.up(value) - {value}}
    return found


def _as_substitute(ratio: str) -> str:
    return "lawful substitute" + (f", {ratio} g for one gram" if ratio else "")


def _lacking(facts: Facts, own: int, other: int) -> list[str]:
    chief = [f for f in facts.of(facts.subjects[own], "action") if f.stated and ("weight", "chief") in f.qualifiers]
    missing = [f for f in chief if other not in holders(facts, f"action:{f.value}").true]
    return list(dict.fromkeys(say(facts, "action", fact.value) for fact in missing))


def _warning(facts: Facts, subject: str, instead: str) -> str:
    said = [
        say(facts, "toxicity", f.value) for f in facts.of(subject, "toxicity") if f.value not in ("none", "unmarked")
    ]
    pregnancy = [f for f in facts.of(subject, "caution") if ("topic", "pregnancy") in f.qualifiers]
    said += [say(facts, "caution", fact.value, fact.qualifiers) for fact in pregnancy]
    if instead == "pregnancy" and not pregnancy:
        said.append("pregnancy: not checked, which is no permission")
    said += [say(facts, "status", fact.value) for fact in facts.of(subject, "status") if fact.value != "current"]
    said += [say(facts, "control", fact.value, fact.qualifiers) for fact in facts.of(subject, "control")]
    return "; ".join(dict.fromkeys(said))
