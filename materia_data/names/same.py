"""The same name: as stored, in the other script, in another spelling of its reading, its words in another order."""

from collections.abc import Iterable, Iterator

from materia_data.names.hit import Hit, hit
from materia_data.names.index import Index, plain
from materia_data.names.reading import Reading, reading
from materia_data.names.script import is_han
from materia_data.names.wade_giles import careless, written
from materia_data.names.words import words_of


def same(index: Index, text: str) -> Iterator[Hit]:
    """Every subject that has the text for a name, 0.88 to 1; one may come more than once."""
    yield from _exact(index, text)
    folded = index.script.folded(text)
    if folded and not any(char.isalnum() and not is_han(char) for char in text):
        places = index.han.get(folded, [])
        for place, outdone in _headings_first(index, places):
            yield hit(index, place, 0.98 if outdone else 0.99, ", written another way")
    asked = reading(text)
    if asked.base:
        yield from _read(index, asked)
        yield from _spelled(index, text)
        yield from _worded(index, text)


def apart(index: Index, subject: str, others: Iterable[str]) -> bool:
    """Whether being handed the subject for one of the others, or the reverse, matters."""
    return any(index.harm.get(subject, 0) != index.harm.get(other, 0) for other in others)


def of_reading(index: Index, base: str) -> list[tuple[int, str, float]]:
    """Places with this reading, its tones, and how much less one counts that was read character by character."""
    found = [(place, index.tones[place], 0.0) for place in index.read.get(base, ())]
    return found + [(place, marks, 0.02) for place, marks in index.made.get(base, ())]


def _exact(index: Index, text: str) -> Iterator[Hit]:
    for place, outdone in _headings_first(index, index.exact.get(plain(text), [])):
        yield hit(index, place, 0.93 if index.names.kind[place] == "species" else 0.99 if outdone else 1.0)


def _headings_first(index: Index, places: list[int]) -> Iterator[tuple[int, bool]]:
    """Each place, and whether it stands behind a heading: a by-name does, unless the two differ in harm."""
    headings = [index.names.subject[place] for place in places if index.names.kind[place] == "standard"]
    for place in places:
        subject = index.names.subject[place]
        yield place, bool(headings) and subject not in headings and not apart(index, subject, headings)


def _read(index: Index, asked: Reading) -> Iterator[Hit]:
    for place, marks, less in of_reading(index, asked.base):
        if asked.marks == marks and set(marks) - {"."}:
            yield hit(index, place, 0.99 - less, ", the same reading")
        elif asked.agrees(Reading(asked.base, marks)):
            yield hit(index, place, 0.97 - less, ", read without tones and spaces")
        else:
            yield hit(index, place, 0.9 - less, ", read with other tones")


def _spelled(index: Index, text: str) -> Iterator[Hit]:
    """By Wade–Giles; without its signs it is sure only where leaving them out makes no two names one."""
    spelled = written(text)
    whole = index.spelled.get(spelled, [])
    printed = [] if "'" in spelled or "ü" in spelled else index.printed.get(careless(text), [])
    sure = {index.names.subject[place] for place in printed} <= {index.names.subject[place] for place in whole}
    for place in dict.fromkeys([*whole, *printed]):
        less = 0.01 if index.names.kind[place] == "generic" else 0.0
        yield hit(index, place, (0.96 if sure else 0.9) - less, ", in Wade–Giles")


def _worded(index: Index, text: str) -> Iterator[Hit]:
    words = words_of(text)
    for place in index.joined.get("".join(words), ()):
        yield hit(index, place, 0.92 if index.names.kind[place] == "species" else 0.97)
    for place in index.sorted.get(" ".join(sorted(words)), ()):
        yield hit(index, place, 0.94, ", its words in another order")
