"""The cautions of a medicinal with its forms, a formula with its items, a category with its members; heaviest first."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from materia_data import Fact
from materia_exporters.site.book import ASKED_FIRST, Book, Name, Told
from materia_exporters.site.words import STATES, capital, plain

LISTS = {"eighteen": "eighteen antagonisms", "nineteen": "nineteen fears", "pharmacopoeia": "pharmacopoeia"}


@dataclass(frozen=True, slots=True)
class Part:
    """Whom an item of many concerns: for this target, or together with these others."""

    target: str
    others: tuple[Name, ...]
    of: tuple[Name, ...]


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to watch: what for, of whom, in what words, whose; or parts, of many.

    of: nobody for the subject itself and the forms that have it from there; but: forms of which something else holds.
    """

    what: str
    target: str
    of: tuple[Name, ...]
    detail: str
    reason: str
    told: tuple[Told, ...]
    confirmed: bool = True
    parts: tuple[Part, ...] = ()
    but: tuple[Name, ...] = ()


@dataclass(frozen=True, slots=True)
class Watch:
    """All items of one state. `not-checked` has one item a topic that no caution speaks of."""

    state: str
    items: tuple[Item, ...]


def watch_medicinal(book: Book, herb: str) -> list[Watch]:
    """What to watch with a medicinal: its own cautions and antagonisms, then those only its forms have."""
    forms = [row["id"] for row in book.forms(herb)]
    found = [
        (fact.value, replace(_item(book, fact, ()), but=tuple(book.names(_otherwise(book, fact, forms)))))
        for fact in book.of(herb, "caution")
    ]
    found += _antagonisms(book, herb)
    found += _of_forms(book, forms)
    checked = {
        fact.qualifiers[0][1] for subject in (herb, *forms) for fact in book.of(subject, "caution") if fact.qualifiers
    }
    return _watches(book, found, _unchecked(book, checked))


def watch_formula(book: Book, formula: str, items: Sequence[str], clashes: Iterable[tuple[str, Item]]) -> list[Watch]:
    """What to watch with a formula: antagonisms inside it, its own cautions, those of items as safety reads them."""
    own = book.of(formula, "caution")
    found = [*clashes, *((fact.value, _item(book, fact, ())) for fact in own)]
    gathered: dict[tuple[str, str], dict[str, dict[str, None]]] = {}
    for item in dict.fromkeys(items):
        for fact in book.of(book.facts.default_form(item), "caution") if item in book.facts.number else ():
            topic, target = _about(fact)
            gathered.setdefault((fact.value, topic), {}).setdefault(target, {})[item] = None
    found += _of_many(book, gathered)
    return _watches(book, found, _unchecked(book, {_about(fact)[0] for fact in own} | {topic for _, topic in gathered}))


def watch_category(book: Book, members: Sequence[str]) -> list[Watch]:
    """What to watch in a category: by state and topic the members, each at its heaviest; how many were not checked."""
    gathered: dict[tuple[str, str], dict[str, dict[str, None]]] = {}
    against: dict[str, dict[str, dict[str, None]]] = {}
    spoken: dict[str, set[str]] = {}
    for member in members:
        for fact in book.of(member, "caution"):
            topic, target = _about(fact)
            spoken.setdefault(topic, set()).add(member)
            gathered.setdefault((fact.value, topic), {}).setdefault("" if topic == "pattern" else target, {})[
                member
            ] = None
        for state, others in antagonists(book, member).items():
            for other in others:
                against.setdefault(state, {}).setdefault(other, {})[member] = None
    for (state, topic), targets in gathered.items():
        for target, whom in targets.items():
            for heavier in STATES[: STATES.index(state)] if state in STATES else ():
                for member in gathered.get((heavier, topic), {}).get(target, {}):
                    whom.pop(member, None)
    items = [*_against_many(book, against), *_of_many(book, gathered)]
    silent = {topic: len(members) - len(spoken.get(topic, ())) for topic in book.topics}
    lacking = [
        Item(_topic(book, topic), "", (), f"{count} of {len(members)}", "", ())
        for topic, count in silent.items()
        if count
    ]
    return _watches(book, items, lacking)


def heaviest(book: Book, subject: str, forms: Sequence[str] = ()) -> tuple[str, str]:
    """The heaviest state of a subject or its forms, and what it is about; `not-checked` where nothing is stated.

    Antagonisms count. A form's caution is marked as the form's. Among equals what is asked for first is named.
    """
    found: list[tuple[int, int, int, str]] = []
    for order, one in enumerate((subject, *forms)):
        for fact in book.of(one, "caution"):
            if order and fact.inherited_from:
                continue
            topic, target = _about(fact)
            what = book.label("targets", target) if target else book.label("topics", topic)
            kind = book.row("forms", one)["kind"] if order else ""
            found.append(
                (_weight(fact.value), min(order, 1), _turn(topic), f"{what} ({plain(kind)})" if kind else what)
            )
    for state, others in antagonists(book, subject).items():
        named = ", ".join(book.name(other).hans or other for other in others[:3])
        found.append((_weight(state), 0, -1, f"with {named}{' …' if len(others) > 3 else ''}"))
    if not found:
        return "not-checked", ""
    first = min(found)
    return STATES[first[0]], first[3]


def antagonists(book: Book, subject: str) -> dict[str, list[str]]:
    """By state, heaviest first, whom a subject must not be combined with; each once, at its heaviest."""
    heavy: dict[str, str] = {}
    for fact in book.of(subject, "opposes"):
        state = dict(fact.qualifiers).get("state", "avoid")
        if fact.value not in heavy or _weight(state) < _weight(heavy[fact.value]):
            heavy[fact.value] = state
    return {
        state: [other for other, held in heavy.items() if held == state] for state in STATES if state in heavy.values()
    }


