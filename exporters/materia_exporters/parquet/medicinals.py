"""The wide table: one row a herb or form, with every fact that holds of it, inherited ones included.

Worked column by column: entries of facts are arrays of numbers, and rows of other tables are taken by row number.
"""

from collections.abc import Mapping, Sequence
from itertools import chain
from typing import TYPE_CHECKING, Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

if TYPE_CHECKING:
    from materia_data import Facts, Materia

MEDICINALS = (
    "One row a herb or form, herbs first: its names and what is effective of it. What a form has from its herb stands "
    "in it too (inherited_from). A topic in not_checked has not been looked up, which is no finding of safety. Doses "
    "are grams; one in another unit is left empty here and stands in the table doses."
)
_OWN = ("name_hans", "name_hant", "pinyin", "name_en", "latin", "note", "changes", "reason")
_FROM_HERB = ("category", "subgroup")
_SINGLE = ("status", "default-form", "kind", "method", "nature", "toxicity")
_MANY = {
    "flavors": "flavor",
    "channels": "channel",
    "directions": "direction",
    "parts": "part",
    "traits": "trait",
    "indications": "indication",
    "opposes": "opposes",
    "taxa": "taxon",
    "units": "taught-in",
}
_ROWS = {"cautions": "caution", "action_rows": "action", "handling": "handling", "controls": "control"}
_DOSE = (("min", "dose-min"), ("max", "dose-max"), ("max_days", "max-days"))
_BITS, _KIND = 32, (1 << 32) - 1


def medicinals(materia: "Materia", tables: Mapping[str, pa.Table]) -> pa.Table:
    """The wide table.

    tables: every table of the package, typed, by name. Doses in grams, minutes and days as named.
    """
    facts = materia.facts
    subjects = [subject for subject in facts.subjects if facts.kind(subject) != "formulas"]
    columns: dict[str, Any] = _naming(facts, subjects, tables)
    columns |= {name.replace("-", "_"): _single(_Held(facts, name, subjects)) for name in _SINGLE}
    columns |= {column: _many(_Held(facts, predicate, subjects)) for column, predicate in _MANY.items()}
    columns["actions"] = _many(_Held(facts, "action", subjects))
    columns["actions_denied"] = _many(_Held(facts, "action", subjects), stated=False)
    columns |= {column: _rows(_Held(facts, predicate, subjects), tables) for column, predicate in _ROWS.items()}
    columns["doses"] = _doses([_Held(facts, predicate, subjects) for _, predicate in _DOSE])
    columns["not_checked"] = _not_checked(_Held(facts, "caution", subjects), tables["topics"]["id"].to_pylist())
    columns["formulas"] = _formulas(facts, subjects, tables["formula_items"])
    return pa.table(columns)


class _Held:
    """The effective entries of one predicate: parallel arrays of the subject's place, the kind and the entry."""

    def __init__(self, facts: "Facts", predicate: str, subjects: Sequence[str]) -> None:
        self.facts, self.predicate, self.subjects = facts, predicate, subjects
        held = facts.effective_entries[predicate]
        lists = [held.get(facts.number[subject], ()) for subject in subjects]
        self.entries = np.fromiter(chain.from_iterable(lists), np.int64)
        self.places = np.repeat(np.arange(len(lists)), np.fromiter(map(len, lists), np.int64, len(lists)))
        self.distinct, first, self.kinds = np.unique(self.entries & _KIND, return_index=True, return_inverse=True)
        self.of_kind = [facts.entries.kind(int(self.entries[place])) for place in first]

    def codes(self, texts: Sequence[str]) -> tuple[Any, pa.Array]:
        """For each entry the number of its kind's text, and the distinct texts."""
        known = {text: number for number, text in enumerate(dict.fromkeys(texts))}
        return np.array([known[text] for text in texts], np.int64)[self.kinds], pa.array(list(known), pa.string())


def _lists(places: Any, values: pa.Array, number: int) -> pa.Array:
    """One list for each of `number` places; values stand in the order of their places."""
    offsets = np.searchsorted(places, np.arange(number + 1))
    return pa.ListArray.from_arrays(pa.array(offsets, pa.int32()), values)


def _naming(facts: "Facts", subjects: Sequence[str], tables: Mapping[str, pa.Table]) -> dict[str, Any]:
    both = pa.concat_tables([tables["herbs"], tables["forms"]], promote_options="default")
    herbs = [facts.herb_of(subject) for subject in subjects]
    own, from_herb = _taken(both, subjects), _taken(tables["herbs"], herbs)
    columns: dict[str, Any] = {"id": pa.array(subjects), "herb": pa.array(herbs)}
    columns |= {name: own[name] for name in _OWN} | {name: from_herb[name] for name in _FROM_HERB}
    return columns | {name: own[name] for name in ("source", "locator", "basis")}


def _taken(table: pa.Table, ids: Sequence[str]) -> pa.Table:
    return table.take(pc.index_in(pa.array(ids, pa.string()), value_set=table["id"].combine_chunks()))


