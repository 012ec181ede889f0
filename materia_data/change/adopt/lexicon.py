"""The terms of the package with every spelling we know of them, laid out once for reading sheets."""

from dataclasses import dataclass
from functools import cached_property

from materia_data.change.adopt.actions import ActionWords
from materia_data.change.adopt.tables import word_rows
from materia_data.change.adopt.words import Words, fold
from materia_data.materia import Materia

_NAMES = ("id", "name_en", "name_hans", "name_hant")
_SLIGHTLY = (
    "slightly",
    "sl",
    "sl.",
    "slight",
    "mildly",
    "a little",
    "a bit",
    "somewhat",
    "微",
    "稍",
    "略",
    "s.",
    "faintly",
)
Term = tuple[str, str]
"""A vocabulary and an id in it."""


@dataclass
class Lexicon:
    """Dictionaries of spellings, each made when first asked for."""

    materia: Materia

    def fold(self, text: str) -> str:
        """As texts are compared."""
        return fold(text, self.materia.names.script)

    def terms(self, *vocabularies: str) -> Words[Term]:
        """The spellings of the terms of these vocabularies; of two with one spelling the earlier vocabulary's."""
        if vocabularies not in self._terms:
            found: Words[Term] = Words()
            for vocabulary in vocabularies:
                self._add(found, vocabulary)
            self._terms[vocabularies] = found
        return self._terms[vocabularies]

    @cached_property
    def _terms(self) -> dict[tuple[str, ...], Words[Term]]:
        return {}

    def _add(self, found: Words[Term], vocabulary: str) -> None:
        columns = self.materia.package.tables[vocabulary].columns
        for column in _NAMES:
            for id, text in zip(columns["id"], columns.get(column, ()), strict=False):
                found.add([self.fold(text), self.fold(text.replace("-", " "))], (vocabulary, id))
                if vocabulary == "flavors" and id.startswith("slightly-") and column == "name_en":
                    plain = text.split(" ", 1)[1]
                    found.add(
                        [f"{word} {other}" for word in _SLIGHTLY for other in (plain, *self._spelled(plain))],
                        (vocabulary, id),
                    )
        known = set(columns["id"])
        for name, id, words in word_rows("terms.tsv"):
            if name == vocabulary and id in known:
                found.add([self.fold(word) for word in words.split(";")], (vocabulary, id))

    def _spelled(self, flavor: str) -> list[str]:
        return [
            w
            for name, id, words in word_rows("terms.tsv")
            if (name, id) == ("flavors", flavor)
            for w in words.split(";")
        ]

    @cached_property
    def cautions(self) -> Words[str]:
        """Topics, targets, states and words without meaning of their own: `topic:…`, `target:…`, `state:…`,
        `filler`; a `?` before it where the spelling is near, not the same."""
        found: Words[str] = Words()
        rows = word_rows("caution_words.tsv")
        topics, targets = (self.materia.package.tables[name].columns for name in ("topics", "targets"))
        ids = {*topics["id"], *targets["id"]}
        for means, words in rows:
            kind, _, id = means.lstrip("?").partition(":")
            if kind in ("state", "filler") or id in ids:
                found.add([self.fold(word) for word in words.split(";")], means)
        for kind, columns in (("target", targets), ("topic", topics)):
            for column in ("name_en", "name_hans", "name_hant"):
                for id, text in zip(columns["id"], columns.get(column, ()), strict=False):
                    if text and id not in ("condition", "pattern", "drug", "food"):
                        found.add([self.fold(text)], f"{kind}:{id}")
        return found

    def topic_of(self, target: str) -> str:
        """The topic that a target belongs to."""
        columns = self.materia.package.tables["targets"].columns
        return dict(zip(columns["id"], columns["topic"], strict=True)).get(target, "")

    @cached_property
    def actions(self) -> ActionWords:
        """The actions and their words."""
        return ActionWords(self.materia.package, self.fold)

    @cached_property
    def indications(self) -> Words[Term]:
        """The indications by label."""
        return self.terms("indications")

    @cached_property
    def categories(self) -> dict[frozenset[str], str]:
        """Categories and groups of herbs by the words of their names that tell: `category-id`, or `/group-id`."""
        found: dict[frozenset[str], str] = {}
        tables = self.materia.package.tables
        for table, mark in (("categories", ""), ("groups", "/")):
            columns = tables[table].columns
            for row, id in enumerate(columns["id"]):
                if columns.get("scheme", ["herbs"] * len(columns["id"]))[row] != "herbs":
                    continue
                for text in (columns["name_en"][row], columns["name_hans"][row], id):
                    found.setdefault(self.category_key(text), mark + id)
                if columns["defining_action"][row]:
                    name = self.materia.facts.vocabularies["actions"].label(columns["defining_action"][row])
                    found.setdefault(self.category_key(name), mark + id)
        found.pop(frozenset(), None)
        return found

    def category_key(self, text: str) -> frozenset[str]:
        """The words of a category's name that tell, characters as one word."""
        return self.actions.key(text, category=True)
