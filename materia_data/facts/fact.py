"""One fact: what is stated of a subject, and where."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fact:
    """A subject has (or, `stated` being false, is stated not to have) a value, under these qualifiers.

    value: an id, a word, or a number in the predicate's unit as plain decimal text (`3`, `0.5`); an amount that does
    not convert keeps its unit (`3 ml`); qualifiers: (key, value) pairs in the predicate's order, only those filled; a
    key that is a list repeats. table, file, line, column: the cell it was read from; source, locator, basis: whose word
    it is, a citation of the cell before its row; inherited_from: the herb whose row it is, "" for an own row;
    confirmed: false for a form's looser value that no source confirms.
    """

    subject: str
    predicate: str
    value: str
    qualifiers: tuple[tuple[str, str], ...]
    stated: bool
    table: str
    file: str
    line: int
    column: str
    source: str
    locator: str
    basis: str
    inherited_from: str = ""
    confirmed: bool = True
