"""What is not the same name but like one: it stands inside the text, sounds like it or is spelled nearly so."""

from collections.abc import Iterable, Iterator

from materia_data.names.hearing import heard
from materia_data.names.hit import Hit, hit
from materia_data.names.index import Index, Places
from materia_data.names.inside import inside
from materia_data.names.near import near
from materia_data.names.reading import Reading, reading
from materia_data.names.same import of_reading
from materia_data.names.words import words_of

_SPOKEN = 12
_EARS = (("local", 0.86, " sounds like it"), ("foreign", 0.82, " sounds like it to a foreign ear"))


def like(index: Index, text: str) -> Iterator[Hit]:
    """Every subject with a name like the text, 0 to 0.92; one may come more than once."""
    for part in inside(index, text):
        score, how = 0.9, " stands in it"
        if part.rest:
            score, how = min(0.8, 0.1 + 0.9 * part.share), f" stands in it; {part.rest} is not understood"
        for place in part.places:
            yield hit(index, place, score - _less(index, place), how, part.rest)
    yield from _sounding(index, text)
    words = set(words_of(text))
    for place in _all_of(index.word, words):
        share = len(words) / len(words_of(index.names.text[place]))
        yield hit(index, place, 0.8 + 0.1 * share, " holds its words")
    for place, score in near(index, text):
        yield hit(index, place, score - _less(index, place), " is near")


def _less(index: Index, place: int) -> float:
    """How much less a name counts that is only the species: several medicinals come from one plant."""
    return 0.03 if index.names.kind[place] == "species" else 0.0


def _sounding(index: Index, text: str) -> Iterator[Hit]:
    """By ear: characters written for others that are read the same, and sounds taken for one another."""
    asked = [reading(text)]
    if folded := index.script.folded(text):
        asked = [reading(known) for known in index.script.read(folded, stored=False)] if len(folded) <= _SPOKEN else []
        for one in asked:
            for place, marks, less in of_reading(index, one.base):
                agrees = one.agrees(Reading(one.base, marks))
                score, how = (0.92, " is read the same") if agrees else (0.88, " is read the same but for tones")
                yield hit(index, place, score - less, how)
    for ears, score, how in _EARS:
        folds = index.local if ears == "local" else index.foreign
        for base in {one.base for one in asked if one.base}:
            for other in folds.get(heard(base, ears), ()):
                yield from (hit(index, place, score - less, how) for place, _, less in of_reading(index, other))


def _all_of(word: Places, words: Iterable[str]) -> Iterable[int]:
    """The names that hold all the words."""
    found: set[int] | None = None
    for one in words:
        found = set(word.get(one, ())) if found is None else found & set(word.get(one, ()))
    return sorted(found or ())
