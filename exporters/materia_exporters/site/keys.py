"""What each page is made from, as digests: a page whose digest stands need not be made again."""

import re
from collections.abc import Iterable, Iterator
from functools import cached_property
from hashlib import blake2b

from materia_data import table_schemas
from materia_exporters.site.book import Book, Row

_SUBJECTS = frozenset({"herbs", "forms", "formulas"})
_NODES = _SUBJECTS | {"contrasts"}
_TAUGHT = {"nature", "flavor", "channel", "direction", "part", "trait", "action", "category", "subgroup", "status"}
_SEAM = "\x1f"


class Keys:
    """Digests of one package. A medicinal and its forms are one family; what stands in a row with it is its company."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._mine: dict[str, list[bytes]] = {}
        self._company: dict[str, set[str]] = {}
        self._other: list[bytes] = []
        for name, schema in table_schemas().items():
            held = book.tables[name]
            columns = [(field.name, field.is_list) for field in schema.fields if _NODES & set(field.refers)]
            columns += [("record", False)] if "record" in schema.by_name else []
            if name in _NODES:
                columns.append(("id", False))
            for line, row in zip(held.lines, book.rows(name), strict=True):
                made = digest(f"{name}{_SEAM}{line}{_SEAM}{_SEAM.join(row.values())}")
                nodes = set(self._nodes(row, columns)) if columns else set()
                for node in nodes:
                    self._mine.setdefault(node, []).append(made)
                    self._company.setdefault(node, set()).update(nodes)
                if not nodes:
                    self._other.append(made)

    @cached_property
    def common(self) -> bytes:
        """Of all that no subject has to itself: vocabularies, categories, sources, rules."""
        rules = self._book.materia.package.rules
        named = [part for name in sorted(rules) for part in (name, rules[name])]
        layers = [layer.release for layer in self._book.materia.layers]
        return digest(b"".join(self._other), *named, *sorted(self._book.divided), self._book.course, *layers)

    @cached_property
    def taught(self) -> bytes:
        """Of all that reasons, measures and lessons rest on: no prose, no source; doses where a rule reads them."""
        facts = self._book.facts
        rules = "\n".join(self._book.materia.package.rules.values())
        read = [name for name in facts.predicates if name in _TAUGHT or re.search(rf"\b{name}\b", rules)]
        made = [
            self.common.hex(),
            *(_SEAM.join(row.values()) for row in self._book.rows("exceptions")),
            *facts.subjects,
        ]
        said: dict[int, str] = {}
        for predicate in read:
            made.append(predicate)
            made.append(",".join(map(str, sorted(facts.closed.get(predicate, ())))))
            for entries in (facts.effective_entries, facts.own_entries):
                for number, held in sorted(entries[predicate].items()):
                    for entry in held:
                        kind = facts.entries.kind(entry)
                        if (text := said.get(id(kind))) is None:
                            text = said[id(kind)] = repr(tuple(kind))
                        made.append(f"{number}{text}")
        return digest(_SEAM.join(made))

    def of(self, subjects: Iterable[str], *more: str) -> bytes:
        """Of the subjects, all their company, and whatever else is named."""
        mine = {self._family(subject) for subject in subjects}
        near = sorted({other for one in mine for other in (one, *self._company.get(one, ()))})
        return digest(self.common, b"".join(self._whole(one) for one in near), _SEAM.join((*near, *more)))

    def family(self, subject: str) -> bytes:
        """Of all rows that name the medicinal, its forms, or the formula."""
        return digest(self.common, self._whole(self._family(subject)))

    def _whole(self, node: str) -> bytes:
        if node not in self._wholes:
            self._wholes[node] = digest(b"".join(self._mine.get(node, ())))
        return self._wholes[node]

    @cached_property
    def _wholes(self) -> dict[str, bytes]:
        return {}

    def _nodes(self, row: Row, columns: Iterable[tuple[str, bool]]) -> Iterator[str]:
        for column, listed in columns:
            cell = row[column]
            parts = re.split(r"[;|+]", cell) if listed or column == "record" else [cell]
            for part in filter(None, parts):
                if part in self._book.facts.number or column != "record":
                    yield self._family(part)

    def _family(self, id: str) -> str:
        return self._book.facts.herb_of(id) if id in self._book.facts.number else id


def digest(*parts: str | bytes) -> bytes:
    """Sixteen bytes that tell these parts, in this order, from any others."""
    made = blake2b(digest_size=16)
    for part in parts:
        data = part if isinstance(part, bytes) else part.encode("utf-8", "surrogatepass")
        made.update(len(data).to_bytes(4, "big"))
        made.update(data)
    return made.digest()
