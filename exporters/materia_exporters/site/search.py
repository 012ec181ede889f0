"""The index that the search script reads: every name of every subject, and of every taxon that is taken for one."""

import json
from typing import Any

from materia_exporters.site.book import Book, Name
from materia_exporters.site.watch import heaviest


def index(book: Book) -> str:
    """A classic script that sets `window.MATERIA`, so that it loads from disk too.

    Each entry: k kind (medicinal, form, formula, look-alike), h page, n [hans, hant, pinyin, English, Latin], o other
    names as [name, kind, language], s heaviest state, a what about, d one line, x look-alikes as [entry, kind, harm,
    how to tell apart], w status unless current, r grade of toxicity as a rank, c 1 where it is taught as core.
    """
    entries: list[dict[str, Any]] = []
    number: dict[str, int] = {}
    for id in book.facts.subjects:
        if id not in number and book.href(id):
            number[id] = len(entries)
            entries.append(_subject(book, id))
    _look_alikes(book, entries, number)
    text = json.dumps(entries, ensure_ascii=False, separators=(",", ":"))
    return f"window.MATERIA={text};\n"


def _subject(book: Book, id: str) -> dict[str, Any]:
    kind = {"herbs": "medicinal", "forms": "form", "formulas": "formula"}[book.facts.kind(id)]
    name = book.name(id)
    forms = [row["id"] for row in book.forms(id)] if kind == "medicinal" else []
    state, about = heaviest(book, id, forms)
    others = [[row["name"], row["kind"], row["lang"]] for row in book.rows("names", "subject", id)]
    taxa = [row["taxon"] for row in book.rows("species", "subject", id) if row["status"] == "official"]
    for taxon in dict.fromkeys(taxa):
        term = book.term("taxa", taxon)
        others += [
            [text, "species", lang]
            for text, lang in ((term.latin, "la"), (term.hans, "zh-Hans"), (term.en, "en"))
            if text
        ]
    entry: dict[str, Any] = {
        "k": kind,
        "h": name.href,
        "n": _names(name),
        "o": others,
        "s": state,
        "a": about,
        "d": _line(book, id, kind),
    }
    status = book.row("herbs", book.facts.herb_of(id))["status"] if kind != "formula" else ""
    if status not in ("", "current"):
        entry["w"] = status
    if any(row["depth"] == "core" for row in book.rows("unit_subjects", "subject", id)):
        entry["c"] = 1
    toxicity = next(iter(book.of(id, "toxicity")), None)
    if toxicity and (rank := book.facts.vocabularies["toxicities"].rank(toxicity.value)):
        entry["r"] = rank
    return entry


def _names(name: Name) -> list[str]:
    return [name.hans, name.hant, name.pinyin, name.en, name.latin]


def _line(book: Book, id: str, kind: str) -> str:
    if kind == "form":
        return book.row("forms", id)["changes"]
    facts = [fact for fact in book.of(id, "action") if fact.stated]
    chief = [fact for fact in facts if dict(fact.qualifiers).get("weight") == "chief"]
    said = ", ".join(dict.fromkeys(book.label("actions", fact.value) for fact in (chief or facts)))
    return said[:1].upper() + said[1:]


def _look_alikes(book: Book, entries: list[dict[str, Any]], number: dict[str, int]) -> None:
    """Link what is taken for each other, where harm is stated; a taxon that is no medicinal here gets an entry."""
    for row in book.rows("confusions"):
        if not row["harm"]:
            continue
        for id in (row["a"], row["b"]):
            if id not in number:
                term = book.term("taxa", id)
                number[id] = len(entries)
                home = row["b"] if id == row["a"] else row["a"]
                entries.append(
                    {
                        "k": "look-alike",
                        "h": book.name(home).href,
                        "n": _names(term),
                        "o": [],
                        "s": "not-checked",
                        "a": "",
                        "d": book.row("taxa", id)["definition"],
                    }
                )
        for one, other in ((row["a"], row["b"]), (row["b"], row["a"])):
            entries[number[one]].setdefault("x", []).append(
                [number[other], row["kind"], row["harm"], row["tell_apart"]]
            )
