"""What a medicinal is told apart from: recorded contrasts, and what is taken for it."""

from collections.abc import Sequence
from typing import Any

from materia_exporters.site.book import Book


def contrasts(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    """Every recorded contrast that one of the subjects is part of."""
    named = dict.fromkeys(row["contrast"] for id in ids for row in book.rows("contrast_points", "subject", id))
    return [contrast(book, id) for id in named]


def contrast(book: Book, id: str) -> dict[str, Any]:
    """A recorded contrast: what its subjects share, and by axis what each has."""
    row = book.row("contrasts", id)
    points = book.rows("contrast_points", "contrast", id)
    axes = list(dict.fromkeys(point["axis"] for point in points))
    subjects = list(dict.fromkeys(point["subject"] for point in points))
    said = {(point["subject"], point["axis"]): point["point"] for point in points}
    return {
        "shared": row["shared"],
        "axes": [book.label("axes", axis) for axis in axes],
        "told": [book.told(row)],
        "subjects": [(book.name(subject), [said.get((subject, axis), "") for axis in axes]) for subject in subjects],
    }


def confusions(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    """What each is taken for, harm first."""
    made = []
    for id in ids:
        rows = [
            *book.rows("confusions", "a", id),
            *(row for row in book.rows("confusions", "b", id) if row["a"] not in ids),
        ]
        made += [
            row
            | {
                "other": book.name(row["b"] if row["a"] == id else row["a"]),
                "of": book.name(id) if id != ids[0] else None,
                "told": [book.told(row)],
            }
            for row in rows
        ]
    return sorted(made, key=lambda row: not row["harm"])
