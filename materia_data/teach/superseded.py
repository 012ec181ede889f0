"""Which values still rest on an edition that a later one has replaced."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.teach.words import row_of


@dataclass(frozen=True, slots=True)
class Edition:
    """A replaced source and what replaced it; subjects, values: how many of those asked about still rest on it."""

    source: str
    title: str
    replaced_by: str
    subjects: int
    values: int


@dataclass(frozen=True, slots=True)
class Resting:
    """A subject with values of its own rows that rest on a replaced source: how many, and of which predicates."""

    id: str
    name_hans: str
    pinyin: str
    source: str
    values: int
    predicates: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Superseded:
    """The whole answer: editions by id, subjects in the order given."""

    pattern: str
    editions: tuple[Edition, ...]
    subjects: tuple[Resting, ...]


def superseded(materia: Materia, pattern: str, subjects: Sequence[str]) -> Superseded:
    """Which values of these subjects' own rows rest on a source that another supersedes. pattern: as it was asked.

    A value resting on an old edition is not wrong: it has not been compared with the new one.
    """
    facts = materia.facts
    sources = materia.package.tables["sources"].columns
    replaced = {old: new for old, new in zip(sources["id"], sources["superseded_by"], strict=True) if new}
    resting = tuple(one for subject in subjects for one in _resting(facts, subject, replaced))
    return Superseded(pattern, tuple(_editions(facts, resting, replaced)), resting)


def _resting(facts: Facts, subject: str, replaced: dict[str, str]) -> Iterable[Resting]:
    row = row_of(facts, facts.kind(subject), subject)
    own = [fact for fact in facts.own(subject) if fact.source in replaced]
    for source in sorted({fact.source for fact in own}):
        mine = [fact.predicate for fact in own if fact.source == source]
        yield Resting(subject, row["name_hans"], row["pinyin"], source, len(mine), tuple(dict.fromkeys(mine)))


def _editions(facts: Facts, resting: Sequence[Resting], replaced: dict[str, str]) -> Iterable[Edition]:
    for source in sorted({one.source for one in resting}):
        row = row_of(facts, "sources", source)
        mine = [one for one in resting if one.source == source]
        title = f"{row['title']} {row['edition']}".strip()
        yield Edition(source, title, replaced[source], len(mine), sum(one.values for one in mine))
