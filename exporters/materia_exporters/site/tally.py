"""How many values rest on which source, and how: counted once a subject, and kept."""

from collections import Counter

from materia_exporters.site.book import Book
from materia_exporters.site.keys import Keys
from materia_exporters.site.store import Store

_NAME = "tallies"


def tally(book: Book, keys: Keys, store: Store) -> Counter[tuple[str, str]]:
    """By source and basis the values that rows of the package state; `basis` itself is no value."""
    kept = store.thing(_NAME, b"") or {}
    made: dict[str, tuple[bytes, Counter[tuple[str, str]]]] = {}
    whole: Counter[tuple[str, str]] = Counter()
    for subject in book.facts.subjects:
        key = keys.family(subject)
        if subject in kept and kept[subject][0] == key:
            made[subject] = kept[subject]
        else:
            facts = (fact for fact in book.own(subject) if fact.predicate != "basis")
            made[subject] = key, Counter((fact.source, fact.basis) for fact in facts)
        whole += made[subject][1]
    if made != kept:
        store.keep_thing(_NAME, b"", made)
    return whole
