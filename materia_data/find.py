"""From a messy name to the subjects it may mean: stored names first, near spellings last."""

import unicodedata
from dataclasses import dataclass

from materia_data.names.hit import Hit
from materia_data.names.index import Index, build_index
from materia_data.names.search import search
from materia_data.read.package import Package


@dataclass(frozen=True, slots=True)
class Candidate:
    """A subject that a text may mean. score: 1 an exact stored name, 0.95 and more the same name but for script,
    spacing and tones, below it a name read loosely, least a near spelling; why: in words."""

    id: str
    name_hans: str
    pinyin: str
    score: float
    why: str


def find(package: Package, text: str, names: Index | None = None) -> list[Candidate]:
    """Up to ten subjects that the text may mean, best first; none where nothing is near. Equal scores: the text does
    not tell which. names: the package's names, laid out before."""
    index = names or build_index(package)
    return [candidate(index, hit) for hit in search(index, text)]


def candidate(index: Index, hit: Hit) -> Candidate:
    """A hit as it is shown."""
    return Candidate(hit.subject, *index.shown[hit.subject], round(hit.score, 3), hit.why)


def plain_reading(text: str) -> str:
    """A reading in small letters without its tone marks, its spaces kept."""
    bare = unicodedata.normalize("NFD", text.casefold())
    return "".join(char for char in bare if not unicodedata.combining(char))
