"""Nature on its scale: which place of how many."""

from dataclasses import dataclass

from materia_exporters.site.book import Book


@dataclass(frozen=True, slots=True)
class Ruler:
    """place, of: which of how many, coldest first; neutral: its place, 0 if there is none; first, last: their names."""

    place: int
    of: int
    neutral: int
    first: str
    last: str


def scale(book: Book) -> Ruler | None:
    """The scale itself, at its first place; None if there is none."""
    ids = book.facts.vocabularies["natures"].ids
    return next((found for id in ids if (found := ruler(book, id))), None)


def ruler(book: Book, nature: str) -> Ruler | None:
    """The place of a nature among the ranks of all natures; None if it has no rank, or there are fewer than two."""
    natures = book.facts.vocabularies["natures"]
    by_rank: dict[float, str] = {}
    for id in natures.ids:
        if (rank := natures.rank(id)) is not None:
            by_rank.setdefault(rank, id)
    own = natures.rank(nature)
    ranks = sorted(by_rank)
    if own is None or len(ranks) < 2:
        return None
    neutral = natures.rank("neutral")
    return Ruler(
        ranks.index(own) + 1,
        len(ranks),
        ranks.index(neutral) + 1 if neutral is not None else 0,
        book.label("natures", by_rank[ranks[0]]),
        book.label("natures", by_rank[ranks[-1]]),
    )
