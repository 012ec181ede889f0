"""What a school's layers say on a page, and what they loosen, which every page names."""

from collections.abc import Sequence
from typing import Any

from materia_data import LayerLine, layer_lines
from materia_exporters.site.book import Book


def layers(book: Book, ids: Sequence[str], items: Sequence[str] = ()) -> tuple[LayerLine, ...]:
    """What layers loosen and say of the subjects of a page. items: what a formula holds."""
    return layer_lines(book.materia, ids, items)


def all_layers(book: Book) -> list[dict[str, Any]]:
    """Each layer by id and title, with the medicinals and formulas of which it loosens something."""
    found = [(one.layer, book.facts.herb_of(one.subject)) for one in book.materia.all_loosened
             if one.subject in book.facts.number]  # fmt: skip
    return [
        {
            "id": layer.id,
            "title": layer.title,
            "loosens": [book.name(subject) for subject in dict.fromkeys(id for mark, id in found if mark == layer.id)],
        }
        for layer in book.materia.layers
    ]
