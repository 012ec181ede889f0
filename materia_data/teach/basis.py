"""On whose word the values stand: read in their source, recalled, or common practice; and what rests on an edition that
a later one has replaced."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.teach.words import row_of

_ABOUT_ROWS = ("basis", "disputed")


@dataclass(frozen=True, slots=True)
class Edition:
    """A replaced source and what replaced it; subjects, values: how many of those asked about still rest on it."""

    source: str
    title: str
    replaced_by: str
    subjects: int
    values: int


@dataclass(frozen=True, slots=True)
class Standing:
    """One subject and the values its own rows state. collated: read in the source; memory, common_practice: not;
    replaced: those that rest on a replaced edition; unread: predicates with a value nobody has read in a source."""

    id: str
    name_hans: str
    pinyin: str
    collated: int
    memory: int
    common_practice: int
    replaced: int
    unread: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Basis:
    """The whole answer; subjects in the order given, editions by id."""

    pattern: str
    subjects: tuple[Standing, ...]
    editions: tuple[Edition, ...]


def basis(materia: Materia, pattern: str, subjects: Sequence[str]) -> Basis:
    """Count the values that these subjects' own rows state, by their basis. pattern: as it was asked.

    A value that rests on a replaced edition is not wrong: it has not been compared with the new one.
    """
    facts = materia.facts
    sources = materia.package.tables["sources"].columns
    replaced = {old: new for old, new in zip(sources["id"], sources["superseded_by"], strict=True) if new}
    own = {
        subject: [f for f in facts.own(subject) if f.predicate not in _ABOUT_ROWS and f.basis] for subject in subjects
    }
    standing = tuple(_standing(facts, subject, mine, replaced) for subject, mine in own.items())
    return Basis(pattern, standing, tuple(_editions(facts, own, replaced)))


def _standing(facts: Facts, subject: str, own: Sequence[Fact], replaced: dict[str, str]) -> Standing:
    row = row_of(facts, facts.kind(subject), subject)
    count = Counter(fact.basis for fact in own)
    unread = dict.fromkeys(fact.predicate for fact in own if fact.basis != "collated")
    return Standing(
        subject, row["name_hans"], row["pinyin"], count["collated"], count["memory"], count["common-practice"],
        sum(fact.source in replaced for fact in own), tuple(unread),
    )  # fmt: skip


def _editions(facts: Facts, own: dict[str, list[Fact]], replaced: dict[str, str]) -> Iterable[Edition]:
    values = Counter(fact.source for mine in own.values() for fact in mine)
    subjects = Counter(source for mine in own.values() for source in {fact.source for fact in mine})
    for source in sorted(values.keys() & replaced.keys()):
        row = row_of(facts, "sources", source)
        title = f"{row['title']} {row['edition']}".strip()
        yield Edition(source, title, replaced[source], subjects[source], values[source])
