"""What the members of a group share, how far, and who breaks it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from materia_data import Property, Reason
from materia_exporters.site.book import Book
from materia_exporters.site.reasons import Reasons
from materia_exporters.site.words import capital

_LEAST_MEMBERS = 3
_SHARE = 0.6


@dataclass(frozen=True, slots=True)
class Tendency:
    """A value that most members have.

    values: the ids that count as it; holds, contradicted, unstated: ids of members; base: how many of how many herbs
    have it anyway; reasons: what rules say of it, the commonest among those who have it first.
    """

    predicate: str
    words: str
    pattern: str
    values: frozenset[str]
    holds: tuple[str, ...]
    contradicted: tuple[str, ...]
    unstated: tuple[str, ...]
    base: tuple[int, int]
    reasons: tuple[Reason, ...] = ()


class Tendencies:
    """Tendencies of any set of herbs, by patterns over nature, flavour, channel and direction, each matched once."""

    def __init__(self, book: Book, reasons: Reasons) -> None:
        self._book = book
        self._reasons = reasons
        herbs = set(book.herbs)
        self._asked = [
            (
                predicate,
                words,
                pattern,
                values,
                herbs & set(book.materia.match(pattern)),
                herbs & set(book.materia.match(f"states-not {pattern}")),
            )
            for predicate, words, pattern, values in _patterns(book)
        ]
        self._all = len(herbs)

    def of(self, members: Sequence[str]) -> list[Tendency]:
        """What at least three members have: half of all, three in five of those that state it, more than herbs do."""
        return [replace(one, reasons=self._why(one)) for one in self._each(members) if _shared(one)]

    def _each(self, members: Sequence[str]) -> Iterator[Tendency]:
        if len(members) < _LEAST_MEMBERS:
            return
        for predicate, words, pattern, values, true, false in self._asked:
            holds = tuple(member for member in members if member in true)
            broken = tuple(member for member in members if member in false)
            silent = tuple(member for member in members if member not in true and member not in false)
            yield Tendency(predicate, words, pattern, values, holds, broken, silent, (len(true), self._all))

    def _why(self, tendency: Tendency) -> tuple[Reason, ...]:
        """What rules say of the value, the commonest among those who have it first; not more than two."""
        count: dict[str, int] = {}
        first: dict[str, Reason] = {}
        for herb in tendency.holds:
            for one in self._reasons.herbs.get(herb, ()):
                if one.predicate == tendency.predicate and one.value in tendency.values:
                    for reason in one.reasons:
                        count[reason.rule] = count.get(reason.rule, 0) + 1
                        first.setdefault(reason.rule, reason)
        ranked = sorted(count, key=lambda rule: (first[rule].only_category, -count[rule], rule))
        return tuple(first[rule] for rule in ranked[:2])


def stand_outs(tendencies: Iterable[Tendency], reasons: Reasons) -> dict[str, list[tuple[Tendency, list[Property]]]]:
    """By member the tendencies it breaks, each with the properties it has instead."""
    found: dict[str, list[tuple[Tendency, list[Property]]]] = {}
    for one in tendencies:
        for member in one.contradicted:
            instead = [held for held in reasons.herbs.get(member, ()) if held.predicate == one.predicate]
            found.setdefault(member, []).append((one, instead))
    return found


def _shared(one: Tendency) -> bool:
    stating = len(one.holds) + len(one.contradicted)
    if (
        len(one.holds) < _LEAST_MEMBERS
        or len(one.holds) < _SHARE * stating
        or 2 * len(one.holds) < stating + len(one.unstated)
    ):
        return False
    return len(one.holds) * one.base[1] > one.base[0] * (stating + len(one.unstated))


def _patterns(book: Book) -> Iterator[tuple[str, str, str, frozenset[str]]]:
    natures = book.facts.vocabularies["natures"]
    ranks = {id: rank for id in natures.ids if _writable(id) and (rank := natures.rank(id)) is not None}
    if "neutral" in ranks:
        warmer = frozenset(id for id in ranks if ranks[id] > ranks["neutral"])
        cooler = frozenset(id for id in ranks if ranks[id] < ranks["neutral"])
        if warmer:
            yield "nature", "Warm or hot", f"nature:{min(sorted(warmer), key=ranks.__getitem__)}..", warmer
        if cooler:
            yield "nature", "Cool or cold", f"nature:..{max(sorted(cooler), key=ranks.__getitem__)}", cooler
        yield "nature", "Neutral", "nature:neutral", frozenset({"neutral"})
    for predicate, table, words in (
        ("flavor", "flavors", "{}"),
        ("channel", "channels", "Enter the {}"),
        ("direction", "directions", "{}"),
    ):
        terms = book.facts.vocabularies[table]
        for id in terms.ids:
            if not book.row(table, id).get("broader") and _writable(id):
                yield predicate, capital(words.format(book.label(table, id))), f"{predicate}:{id}", terms.down(id)


def _writable(id: str) -> bool:
    return bool(id) and all(char.isalnum() or char in "-_" for char in id)
