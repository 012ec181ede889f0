"""One answer of a look-up."""

from dataclasses import dataclass

from materia_data.names.index import Index


@dataclass(frozen=True, slots=True)
class Hit:
    """A subject that the text may mean. score: 0 to 1; why: in words; place: of the name that led to it; rest: what of
    an unbroken run of characters is not part of that name."""

    subject: str
    score: float
    why: str
    place: int
    rest: str = ""


def hit(index: Index, place: int, score: float, how: str = "", rest: str = "") -> Hit:
    """A hit by the name at this place; how: what comes after the name in `why`."""
    names = index.names
    return Hit(names.subject[place], score, f"{names.what[place]} {names.text[place]}{how}", place, rest)
