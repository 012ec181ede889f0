"""The predicates that facts can have, as `schemas/predicates.json` declares them; nothing else goes by name."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType
from typing import Any

from materia_data.places import schema_root
from materia_data.read.schema import table_schemas


@dataclass(frozen=True, slots=True)
class Words:
    """The values that a predicate or a qualifier can have.

    kind: terms (ids of vocabularies), ids (of subjects and other tables), enum, ordered (an enum, weakest first),
    number; name: its key in `vocabularies()`; tables: whose ids they are; words: the values of an enum; unranked:
    values that match only when named; unit: what numbers are counted in; unit_column: the column that tells a number's
    unit; units: what one of each unit is in `unit`.
    """

    kind: str
    name: str
    tables: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    unranked: tuple[str, ...] = ()
    unit: str = ""
    unit_column: str = ""
    units: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Predicate:
    """One predicate. The fields say what the keys of `schemas/predicates.json` say (its description explains each).

    values: what it can be; asked: what each qualifier can be; sources: the columns it is read from, as (table, column);
    key: what a form's row replaces by; required, negative, skipped, complete, constituents: a column and the cell that
    makes it so.
    """

    name: str
    values: Words
    inherit: str
    closed: str
    compare: str
    safety: str
    single: bool
    qualifiers: tuple[str, ...]
    both_ways: tuple[str, ...]
    scope: str
    sources: tuple[tuple[str, str], ...]
    means: str
    asked: Mapping[str, Words]
    key: tuple[str, ...]
    under_safety: str
    looser: str
    implied: Mapping[str, str]
    negative: Mapping[str, str]
    skipped: Mapping[str, str]
    required: Mapping[str, str]
    cleared_by: Mapping[str, str]
    complete: Mapping[str, str]
    constituents: Mapping[str, str]
    empty_covers: Mapping[str, str]
    subject_columns: Mapping[str, str]

    def subject_column(self, table: str, column: str) -> str:
        """The column that names the subject of a value in this column."""
        return self.subject_columns.get(column) or ("subject" if "subject" in table_schemas()[table].by_name else "id")

    def qualifier_column(self, table: str, qualifier: str) -> str:
        """The column of the table that holds the qualifier, or the empty string if none does."""
        fields = table_schemas()[table].by_name
        return next(
            (name for name, column in fields.items() if column.qualifier == qualifier),
            qualifier if qualifier in fields else "",
        )


@cache
def predicates() -> Mapping[str, Predicate]:
    """Every predicate by name, in the order of the declaration."""
    declared = json.loads((schema_root() / "predicates.json").read_text(encoding="utf-8"))["predicates"]
    return MappingProxyType({name: _predicate(name, raw) for name, raw in declared.items()})


def _predicate(name: str, raw: dict[str, Any]) -> Predicate:
    sources = tuple((table, column) for table, _, column in (place.partition(".") for place in raw["from"]))
    qualifiers = tuple(raw["qualifiers"])
    return Predicate(
        name=name,
        values=_words(name, raw["values"]),
        inherit=raw["inherit"],
        closed=raw["closed"],
        compare=raw.get("compare", ""),
        safety=raw["safety"],
        single=raw["single"],
        qualifiers=qualifiers,
        both_ways=tuple(raw.get("both-ways", ())),
        scope=raw["scope"],
        sources=sources,
        means=raw["means"],
        asked=MappingProxyType({key: _asked(name, sources, key) for key in qualifiers}),
        key=tuple(raw.get("key", qualifiers)),
        under_safety=raw.get("under-safety", "no"),
        looser=raw.get("looser", ""),
        implied=raw.get("implied", {}),
        negative=raw.get("negative", {}),
        skipped=raw.get("skipped", {}),
        required=raw.get("required", {}),
        cleared_by=raw.get("cleared-by", {}),
        complete=raw.get("complete", {}),
        constituents=raw.get("constituents", {}),
        empty_covers=raw.get("empty-covers", {}),
        subject_columns=raw.get("subject-column", {}),
    )


def _words(name: str, raw: dict[str, Any]) -> Words:
    unranked = tuple(raw.get("unranked", ()))
    if "terms" in raw:
        return Words("terms", raw["terms"], tables=(raw["terms"],), unranked=unranked)
    if "ids" in raw:
        return Words("ids", "+".join(raw["ids"]), tables=tuple(raw["ids"]))
    if "number" in raw:
        return Words(
            "number", name, unit=raw["number"], unit_column=raw.get("unit-column", ""), units=raw.get("units", {})
        )
    kind = "ordered" if "ordered" in raw else "enum"
    return Words(kind, name, words=(*raw[kind], *unranked), unranked=unranked)


def _asked(name: str, sources: tuple[tuple[str, str], ...], key: str) -> Words:
    for table, _ in sources:
        for column in table_schemas()[table].fields:
            if (column.qualifier or column.name) == key:
                if column.enum:
                    return Words("enum", f"{name}.{key}", words=column.enum)
                return Words("terms", "+".join(column.refers), tables=column.refers)
    raise ValueError(f"no column gives the qualifier {key} of {name}")
