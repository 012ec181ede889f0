"""What changed since the release before, and where it shows."""

from collections.abc import Iterable
from functools import cached_property
from pathlib import Path

from materia_data import Change, Diff, diff, load
from materia_exporters.site.book import Book

_FIRST = ("herbs", "forms", "formulas")


class History:
    """Changes against the data released before; `diff` is None where none are known."""

    def __init__(self, book: Book, previous: Path | None) -> None:
        self._book = book
        self.diff: Diff | None = diff(load(previous), book.materia) if previous else None

    @cached_property
    def _by_family(self) -> dict[str, list[Change]]:
        found: dict[str, list[Change]] = {}
        facts = self._book.facts
        for change in self.diff.changes if self.diff else ():
            parts = change.record.replace("+", "|").split("|")
            for id in dict.fromkeys(facts.herb_of(part) for part in parts if part in facts.number):
                found.setdefault(id, []).append(change)
        return found

    def of(self, subjects: Iterable[str]) -> tuple[str, list[str]] | None:
        """The release compared with, and what has changed of these subjects since; None: nothing is known."""
        if self.diff is None:
            return None
        return self.diff.old, [change.words for id in subjects for change in self._by_family.get(id, ())]
