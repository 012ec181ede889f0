"""Whom a medicinal must not be combined with, whom it is combined with on purpose, and in which formulas it stands."""

from collections.abc import Sequence
from typing import Any

from materia_exporters.site.book import Book, Name
from materia_exporters.site.watch import antagonism_lists, antagonists
from materia_exporters.site.words import plain


def never(book: Book, herb: str) -> list[dict[str, Any]]:
    """By state whom it must not be combined with, and in what words; those of whom the same is said together."""
    made = []
    for state, others in antagonists(book, herb).items():
        alike: dict[Any, list[Name]] = {}
        for other in others:
            lists, told = antagonism_lists(book, herb, other)
            alike.setdefault((lists, _antagonism_detail(book, herb, other), told), []).append(book.name(other))
        said = [
            {"others": names, "lists": lists, "detail": detail, "told": told}
            for (lists, detail, told), names in alike.items()
        ]
        made.append({"state": state, "others": book.names(others), "said": said})
    return made


def _antagonism_detail(book: Book, herb: str, other: str) -> str:
    facts = [fact for fact in book.of(herb, "opposes") if fact.value == other]
    return " ".join(dict.fromkeys(row["detail"] for row in map(book.row_of, facts) if row.get("detail")))


def pairs(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    """Whom it is combined with on purpose: by partners and relation, with each effect on record."""
    made: dict[Any, dict[str, Any]] = {}
    for row in {row["id"]: row for id in ids for row in book.pairs.get(id, ())}.values():
        members = row["subjects"].split(";")
        mine = next((id for id in ids if id in members), None)
        if mine is None:
            continue
        others = tuple(id for id in members if id != mine)
        word = _relation(row["relation"], members[0] == mine)
        entry = made.setdefault(
            (mine, others, word),
            {
                "others": book.names(others),
                "word": word,
                "effects": [],
                "of": book.name(mine) if mine != ids[0] else None,
            },
        )
        entry["effects"].append((row["effect"], [book.told(row)]))
    return sorted(made.values(), key=lambda entry: -len(entry["effects"]))


def _relation(relation: str, first: bool) -> str:
    said = {
        "restrained-by": ("is restrained by it", "restrains it"),
        "restrains": ("restrains it", "is restrained by it"),
        "weakened-by": ("is weakened by it", "weakens it"),
        "need": ("strengthen each other", "strengthen each other"),
        "assist": ("is assisted by it", "assists it"),
    }
    return said[relation][not first] if relation in said else plain(relation)


def in_formulas(book: Book, ids: Sequence[str]) -> list[dict[str, Any]]:
    """The formulas that contain it, its role and reason there; those it leads first."""
    made = [
        {
            "formula": book.name(row["formula"]),
            "of": book.name(id) if id != ids[0] else None,
            "roles": row["roles"].split(";") if row["roles"] else [],
            "function": row["function"],
            "reason": row["reason"],
            "told": [book.told(row)],
        }
        for id in ids
        for row in book.rows("formula_items", "subject", id)
    ]
    order = ("chief", "deputy", "assistant", "envoy")
    return sorted(made, key=lambda one: min((order.index(role) for role in one["roles"] if role in order), default=4))
