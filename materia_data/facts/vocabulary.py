"""Terms with what is broader and narrower than each: those of a table, ids of subjects, or words of an enumeration.

An id that no table knows is its own only relative, has no rank and no label: facts are built from any text. A circle in
`broader` ends where it began. A form is narrower than its herb.
"""

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING

from materia_data.facts.predicates import Words, predicates

if TYPE_CHECKING:
    from materia_data.read.package import Package
    from materia_data.read.table import Table


class Vocabulary:
    """The terms of one table or several, or the words of an enumeration (ranked by place if it is ordered).

    name: the table's, or several joined by `+`; ids: in file order; labels: English name by id.
    """

    def __init__(
        self,
        name: str,
        ids: Iterable[str],
        labels: Mapping[str, str],
        broader: Mapping[str, tuple[str, ...]],
        ranks: Mapping[str, float],
        cells: Mapping[str, Mapping[str, str]],
    ) -> None:
        self.name = name
        self.ids = tuple(ids)
        self.labels = labels
        self._broader = broader
        self._narrower: dict[str, list[str]] = {}
        for id, above in broader.items():
            for term in above:
                self._narrower.setdefault(term, []).append(id)
        self._ranks = ranks
        self._cells = cells
        self._spelled = {id.replace("_", "-"): id for id in reversed(self.ids)}
        self._up: dict[str, frozenset[str]] = {}
        self._down: dict[str, frozenset[str]] = {}

    def __contains__(self, id: object) -> bool:
        return isinstance(id, str) and self.find(id) is not None

    def __iter__(self) -> Iterator[str]:
        return iter(self.ids)

    def find(self, text: str) -> str | None:
        """The id so spelled, `-` and `_` alike; None if there is none."""
        return self._spelled.get(text.replace("_", "-"))

    def up(self, id: str) -> frozenset[str]:
        """The term and everything broader."""
        return _reach(id, self._broader, self._up)

    def down(self, id: str) -> frozenset[str]:
        """The term and everything narrower."""
        return _reach(id, self._narrower, self._down)

    def rank(self, id: str) -> float | None:
        """Where the term stands among the others; None if it has no rank."""
        return self._ranks.get(id)

    def label(self, id: str) -> str:
        """The English name, or the id itself where there is none."""
        return self.labels.get(id) or id

    def cell(self, id: str, column: str) -> str:
        """What the term's row says in a column that only some vocabularies have (`kind`, `topic` …), or nothing."""
        return self._cells.get(column, {}).get(id, "")


def vocabularies(package: "Package") -> dict[str, Vocabulary]:
    """Every vocabulary that a predicate or a qualifier draws its values from, by the name of its `Words`."""
    found: dict[str, Vocabulary] = {}
    for predicate in predicates().values():
        for words in (predicate.values, *predicate.asked.values()):
            if words.kind != "number" and words.name not in found:
                tables = [package.tables[table] for table in words.tables]
                found[words.name] = _of_tables(words.name, tables) if tables else _of_words(words)
    return found


def _of_words(words: Words) -> Vocabulary:
    ranked = [word for word in words.words if word not in words.unranked] if words.kind == "ordered" else []
    return Vocabulary(words.name, words.words, {}, {}, {word: float(place) for place, word in enumerate(ranked)}, {})


def _of_tables(name: str, tables: list["Table"]) -> Vocabulary:
    labels: dict[str, str] = {}
    broader: dict[str, tuple[str, ...]] = {}
    ranks: dict[str, float] = {}
    cells: dict[str, dict[str, str]] = {}
    for table in tables:
        ids = table.columns["id"]
        for column, texts in table.columns.items():
            if column == "name_en" or (column == "title" and "name_en" not in table.columns):
                labels |= {id: text for id, text in zip(ids, texts, strict=True) if id not in labels}
            elif column in ("broader", "herb"):
                broader |= {
                    id: tuple(filter(None, text.split(";"))) for id, text in zip(ids, texts, strict=True) if text
                }
            elif column == "rank":
                ranks |= {id: float(text) for id, text in zip(ids, texts, strict=True) if text.lstrip("-").isdecimal()}
            elif column in _other_columns():
                cells[column] = dict(zip(ids, texts, strict=True))
    return Vocabulary(
        name, dict.fromkeys(id for table in tables for id in table.columns["id"] if id), labels, broader, ranks, cells
    )


@cache
def _other_columns() -> frozenset[str]:
    named = set[str]()
    for predicate in predicates().values():
        named |= {*predicate.implied.values(), *predicate.constituents, *predicate.empty_covers.values()}
    return frozenset(named)


def _reach(id: str, next_to: Mapping[str, Iterable[str]], known: dict[str, frozenset[str]]) -> frozenset[str]:
    if id not in known:
        reached, waiting = {id}, [id]
        while waiting:
            for term in next_to.get(waiting.pop(), ()):
                if term not in reached:
                    reached.add(term)
                    waiting.append(term)
        known[id] = frozenset(reached)
    return known[id]