def _single(held: _Held) -> pa.Array:
    """The first value of each subject, or null."""
    codes, texts = held.codes([kind.value for kind in held.of_kind])
    places, first = np.unique(held.places, return_index=True)
    chosen = np.full(len(held.subjects), -1)
    chosen[places] = codes[first]
    return texts.take(pa.array(chosen, mask=chosen < 0))


def _many(held: _Held, *, stated: bool = True) -> pa.Array:
    """Distinct values, in the order of the facts; no value: an empty list."""
    codes, texts = held.codes([kind.value for kind in held.of_kind])
    wanted = np.array([kind.stated == stated for kind in held.of_kind], bool)[held.kinds]
    places, codes = held.places[wanted], codes[wanted]
    kept = _first_of_each(places * (len(texts) + 1) + codes)
    return _lists(places[kept], texts.take(pa.array(codes[kept])), len(held.subjects))


def _first_of_each(keys: Any) -> Any:
    """Where each distinct key stands first, in that order."""
    return np.sort(np.unique(keys, return_index=True)[1])


def _rows(held: _Held, tables: Mapping[str, pa.Table]) -> pa.Array:
    """The rows that the effective facts were read from, each with the herb that a form has it from."""
    ((name, _), *_) = held.facts.predicates[held.predicate].sources
    rows = _row_numbers(held, name)
    kept = _first_of_each(held.places * (len(tables[name]) + 1) + rows)
    kept = kept[rows[kept] >= 0]
    taken = tables[name].take(pa.array(rows[kept])).combine_chunks()
    mine = pa.array(held.subjects).take(pa.array(held.places[kept]))
    stating = taken["subject"].combine_chunks()
    inherited = pc.if_else(pc.equal(stating, mine), pa.scalar(None, pa.string()), stating)
    names = [column for column in taken.column_names if column != "subject"]
    arrays = [taken[column].combine_chunks() for column in names]
    structs = pa.StructArray.from_arrays([*arrays, inherited], [*names, "inherited_from"])
    return _lists(held.places[kept], structs, len(held.subjects))


def _row_numbers(held: _Held, table: str) -> Any:
    """For each entry its row in the table, -1 where it was read from another. A column has one block of origins."""
    origins, inverse = np.unique(held.entries >> _BITS, return_inverse=True)
    rows, at = np.full(len(origins), -1), 0
    while at < len(origins):
        place = held.facts.entries.place(int(origins[at]) << _BITS)
        start = origins[at] - place.row
        end = int(np.searchsorted(origins, start + len(place.table)))
        if place.table.schema.name == table:
            rows[at:end] = origins[at:end] - start
        at = end
    return rows[inverse]


def _doses(helds: Sequence[_Held]) -> pa.Array:
    """A struct for each route, per, population and purpose. Smallest and largest may come from different rows."""
    qualifiers = helds[0].facts.predicates[helds[0].predicate].qualifiers
    uses = {kind.qualifiers: None for held in helds for kind in held.of_kind}
    number = {use: place for place, use in enumerate(uses)}
    keys = [
        held.places * (len(uses) + 1)
        + np.array([number[kind.qualifiers] for kind in held.of_kind], np.int64)[held.kinds]
        for held in helds
    ]
    every = np.unique(np.concatenate(keys))
    places, use_of = every // (len(uses) + 1), pa.array(every % (len(uses) + 1))
    columns: dict[str, pa.Array] = {
        key: pa.array([dict(use).get(key) for use in uses], pa.string()).take(use_of) for key in qualifiers
    }
    for (name, _), held, mine in zip(_DOSE, helds, keys, strict=True):
        amounts = np.full(len(every), np.nan)
        amounts[np.searchsorted(every, mine)] = np.array([_number(kind.value) for kind in held.of_kind])[held.kinds]
        columns[name] = pa.array(amounts, mask=np.isnan(amounts))
    structs = pa.StructArray.from_arrays(list(columns.values()), list(columns))
    return _lists(places, structs, len(helds[0].subjects))


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return np.nan


def _not_checked(held: _Held, topics: Sequence[str]) -> pa.Array:
    number = {topic: place for place, topic in enumerate(topics)}
    about = [number.get(dict(kind.qualifiers).get("topic", ""), len(topics)) for kind in held.of_kind]
    open_topics = np.ones((len(held.subjects), len(topics) + 1), bool)
    open_topics[held.places, np.array(about, np.int64)[held.kinds]] = False
    places, unchecked = np.nonzero(open_topics[:, :-1])
    return _lists(places, pa.array(topics, pa.string()).take(pa.array(unchecked)), len(held.subjects))


def _formulas(facts: "Facts", subjects: Sequence[str], items: pa.Table) -> pa.Array:
    """Formulas that name the subject; for a herb any of its forms too, for its default form the bare name too."""
    found: dict[str, dict[str, None]] = {}
    for formula, item in zip(items["formula"].to_pylist(), items["subject"].to_pylist(), strict=True):
        if item in facts.number:
            for subject in (item, facts.herb_of(item), facts.default_form(item)):
                found.setdefault(subject, {})[formula] = None
    return pa.array([list(found.get(subject, ())) for subject in subjects], pa.list_(pa.string()))
