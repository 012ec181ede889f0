"""Causes and sites that an action implies, and what a stated negative denies."""

from collections.abc import Iterator, Mapping

from materia_data.facts.entries import Kind
from materia_data.facts.predicates import Predicate
from materia_data.facts.vocabulary import Vocabulary


def bars(predicate: Predicate, negative: Kind, positive: Kind, vocabularies: Mapping[str, Vocabulary]) -> bool:
    """Whether a stated negative denies the positive: it is as narrow, and meets each of the negative's qualifiers."""
    terms = vocabularies[predicate.values.name]
    if negative.value not in terms.up(positive.value):
        return False
    for key, value in negative.qualifiers:
        narrower = vocabularies[predicate.asked[key].name].down(value)
        if narrower.isdisjoint(qualifier_values(predicate, positive, key, negative.value, terms)):
            return False
    return True


def qualifier_values(predicate: Predicate, kind: Kind, key: str, about: str, terms: Vocabulary | None) -> set[str]:
    """A positive fact's values of a qualifier: stated, implied by its own value, implied by the one asked about."""
    return set(_values(predicate, kind, key, about, terms))


def _values(predicate: Predicate, kind: Kind, key: str, about: str, terms: Vocabulary | None) -> Iterator[str]:
    yield from (value for held, value in kind.qualifiers if held == key)
    if terms is not None and key in predicate.implied:
        for value in (kind.value, about):
            implied = terms.cell(value, predicate.implied[key]) if value else ""
            yield from filter(None, implied.split(";"))
