"""What the page to browse by facts reads: every medicinal, and for each value who has it and who states not to."""

from collections.abc import Iterable, Iterator
from typing import Any

from materia_exporters.site.book import Book, place
from materia_exporters.site.search.script import script, steps
from materia_exporters.site.watch import heaviest
from materia_exporters.site.words import STATE_WORDS, STATES, bare

_STATED = STATES[:3]
_ASKED_FIRST = ("pregnancy", "lactation", "children")


def facets_script(book: Book) -> str:
    """The script `js/facets.js`; what it holds is told in `theme/js/browse.js`."""
    order = {row["id"]: at for at, row in enumerate(book.categories)}
    herbs = sorted(
        book.herbs,
        key=lambda herb: (order.get(book.row("herbs", herb)["category"], len(order)), bare(book.name(herb).pinyin)),
    )
    number = {herb: at for at, herb in enumerate(herbs)}
    return script(
        "facets",
        {
            "herbs": [_herb(book, herb) for herb in herbs],
            "facets": [
                _facet(book, number, "nature", "Nature", "natures", False),
                _facet(book, number, "flavor", "Flavors", "flavors", True),
                _facet(book, number, "channel", "Channels", "channels", True),
                _facet(book, number, "action", "Actions", "actions", True),
                _facet(book, number, "category", "Category", "", False),
                _facet(book, number, "toxicity", "Toxicity", "toxicities", False),
                _cautions(book, number),
            ],
            "courses": list(_courses(book, number)),
        },
    )


def _herb(book: Book, herb: str) -> list[Any]:
    name, row = book.name(herb), book.row("herbs", herb)
    state, about = heaviest(book, herb, [form["id"] for form in book.forms(herb)])
    return [
        herb, name.hans, name.pinyin, name.en, name.href, STATES.index(state) if state in STATES else state, about,
        "" if row["status"] == "current" else row["status"], book.label("categories", row["category"]),
    ]  # fmt: skip


def _facet(book: Book, number: dict[str, int], key: str, title: str, table: str, many: bool) -> dict[str, Any]:
    """A predicate as a facet. many: a medicinal may have several values; then all that are chosen must hold, and what
    is stated not to hold can be chosen too."""
    closed = {book.facts.subjects[n] for n in book.facts.closed[key]} & number.keys()
    options = []
    for id, depth in _tree(book, table) if table else ((row["id"], 0) for row in book.categories):
        held = _of(book, f"{key}:{id}", number)
        if not held:
            continue
        term = book.term(table, id) if table else None
        row = book.row("categories", id)
        option = [
            id,
            term.en if term else book.label("categories", id),
            term.hans if term else row["name_hans"],
            depth,
            steps(held),
        ]
        if many:
            denied = _of(book, f"states-not {key}:{id}", number)
            usual = sorted({number[herb] for herb in closed} - set(held))
            option.append(1 if denied and denied == usual else steps(denied))
        options.append(option)
    made: dict[str, Any] = {"key": key, "title": title, "many": int(many), "options": options}
    if many:
        made["closed"] = steps(sorted(number[herb] for herb in closed))
    return made


def _of(book: Book, pattern: str, number: dict[str, int]) -> list[int]:
    return sorted(number[id] for id in book.materia.match(pattern) if id in number)


def _tree(book: Book, table: str) -> Iterator[tuple[str, int]]:
    """The terms of a table, each below the first that it is narrower than, with its depth; ranked ones by rank."""
    rows = {row["id"]: row for row in book.rows(table)}
    below: dict[str, list[str]] = {}
    for id, row in rows.items():
        first = row["broader"].split(";")[0]
        below.setdefault(first if first in rows and first != id else "", []).append(id)
    ranks = book.facts.vocabularies.get(table)

    def walk(id: str, depth: int) -> Iterator[tuple[str, int]]:
        yield id, depth
        yield from (each for one in sorted(below.get(id, ()), key=key) for each in walk(one, depth + 1))

    def key(id: str) -> tuple[float, str]:
        rank = ranks.rank(id) if ranks else None
        return (rank if rank is not None else -99.0, "" if rank is not None else book.label(table, id).casefold())

    for top in sorted(below.get("", ()), key=key):
        yield from walk(top, 0)


def _cautions(book: Book, number: dict[str, int]) -> dict[str, Any]:
    """The cautions stated of a medicinal or of a form of it, by topic and state. What is not stated is no choice."""
    held: dict[tuple[str, str], set[int]] = {}
    for herb, at in number.items():
        for subject in (herb, *(form["id"] for form in book.forms(herb))):
            for fact in book.of(subject, "caution"):
                if fact.value in _STATED:
                    held.setdefault((dict(fact.qualifiers).get("topic", ""), fact.value), set()).add(at)
    topics = list(dict.fromkeys([*_ASKED_FIRST, *book.tables["topics"].columns["id"]]))
    options = [
        [f"{topic}.{state}", f"{book.label('topics', topic)}: {STATE_WORDS[state]}", "", 0, steps(sorted(whom))]
        for topic in topics
        for state in _STATED
        if (whom := held.get((topic, state)))
    ]
    return {"key": "caution", "title": "Cautions stated", "many": 0, "options": options}


def _courses(book: Book, number: dict[str, int]) -> Iterable[list[Any]]:
    """Each course with its units in order: id, position, title, which medicinals it teaches."""
    units = sorted(book.rows("units"), key=lambda row: (row["course"], place(row["position"]), row["id"]))
    for course in dict.fromkeys(row["course"] for row in units):
        told = [
            [row["id"], row["position"], row["title"], steps(sorted(_taught(book, row["id"], number)))]
            for row in units
            if row["course"] == course
        ]
        yield [course, told]


def _taught(book: Book, unit: str, number: dict[str, int]) -> set[int]:
    """A form counts for its herb."""
    ids = (row["subject"] for row in book.rows("unit_subjects", "unit", unit))
    return {number[herb] for id in ids if id in book.facts.number and (herb := book.facts.herb_of(id)) in number}
