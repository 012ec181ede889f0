"""What the page to compare reads: every fact that tells medicinals and forms apart, and what is stated of each."""

from collections.abc import Iterator
from typing import Any

from materia_data import Asked, askable
from materia_exporters.site.book import Book
from materia_exporters.site.search.script import script, steps
from materia_exporters.site.watch import antagonists, heaviest
from materia_exporters.site.words import STATES, amounts

_PART = 64


def facts_scripts(book: Book) -> dict[str, str]:
    """`js/facts.js`, and `js/facts-N.js` for each 64 subjects, so that a page reads only those it compares; what they
    hold is told in `theme/js/compare.js`."""
    ids = [id for id in book.facts.subjects if book.facts.kind(id) != "formulas" and book.href(id)]
    asked = askable(book.materia, ids)
    predicates = {predicate: place for place, (predicate, _) in enumerate(asked.predicates)}
    number = {id: place for place, id in enumerate(ids)}
    told = _Told(book, number)
    subjects = [[*_subject(book, id, told), *truth] for id, truth in zip(ids, _truth(book, asked, ids), strict=True)]
    made = {
        f"js/facts-{start // _PART}.js": script(
            f"part{start // _PART}",
            {"subjects": subjects[start : start + _PART], **told.of(range(start, min(start + _PART, len(ids))))},
        )
        for start in range(0, len(ids), _PART)
    }
    made["js/facts.js"] = script(
        "facts",
        {
            "ids": ids,
            "part": _PART,
            "predicates": asked.predicates,
            "facts": [
                [
                    fact.pattern, fact.label, _word(book, fact.predicate, fact.value), predicates[fact.predicate],
                    len(fact.qualifiers), list(fact.under),
                ]
                for fact in asked.facts
            ],
            "closed": {
                predicate: steps(number[id] for id in ids if book.facts.number[id] in held)
                for predicate, _ in asked.predicates
                if (held := book.facts.closed[predicate])
            },
            "topics": told.covered(book),
            "axes": list(told.axes),
        },
    )  # fmt: skip
    return made


class _Told:
    """Contrasts and mix-ups on record by subject, and the words that they and cautions share, numbered as they come."""

    def __init__(self, book: Book, number: dict[str, int]) -> None:
        self._topics: dict[tuple[str, str], int] = {}
        self.axes: dict[str, int] = {}
        self._contrasts: dict[int, dict[str, list[Any]]] = {}
        self._mixed: dict[int, list[list[Any]]] = {}
        for row in book.rows("contrasts"):
            points: list[list[Any]] = [
                [number[one["subject"]], self._axis(book.label("axes", one["axis"])), one["point"]]
                for one in book.rows("contrast_points", "contrast", row["id"])
                if one["subject"] in number
            ]
            for at in {point[0] for point in points}:
                self._contrasts.setdefault(at, {})[row["id"]] = [
                    row["id"], row["shared"], points, row["source"], row["locator"], row["basis"],
                ]  # fmt: skip
        for row in book.rows("confusions"):
            if row["a"] in number and row["b"] in number:
                pair = [number[row["a"]], number[row["b"]]]
                for at in pair:
                    self._mixed.setdefault(at, []).append([*pair, row["kind"], row["harm"], row["tell_apart"]])

    def topic(self, topic: str, target: str) -> int:
        return self._topics.setdefault((topic, target), len(self._topics))

    def covered(self, book: Book) -> list[list[Any]]:
        """Each topic with its target, in words, and the ones that cover it: a broader target, or none."""
        targets = book.facts.vocabularies["targets"]
        return [
            [
                book.label("topics", topic),
                book.label("targets", target) if target else "",
                [
                    at
                    for (other, broad), at in self._topics.items()
                    if target and other == topic and broad != target and (not broad or broad in targets.up(target))
                ],
            ]
            for topic, target in self._topics
        ]

    def _axis(self, label: str) -> int:
        return self.axes.setdefault(label, len(self.axes))

    def of(self, places: range) -> dict[str, Any]:
        """What is on record of some subjects, each row once."""
        contrasts = {id: row for at in places for id, row in self._contrasts.get(at, {}).items()}
        mixed = {tuple(row[:3]): row for at in places for row in self._mixed.get(at, ())}
        return {"contrasts": list(contrasts.values()), "mixed": list(mixed.values())}


def _word(book: Book, predicate: str, value: str) -> str:
    """The value alone, in words."""
    known = book.facts.vocabularies.get(book.facts.predicates[predicate].values.name)
    if known is not None and value in known:
        return known.label(value)
    return book.name(value).hans if value in book.facts.number else value.replace("-", " ")


def _subject(book: Book, id: str, told: _Told) -> list[Any]:
    kind = book.facts.kind(id)
    name = book.name(id)
    state, about = heaviest(book, id, [row["id"] for row in book.forms(id)] if kind == "herbs" else [])
    return [
        name.hans, name.pinyin, name.en, name.href, STATES.index(state) if state in STATES else state, about,
        _dose(book, id), _cautions(book, id, told),
        [
            [STATES.index(heavy) if heavy in STATES else heavy, *(book.name(one).hans or one for one in held)]
            for heavy, held in antagonists(book, id).items()
        ],
        next((book.label("toxicities", fact.value) for fact in book.of(id, "toxicity")), ""),
        status if (status := book.row("herbs", book.facts.herb_of(id))["status"]) != "current" else "",
    ]  # fmt: skip


def _dose(book: Book, id: str) -> str:
    """An adult's decoction in grams a day, as it stands in the subject's own rows."""
    usual = ("decoction", "day", "adult", "", "g")
    columns = ("route", "per", "population", "purpose", "unit")
    rows = (row for row in book.rows("doses", "subject", id) if tuple(row[column] for column in columns) == usual)
    return "; ".join(amounts(row["min"], row["max"]) for row in rows)


def _cautions(book: Book, id: str, told: _Told) -> list[int]:
    """The cautions that stand, one after the other: topic with target by number, then the state."""
    made: list[int] = []
    for fact in book.of(id, "caution"):
        asked = dict(fact.qualifiers)
        topic = told.topic(asked.get("topic", ""), asked.get("target", ""))
        made += [topic, STATES.index(fact.value) if fact.value in STATES else 4]
    return made


def _truth(book: Book, asked: Asked, ids: list[str]) -> Iterator[list[list[int]]]:
    """For each subject: the facts that it brings in, in order; others that are true of it; those that it brings in and
    that are not; what is stated-false of it beyond what its closed predicates deny; what these leave open."""
    place = {book.facts.number[id]: at for at, id in enumerate(ids)}
    true: list[list[int]] = [[] for _ in ids]
    no: list[list[int]] = [[] for _ in ids]
    unsaid: list[list[int]] = [[] for _ in ids]
    for at, fact in enumerate(asked.facts):
        denied = book.facts.closed[fact.predicate] - fact.true
        for numbers, held in ((fact.true, true), (fact.false - denied, no), (denied - fact.false, unsaid)):
            for number in numbers:
                if number in place:
                    held[place[number]].append(at)
    for at, own in enumerate(asked.own):
        more, bare = sorted(set(true[at]) - set(own)), sorted(set(own) - set(true[at]))
        yield [steps(held) for held in (own, more, bare, no[at], unsaid[at])]