def antagonism_lists(book: Book, subject: str, other: str) -> tuple[str, tuple[Told, ...]]:
    """Where an antagonism is listed, in words, and whose word it is."""
    facts = [fact for fact in book.of(subject, "opposes") if fact.value == other]
    said = []
    for fact in facts:
        asked = dict(fact.qualifiers)
        reading = ", read into the verse" if asked.get("reading") == "extended" else ""
        said.append(f"{LISTS.get(asked.get('list', ''), plain(asked.get('list', '')))}{reading}")
    return "; ".join(dict.fromkeys(said)), _each(book.word(fact) for fact in facts)


def _antagonisms(book: Book, subject: str) -> list[tuple[str, Item]]:
    found = []
    for state, others in antagonists(book, subject).items():
        said = {other: antagonism_lists(book, subject, other) for other in others}
        for words in dict.fromkeys(words for words, _ in said.values()):
            whom = [other for other in others if said[other][0] == words]
            told = _each(one for other in whom for one in said[other][1])
            found.append((state, Item("Together with", "", tuple(book.names(whom)), f"{capital(words)}.", "", told)))
    return found


def _otherwise(book: Book, fact: Fact, forms: Iterable[str]) -> list[str]:
    """The forms for which a caution of their herb does not hold as it stands."""
    return [
        form
        for form in forms
        if not any((one.value, one.qualifiers) == (fact.value, fact.qualifiers) for one in book.of(form, "caution"))
    ]


def _of_forms(book: Book, forms: Iterable[str]) -> list[tuple[str, Item]]:
    """The cautions that forms' own rows state, alike ones once; looser ones that nobody confirms are marked."""
    merged: dict[tuple[str, Item], list[str]] = {}
    for form in forms:
        own = [fact for fact in book.of(form, "caution") if not fact.inherited_from]
        unsure = [fact for fact in book.own(form, "caution") if not fact.confirmed]
        for fact in (*own, *unsure):
            merged.setdefault((fact.value, _item(book, fact, ())), []).append(form)
        for state, item in _antagonisms(book, form):
            if not any(
                set(item.of) <= set(book.names(others))
                for others in antagonists(book, book.facts.herb_of(form)).values()
            ):
                merged.setdefault((state, item), []).append(form)
    return [
        (
            state,
            Item(
                item.what,
                item.target,
                (*book.names(whom), *item.of),
                item.detail,
                item.reason,
                item.told,
                item.confirmed,
            ),
        )
        for (state, item), whom in merged.items()
    ]


def _item(book: Book, fact: Fact, of: tuple[Name, ...]) -> Item:
    topic, target = _about(fact)
    row = book.row_of(fact)
    return Item(
        _topic(book, topic),
        book.label("targets", target) if target else "",
        of,
        row.get("detail", ""),
        row.get("reason", ""),
        (book.word(fact),),
        fact.confirmed,
    )


def _of_many(book: Book, gathered: dict[tuple[str, str], dict[str, dict[str, None]]]) -> Iterator[tuple[str, Item]]:
    """An item for each state and topic, with a part for each target."""
    for (state, topic), targets in gathered.items():
        parts = tuple(
            Part(book.label("targets", target) if target else "", (), tuple(book.names(whom)))
            for target, whom in sorted(targets.items())
            if whom
        )
        if parts:
            yield state, Item(_topic(book, topic), "", (), "", "", (), parts=parts)


def _against_many(book: Book, against: dict[str, dict[str, dict[str, None]]]) -> Iterator[tuple[str, Item]]:
    """An item for each state, with a part for each set of members that the same others oppose."""
    for state, others in against.items():
        alike: dict[tuple[str, ...], list[str]] = {}
        for other, whom in others.items():
            alike.setdefault(tuple(whom), []).append(other)
        parts = tuple(Part("", tuple(book.names(held)), tuple(book.names(whom))) for whom, held in alike.items())
        yield state, Item("Together with", "", (), "", "", (), parts=parts)


def _watches(book: Book, found: Iterable[tuple[str, Item]], lacking: list[Item]) -> list[Watch]:
    turn = {_topic(book, topic): _turn(topic) for topic in book.topics}
    held: dict[str, list[Item]] = {state: [] for state in STATES}
    for state, item in found:
        held.setdefault(state, []).append(item)
    held["not-checked"] = lacking
    return [
        Watch(
            state,
            tuple(sorted(items, key=lambda item: (turn.get(item.what, -1), item.what)))
            if state != "not-checked"
            else tuple(items),
        )
        for state, items in held.items()
        if items
    ]


def _unchecked(book: Book, checked: set[str]) -> list[Item]:
    return [Item(_topic(book, topic), "", (), "", "", ()) for topic in book.topics if topic not in checked]


def _topic(book: Book, topic: str) -> str:
    return capital(book.label("topics", topic))


def _turn(topic: str) -> int:
    return ASKED_FIRST.index(topic) if topic in ASKED_FIRST else len(ASKED_FIRST)


def _about(fact: Fact) -> tuple[str, str]:
    asked = dict(fact.qualifiers)
    return asked.get("topic", ""), asked.get("target", "")


def _weight(state: str) -> int:
    return STATES.index(state) if state in STATES else len(STATES) - 1


def _each(told: Iterable[Told]) -> tuple[Told, ...]:
    return tuple(dict.fromkeys(told))
