"""The wide table: one row a herb or form, with every fact that holds of it, inherited ones included.

Rows of other tables become lists of structs, taken from the typed tables by row number, so nothing is typed twice.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import pyarrow as pa
import pyarrow.compute as pc

if TYPE_CHECKING:
    from materia_data import Explained, Facts, Materia

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
T = TypeVar("T")
_COUNTS = ("explained", "excepted", "together", "unexplained")


def medicinals(materia: "Materia", tables: Mapping[str, pa.Table], explained: Sequence["Explained"]) -> pa.Table:
    """The wide table.

    tables: every table of the package, typed, by name; explained: what `explain_all` gives. Doses in grams, minutes and
    days as named. The counts from `explained` to `unexplained` are of values of nature, flavour and channel.
    """
    facts = materia.facts
    subjects = [subject for subject in facts.subjects if facts.kind(subject) != "formulas"]
    columns: dict[str, Any] = _naming(facts, subjects, tables)
    columns |= {name.replace("-", "_"): _single(facts, name, subjects) for name in _SINGLE}
    columns |= {column: _many(facts, predicate, subjects) for column, predicate in _MANY.items()}
    columns["actions"] = _many(facts, "action", subjects)
    columns["actions_denied"] = _many(facts, "action", subjects, stated=False)
    columns |= {column: _rows(facts, predicate, subjects, tables) for column, predicate in _ROWS.items()}
    columns["doses"] = _doses(facts, subjects)
    columns["not_checked"] = _not_checked(facts, subjects, tables["topics"])
    columns["formulas"] = _formulas(facts, subjects, tables["formula_items"])
    verdicts = {one.id: [item.verdict for item in one.properties] for one in explained}
    counted = [verdicts.get(subject, []) for subject in subjects]
    columns |= {verdict: pa.array([each.count(verdict) for each in counted], pa.int32()) for verdict in _COUNTS}
    return pa.table(columns)


def _naming(facts: "Facts", subjects: Sequence[str], tables: Mapping[str, pa.Table]) -> dict[str, Any]:
    both = pa.concat_tables([tables["herbs"], tables["forms"]], promote_options="default")
    herbs = [facts.herb_of(subject) for subject in subjects]
    own, from_herb = _taken(both, subjects), _taken(tables["herbs"], herbs)
    columns: dict[str, Any] = {"id": pa.array(subjects), "herb": pa.array(herbs)}
    columns |= {name: own[name] for name in _OWN} | {name: from_herb[name] for name in _FROM_HERB}
    return columns | {name: own[name] for name in ("source", "locator", "basis")}


def _taken(table: pa.Table, ids: Sequence[str]) -> pa.Table:
    return table.take(pc.index_in(pa.array(ids, pa.string()), value_set=table["id"].combine_chunks()))


def _single(facts: "Facts", predicate: str, subjects: Sequence[str]) -> pa.Array:
    held, kind = facts.effective_entries[predicate], facts.entries.kind
    found = (held.get(facts.number[subject]) for subject in subjects)
    return pa.array([kind(entries[0]).value if entries else None for entries in found], pa.string())


def _many(facts: "Facts", predicate: str, subjects: Sequence[str], *, stated: bool = True) -> pa.Array:
    """Distinct values, in the order of the facts; no value: an empty list."""

    def distinct(entries: Sequence[int]) -> list[str]:
        kinds = map(facts.entries.kind, entries)
        return list(dict.fromkeys(each.value for each in kinds if each.stated == stated))

    return pa.array(_each(facts, predicate, subjects, distinct), pa.list_(pa.string()))


def _each(facts: "Facts", predicate: str, subjects: Sequence[str], make: Callable[[Sequence[int]], T]) -> list[T]:
    """What `make` gives for each subject's entries; a form that shares its herb's list shares the result."""
    held, nothing = facts.effective_entries[predicate], make(())
    made: dict[int, T] = {id(entries): make(entries) for entries in {id(each): each for each in held.values()}.values()}
    found = (held.get(facts.number[subject]) for subject in subjects)
    return [nothing if entries is None else made[id(entries)] for entries in found]


def _rows(facts: "Facts", predicate: str, subjects: Sequence[str], tables: Mapping[str, pa.Table]) -> pa.Array:
    """The rows that the effective facts were read from, each with the herb that a form has it from."""
    ((table, _), *_) = facts.predicates[predicate].sources
    stating = facts.package.tables[table].columns["subject"]

    def rows_of(entries: Sequence[int]) -> list[int]:
        places = map(facts.entries.place, entries)
        return list(dict.fromkeys(place.row for place in places if place.table.schema.name == table))

    offsets, indexes, inherited = [0], [], []
    for subject, rows in zip(subjects, _each(facts, predicate, subjects, rows_of), strict=True):
        indexes += rows
        inherited += [None if stating[row] == subject else stating[row] for row in rows]
        offsets.append(len(indexes))
    taken = tables[table].drop_columns(["subject"]).take(pa.array(indexes, pa.int64())).combine_chunks()
    names = [*taken.column_names, "inherited_from"]
    arrays = [*(column.combine_chunks() for column in taken.columns), pa.array(inherited, pa.string())]
    return pa.ListArray.from_arrays(pa.array(offsets, pa.int32()), pa.StructArray.from_arrays(arrays, names))


def _doses(facts: "Facts", subjects: Sequence[str]) -> pa.Array:
    """A struct for each route, per, population and purpose. Smallest and largest may come from different rows."""
    keys = facts.predicates["dose-max"].qualifiers
    kind_of = pa.struct([*((key, pa.string()) for key in keys), *((name, pa.float64()) for name, _ in _DOSE)])
    made: dict[tuple[int, ...], list[dict[str, Any]]] = {}
    values = []
    for subject in subjects:
        number = facts.number[subject]
        entries = tuple(e for _, predicate in _DOSE for e in facts.effective_entries[predicate].get(number, ()))
        if entries not in made:
            made[entries] = _dose(facts, entries, keys)
        values.append(made[entries])
    return pa.array(values, pa.list_(kind_of))


def _dose(facts: "Facts", entries: Iterable[int], keys: Sequence[str]) -> list[dict[str, Any]]:
    column = {predicate: name for name, predicate in _DOSE}
    doses: dict[tuple[tuple[str, str], ...], dict[str, Any]] = {}
    for entry in entries:
        kind = facts.entries.kind(entry)
        dose = doses.setdefault(kind.qualifiers, {key: dict(kind.qualifiers).get(key) for key in keys})
        dose[column[kind.predicate]] = _number(kind.value)
    return list(doses.values())


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def _not_checked(facts: "Facts", subjects: Sequence[str], topics: pa.Table) -> pa.Array:
    every = topics["id"].to_pylist()

    def unchecked(entries: Sequence[int]) -> list[str]:
        checked = {value for entry in entries for key, value in facts.entries.kind(entry).qualifiers if key == "topic"}
        return [topic for topic in every if topic not in checked]

    return pa.array(_each(facts, "caution", subjects, unchecked), pa.list_(pa.string()))


def _formulas(facts: "Facts", subjects: Sequence[str], items: pa.Table) -> pa.Array:
    """Formulas that name the subject; for a herb any of its forms too, for its default form the bare name too."""
    found: dict[str, dict[str, None]] = {}
    for formula, item in zip(items["formula"].to_pylist(), items["subject"].to_pylist(), strict=True):
        if item in facts.number:
            for subject in (item, facts.herb_of(item), facts.default_form(item)):
                found.setdefault(subject, {})[formula] = None
    return pa.array([list(found.get(subject, ())) for subject in subjects], pa.list_(pa.string()))
