"""A question as it stands in a quiz file."""

from dataclasses import dataclass

from materia_data.study.items.item import Claim


class QuizFileError(ValueError):
    """The file cannot be read as a quiz: says where, what, and what to do."""


@dataclass(frozen=True, slots=True)
class Asked:
    """place: line of the CSV, or file of the package; id: as written; keys: places of the options said to be right,
    none where the key names no option; kind, claims, facts: of an item that `materia study items` made, else empty."""

    place: str
    id: str
    stem: str
    options: tuple[str, ...]
    keys: tuple[int, ...]
    kind: str = ""
    claims: tuple[Claim, ...] = ()
    facts: tuple[str, ...] = ()
