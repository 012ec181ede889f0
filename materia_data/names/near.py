"""Stored names that are spelled nearly like a text."""

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

from materia_data.names.index import Index
from materia_data.names.reading import reading
from materia_data.names.words import words_of

_NEAR = 0.7
_MOST = 40
_LONGEST = 80
Place = TypeVar("Place")


def near(index: Index, text: str) -> Iterator[tuple[int, float]]:
    """Places of the names nearest to the text, with 0.8 times the likeness of the spelling.

    Likeness: four parts optimal string alignment (a letter missing, added, changed, or two exchanged), one part
    Jaro–Winkler, which weighs the beginning (rapidfuzz). Chinese names of three characters and more are compared as
    they stand, shorter ones by their readings.
    """
    folded = index.script.folded(text)
    if len(folded) >= 3:
        yield from _nearest(index.han, folded)
    if folded and len(folded) <= _LONGEST:
        asked = [reading(known).base for known in index.script.read(folded, stored=False)]
    else:
        asked = [reading(text).base]
        words = words_of(text)
        yield from _nearest(index.joined, "".join(words))
        yield from _nearest(index.sorted, " ".join(sorted(words)))
        yield from _mended(index, words)
    for base in filter(None, asked):
        yield from _nearest(index.read, base)
        yield from ((place, score - 0.02) for (place, _), score in _nearest(index.made, base))


def _mended(index: Index, words: list[str]) -> Iterator[tuple[int, float]]:
    """Names that hold every word, or the nearest to it; the worst word counts."""
    found: dict[int, float] | None = None
    for word in words:
        near_it: dict[int, float] = {}
        for place, score in [*((place, 0.8) for place in index.word.get(word, ())), *_nearest(index.word, word)]:
            near_it[place] = max(score, near_it.get(place, 0.0))
        found = (
            near_it
            if found is None
            else {place: min(score, near_it[place]) for place, score in found.items() if place in near_it}
        )
    yield from ((place, score - 0.1) for place, score in (found or {}).items())


def _nearest(index: Mapping[str, Sequence[Place]], key: str) -> Iterator[tuple[Place, float]]:
    from rapidfuzz import process
    from rapidfuzz.distance import OSA, JaroWinkler

    if not 3 <= len(key) <= _LONGEST:
        return
    scorer = OSA.normalized_similarity
    for other, alike, _ in process.extract(key, index.keys(), scorer=scorer, score_cutoff=_NEAR, limit=_MOST):
        score = 0.8 * (0.8 * alike + 0.2 * JaroWinkler.normalized_similarity(key, other))
        yield from ((place, round(score, 3)) for place in index[other])
