"""What the members of a category or a group share, how far, and who breaks it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from materia_data import PatternError, Property, Reason, standouts
from materia_exporters.site.book import Book
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.words import capital

_TAUGHT = ("nature", "flavor", "channel", "direction", "part", "trait", "action")
_PATTERNS = ("nature", "flavor", "channel", "direction")
_SHARE = 0.6


@dataclass(frozen=True, slots=True)
class Tendency:
    """A value that at least half of the members have, more often than others do.

    holds, contradicted, unstated: ids of members; base: how many of how many others have it; definition: true by what
    the category is; instead: by id what it has in its place; clear: three in five of those that state it agree, so that
    the rest stand out; reasons: what rules say of it, the commonest among those who have it first.
    """

    predicate: str
    words: str
    pattern: str
    holds: tuple[str, ...]
    contradicted: tuple[str, ...]
    unstated: tuple[str, ...]
    base: tuple[int, int]
    definition: bool
    instead: dict[str, str]
    clear: bool
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Lesson:
    """members: how many were counted; alone: by id what no other of them is stated to have."""

    members: int
    shared: tuple[Tendency, ...]
    alone: dict[str, tuple[str, ...]]


class Tendencies:
    """The lesson of any category or group, with the reasons that rules give for what is shared."""

    def __init__(self, book: Book, reasons: Reasons) -> None:
        self._book = book
        self._reasons = reasons
        self.lessons: dict[str, Lesson] = {}

    def of(self, asked: str) -> Lesson:
        """The lesson of a category or group by its id. A nature that a whole side of the scale covers is left out."""
        if asked not in self.lessons:
            self.lessons[asked] = self._made(asked)
        return self.lessons[asked]

    def _made(self, asked: str) -> Lesson:
        try:
            found = standouts(self._book.materia, asked)
        except PatternError:  # an id that no pattern can write
            return Lesson(0, (), {})
        members = [one.id for one in found.members]
        shared = []
        ranged = any(one.pattern.startswith("nature:") and ".." in one.pattern for one in found.shared)
        for one in found.shared:
            predicate, _, value = one.pattern.partition(":")
            if predicate not in _TAUGHT or (predicate == "nature" and ranged and ".." not in value):
                continue
            out = {breaker.id: breaker.says for breaker in one.breakers}
            holds = tuple(id for id in members if id not in out and id not in one.silent)
            clear = predicate in _PATTERNS and one.holds >= _SHARE * (one.holds + len(out))
            shared.append(
                Tendency(
                    predicate,
                    _words(predicate, one.label),
                    one.pattern,
                    holds,
                    tuple(out),
                    one.silent,
                    (one.rest_holds, one.rest_of),
                    one.definition,
                    out,
                    clear,
                    self._why(predicate, value, holds),
                )
            )
        return Lesson(len(members), tuple(shared), {one.id: one.alone for one in found.standouts if one.alone})

    def _why(self, predicate: str, value: str, holds: Sequence[str]) -> tuple[Reason, ...]:
        """What rules say of the value, the commonest among those who have it first; not more than two."""
        values = None if ".." in value else self._book.facts.vocabularies[f"{predicate}s"].down(value)
        count: dict[str, int] = {}
        first: dict[str, Reason] = {}
        for herb in holds:
            for one in self._reasons.herbs.get(herb, ()):
                if one.predicate == predicate and (values is None or one.value in values):
                    for reason in one.reasons:
                        count[reason.rule] = count.get(reason.rule, 0) + 1
                        first.setdefault(reason.rule, reason)
        ranked = sorted(count, key=lambda rule: (first[rule].only_category, -count[rule], rule))
        return tuple(first[rule] for rule in ranked[:2])


def stand_outs(tendencies: Iterable[Tendency], reasons: Reasons) -> dict[str, list[tuple[Tendency, list[Property]]]]:
    """By member the clear tendencies it breaks, each with the properties it has instead."""
    found: dict[str, list[tuple[Tendency, list[Property]]]] = {}
    for one in tendencies:
        for member in one.contradicted if one.clear else ():
            instead = [held for held in reasons.herbs.get(member, ()) if held.predicate == one.predicate]
            found.setdefault(member, []).append((one, instead))
    return found


def _words(predicate: str, label: str) -> str:
    said = {"channel": label.replace("enters the", "enter the"), "direction": label.removesuffix(" in direction")}
    return capital(said.get(predicate, label))
