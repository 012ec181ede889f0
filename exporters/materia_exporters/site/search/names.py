"""What the search box reads: every name of every subject, the tables that fold names, look-alikes, actions, lessons."""

from typing import Any

from materia_data import NameKeys, name_keys
from materia_exporters.site.book import Book, slug
from materia_exporters.site.search.script import script, steps
from materia_exporters.site.watch import heaviest
from materia_exporters.site.words import STATES

_KINDS = ("herbs", "forms", "formulas")


def names_script(book: Book) -> str:
    """The script `js/names.js`; what it holds is told in `theme/js/layout.js`, which lays it out."""
    package = book.materia.package
    keys = name_keys(package, book.materia.names)
    ids = [id for table in _KINDS for id in dict.fromkeys(book.tables[table].columns["id"]) if book.href(id)]
    number = {id: place for place, id in enumerate(ids)}
    mixed, taxa = _mixed(book, keys, number)
    return script(
        "names",
        {
            "subjects": [_subject(book, keys, id) for id in ids],
            **_names(keys, number),
            "taxa": taxa,
            "mixed": mixed,
            "terms": [*_actions(book, number), *_lessons(book)],
            "keys": _tables(keys),
        },
    )


def _subject(book: Book, keys: NameKeys, id: str) -> list[Any]:
    kind = book.facts.kind(id)
    name = book.name(id)
    state, about = heaviest(book, id, [row["id"] for row in book.forms(id)] if kind == "herbs" else [])
    status = book.row("herbs", book.facts.herb_of(id))["status"] if kind != "formulas" else ""
    core = any(row["depth"] == "core" for row in book.rows("unit_subjects", "subject", id))
    return [
        _KINDS.index(kind), id, name.hans, name.hant, name.pinyin, name.en, name.latin,
        "" if name.href == _usual(book, kind, id) else name.href,
        STATES.index(state) if state in STATES else state, about, _line(book, id, kind), keys.harm.get(id, 0),
        "" if status == "current" else status, int(core),
    ]  # fmt: skip


def _usual(book: Book, kind: str, id: str) -> str:
    """The address that the script makes of an id by itself."""
    if kind == "forms":
        return f"medicinals/{book.facts.herb_of(id)}.html#{id}"
    return f"{'formulas' if kind == 'formulas' else 'medicinals'}/{id}.html"


def _line(book: Book, id: str, kind: str) -> str:
    if kind == "forms":
        return book.row("forms", id)["changes"]
    facts = [fact for fact in book.of(id, "action") if fact.stated]
    chief = [fact for fact in facts if dict(fact.qualifiers).get("weight") == "chief"]
    said = ", ".join(dict.fromkeys(book.label("actions", fact.value) for fact in (chief or facts)))
    return said[:1].upper() + said[1:]


def _names(keys: NameKeys, number: dict[str, int]) -> dict[str, Any]:
    """The names beside those of the subject's own row, subject by subject; kinds and languages by number."""
    kinds: dict[str, int] = {}
    langs: dict[str, int] = {}
    held: list[list[Any]] = [[] for _ in number]
    for name in keys.names:
        if name.kind != "standard" and name.subject in number:
            held[number[name.subject]] += [
                name.text,
                kinds.setdefault(name.kind, len(kinds)),
                langs.setdefault(name.lang, len(langs)),
            ]
    return {"names": held, "kinds": list(kinds), "langs": list(langs)}


def _mixed(book: Book, keys: NameKeys, number: dict[str, int]) -> tuple[list[Any], list[Any]]:
    """What is taken for each other, where that hurts or where one is of none of ours; a taxon counts on from the
    subjects."""
    mixed: list[Any] = []
    taxa: list[Any] = []
    places = dict(number)
    for row in book.rows("confusions"):
        pair = (row["a"], row["b"])
        if not row["harm"] and set(pair) <= number.keys() and keys.harm.get(pair[0], 0) == keys.harm.get(pair[1], 0):
            continue
        for id in pair:
            if id not in places:
                term = book.term("taxa", id)
                places[id] = len(places)
                taxa.append(
                    [term.hans, term.hant, term.pinyin, term.en, term.latin, book.row("taxa", id).get("definition", "")]
                )
        mixed.append([places[pair[0]], places[pair[1]], row["kind"], row["harm"], row["tell_apart"]])
    return mixed, taxa


def _actions(book: Book, number: dict[str, int]) -> list[Any]:
    """Each action that a medicinal has: kind, names, address, and who has it, as a chief one and otherwise."""
    made = []
    for id in book.tables["actions"].columns["id"]:
        held = [one for one in book.materia.match(f"action:{id}") if book.facts.kind(one) == "herbs"]
        if held:
            chief = set(book.materia.match(f"action:{id}[weight:chief]"))
            term = book.term("actions", id)
            made.append(
                [
                    0, term.en, term.hans, term.hant, term.pinyin, f"browse.html#action={id}",
                    steps(number[one] for one in held if one in chief),
                    steps(number[one] for one in held if one not in chief),
                ]
            )  # fmt: skip
    return made


def _lessons(book: Book) -> list[Any]:
    """Categories and groups: kind, names, page."""
    made = [
        [1, row["name_en"], row["name_hans"], "", "", f"categories/{slug(row['id'])}.html"] for row in book.categories
    ]
    known = {row["id"] for row in book.categories}
    made += [
        [2, row["name_en"], row["name_hans"], "", "", book.group_href(row["id"])]
        for row in book.rows("groups")
        if row["category"] in known
    ]
    return made


def _tables(keys: NameKeys) -> dict[str, Any]:
    """The tables of folding; characters that are read alike stand together."""
    alike: dict[str, str] = {}
    for char, readings in keys.others.items():
        heard = ",".join(readings)
        alike[heard] = alike.get(heard, "") + char
    return {
        "simple": ["".join(keys.simple), "".join(keys.simple.values())],
        "readings": {char: ",".join(readings) for char, readings in keys.readings.items()},
        "others": alike,
        "radicals": ["".join(keys.radicals), "".join(keys.radicals.values())],
        "syllables": " ".join(f"{pinyin} {written}" for pinyin, written in keys.syllables.items()),
        "sounds": keys.sounds,
        "small": " ".join(keys.small),
    }
