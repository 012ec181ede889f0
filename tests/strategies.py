"""Made-up packages and patterns for property tests: small, odd, and full of the cases that matter."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from random import Random

from hypothesis import strategies as st

from materia_data.read.package import Package
from materia_data.read.schema import table_schemas
from materia_data.read.table import Table

Row = dict[str, str]

_TERMS: dict[str, list[Row]] = {
    "natures": [
        {"id": id, "rank": rank}
        for id, rank in (("cold", "-2"), ("cool", "-1"), ("slightly-cold", "-1"), ("warm", "1"))
    ],
    "flavors": [{"id": "sweet"}, {"id": "sour"}, {"id": "slightly-sour", "broader": "sour"}],
    "channels": [{"id": "lung"}, {"id": "liver"}],
    "directions": [{"id": "ascending"}],
    "parts": [{"id": "fruit-seed"}, {"id": "seed", "broader": "fruit-seed"}, {"id": "root"}],
    "methods": [{"id": "calcining"}, {"id": "calcining-quenching", "broader": "calcining"}],
    "traits": [
        {"id": "heavy", "kind": "substance"},
        {"id": "toxic-metal", "kind": "constituent"},
        {"id": "mercury", "broader": "toxic-metal", "kind": "constituent"},
    ],
    "actions": [
        {"id": "clear-heat", "implied_cause": "heat"},
        {"id": "stop-bleeding"},
        {"id": "cool-blood-stop-bleeding", "broader": "clear-heat;stop-bleeding", "implied_cause": "blood-heat"},
        {"id": "free-stool", "implied_site": "large-intestine"},
        {"id": "purge", "broader": "free-stool", "implied_site": "large-intestine"},
    ],
    "sites": [{"id": "lower-burner"}, {"id": "large-intestine", "broader": "lower-burner"}, {"id": "lung"}],
    "causes": [{"id": "heat"}, {"id": "blood-heat", "broader": "heat"}, {"id": "wind"}],
    "toxicities": [
        {"id": "none", "rank": "0"},
        {"id": "slight", "rank": "1"},
        {"id": "toxic", "rank": "2"},
        {"id": "unmarked"},
    ],
    "topics": [{"id": "pregnancy"}, {"id": "drug"}],
    "targets": [
        {"id": "anticoagulants", "topic": "drug"},
        {"id": "warfarin", "broader": "anticoagulants", "topic": "drug"},
        {"id": "first-trimester", "topic": "pregnancy"},
    ],
    "routes": [{"id": "decoction"}, {"id": "powder"}],
    "populations": [{"id": "adult"}, {"id": "child"}],
    "purposes": [{"id": "emergency"}],
    "handlings": [{"id": "ordinary"}, {"id": "decoct-first"}, {"id": "wrap"}],
    "levels": [{"id": "banned"}, {"id": "restricted"}],
    "jurisdictions": [{"id": "demoland"}],
    "indications": [{"id": "cough"}],
    "taxa": [{"id": "demo-planta"}],
    "categories": [{"id": "heat"}, {"id": "cold"}],
    "groups": [{"id": "group"}],
    "units": [{"id": "unit"}],
    "sources": [
        {"id": "standard", "kind": "standard"},
        {"id": "textbook", "kind": "textbook"},
        {"id": "classic", "kind": "classic"},
    ],
}
_HERBS, _FORMS, _FORMULA = ("a", "b"), ("a.x", "a.y", "b.x"), "tang"
_SUBJECTS = (*_HERBS, *_FORMS, _FORMULA)
_MOSTLY = ("a", "a", "a", "a.x", "a.x", "a.x", *_SUBJECTS)  # so that keys of a herb and its form meet


def package_of(tables: Mapping[str, Sequence[Row]]) -> Package:
    """A package in memory with these rows; columns left out are empty."""
    made = {}
    for name, schema in table_schemas().items():
        rows = tables.get(name, ())
        columns = {column: [row.get(column, "") for row in rows] for column in schema.by_name}
        made[name] = Table(schema, columns, range(2, len(rows) + 2))
    return Package(Path("in-memory"), made, {}, "0.0.0", [])


def terms() -> dict[str, list[Row]]:
    """The vocabularies of every made-up package."""
    return {name: [dict(row) for row in rows] for name, rows in _TERMS.items()}


def _ids(table: str, *others: str) -> st.SearchStrategy[str]:
    return st.sampled_from([row["id"] for row in _TERMS[table]] + list(others))


def _list(table: str, *others: str) -> st.SearchStrategy[str]:
    ids = [row["id"] for row in _TERMS[table]] + list(others)
    return st.lists(st.sampled_from(ids), max_size=3).map(";".join)


_basis = st.sampled_from(["collated", "memory", "common-practice"])
_source = st.sampled_from(["", "standard", "textbook", "classic"])
_reason = st.sampled_from(["", "Because."])
_number = st.sampled_from(["", "0.5", "1", "3", "3.0", "9", "30", "many"])
_natural = {
    "nature": _ids("natures", "", "odd"),
    "flavors": _list("flavors", "-"),
    "channels": _list("channels", "-"),
    "directions": _list("directions"),
    "parts": _list("parts"),
    "method": _ids("methods", "", "-"),
    "traits": _list("traits", "-", "-mercury", "-heavy"),
    "toxicity": _ids("toxicities", "", ""),
}
_record = {"source": _source, "basis": _basis, "reason": _reason}
_MAIN = ("herb_actions", "cautions", "doses", "handling")
_rows: dict[str, dict[str, st.SearchStrategy[str]]] = {
    "herb_actions": {
        "subject": st.sampled_from(_MOSTLY[:11]),
        "action": _ids("actions"),
        "site": _ids("sites", "", "", ""),
        "cause": _ids("causes", "", "", ""),
        "polarity": st.sampled_from(["does", "does", "does-not"]),
        "weight": st.sampled_from(["", "chief", "minor"]),
        "indications": st.sampled_from(["", "cough"]),
    },
    "cautions": {
        "subject": st.sampled_from(_MOSTLY),
        "topic": _ids("topics"),
        "target": _ids("targets", "", ""),
        "state": st.sampled_from(["none-stated", "caution", "avoid", "contraindicated"]),
        **_record,
    },
    "doses": {
        "subject": st.sampled_from(_MOSTLY),
        "route": _ids("routes"),
        "per": st.just("day"),
        "population": _ids("populations", "adult", "adult"),
        "purpose": st.sampled_from(["", "", "", "emergency"]),
        "min": _number,
        "max": _number,
        "unit": st.sampled_from(["g", "g", "g", "mg", "ml", "piece", ""]),
        "max_days": st.sampled_from(["", "7", "14"]),
        "source": _source,
        "basis": _basis,
    },
    "handling": {
        "subject": st.sampled_from(_MOSTLY),
        "handling": _ids("handlings"),
        "purpose": st.sampled_from(["", "", "", "emergency"]),
        "force": st.sampled_from(["required", "usual"]),
        "minutes_min": st.sampled_from(["", "30", "60"]),
        **_record,
    },
    "antagonisms": {
        "a": st.sampled_from(_SUBJECTS[:5]),
        "b": st.sampled_from(_SUBJECTS[:5]),
        "list": st.sampled_from(["eighteen", "other"]),
        "reading": st.just("stated"),
        "state": st.sampled_from(["avoid", "contraindicated"]),
    },
    "controls": {
        "subject": st.sampled_from(_SUBJECTS),
        "instrument": st.just("standard"),
        "jurisdiction": st.just("demoland"),
        "taxon": _ids("taxa", ""),
        "level": _ids("levels"),
    },
    "species": {
        "subject": st.sampled_from(_SUBJECTS[:5]),
        "taxon": _ids("taxa"),
        "status": st.sampled_from(["official", "substitute"]),
    },
    "unit_subjects": {"unit": st.just("unit"), "subject": st.sampled_from(_SUBJECTS)},
    "formula_items": {
        "formula": st.just(_FORMULA),
        "position": st.sampled_from(["1", "2", "3"]),
        "subject": st.sampled_from(_SUBJECTS[:5]),
        "roles": st.sampled_from(["", "chief", "chief;envoy", "envoy"]),
    },
}


_herb = st.fixed_dictionaries(
    {
        **_natural,
        "category": _ids("categories", ""),
        "also_in": _list("categories"),
        "subgroup": _ids("groups", ""),
        "status": st.sampled_from(["current", "restricted"]),
        "default_form": st.sampled_from(["", *_FORMS]),
        "basis": _basis,
        "source": _source,
    }
)
_form = st.fixed_dictionaries(
    {
        **_natural,
        **_record,
        "kind": st.sampled_from(["raw", "prepared"]),
        "inherits": st.sampled_from(["all", "all", "safety"]),
    }
)
_formula = st.fixed_dictionaries(
    {
        "category": _ids("categories"),
        "actions": _list("actions"),
        "indications": st.sampled_from(["", "cough"]),
        "items_complete": st.sampled_from(["yes", "no"]),
        "basis": _basis,
    }
)


def _key_of(table: str) -> Callable[[Row], tuple[str, ...]]:
    key = table_schemas()[table].key
    return lambda row: tuple(row.get(column, "") for column in key)


_lists = {
    name: st.lists(
        st.fixed_dictionaries(columns),
        min_size=3 if name in _MAIN else 0,
        max_size=9 if name in _MAIN else 3,
        unique_by=_key_of(name),
    )
    for name, columns in _rows.items()
}


@st.composite
def packages(draw: st.DrawFn) -> Package:
    """A package of two herbs, three forms and a formula, with rows of every kind, most valid, some odd."""
    tables = terms()
    tables["herbs"] = [{"id": id} | draw(_herb) for id in _HERBS]
    tables["forms"] = [{"id": id, "herb": id.partition(".")[0]} | draw(_form) for id in _FORMS]
    tables["formulas"] = [{"id": _FORMULA} | draw(_formula)]
    for name, rows in _lists.items():
        tables[name] = draw(rows)
    tables["citations"] = draw(
        st.lists(_citations(tables), min_size=2, max_size=8, unique_by=lambda row: tuple(sorted(row.items())))
    )
    return package_of(tables)


@st.composite
def _citations(draw: st.DrawFn, tables: Mapping[str, list[Row]]) -> Row:
    cells = [
        "herbs.nature",
        "herbs.flavors",
        "herbs.toxicity",
        "herbs.category",
        "forms.nature",
        "forms.nature",
        "forms.flavors",
        "forms.toxicity",
    ]
    cells += ["herbs.status", "forms.kind"]
    cells += [
        cell
        for cell in ("cautions.state", "doses.max", "handling.force", "handling.minutes_min")
        if tables[cell.partition(".")[0]]
    ]
    table, _, column = draw(st.sampled_from(cells)).partition(".")
    row = draw(st.sampled_from(tables[table]))
    stated = {
        "nature": _ids("natures"),
        "flavors": _list("flavors"),
        "toxicity": _ids("toxicities"),
        "category": _ids("categories"),
        "status": st.sampled_from(["current", "restricted"]),
        "kind": st.sampled_from(["raw", "prepared"]),
        "state": st.sampled_from(["caution", "avoid"]),
        "max": _number,
        "force": st.sampled_from(["required", "usual"]),
        "minutes_min": st.sampled_from(["30", "60"]),
    }[column]
    return {
        "about_table": table,
        "record": "|".join(row.get(part, "") for part in table_schemas()[table].key),
        "column": column,
        "value": draw(st.sampled_from(["", "", "", row.get(column, "")])),
        "source": draw(st.sampled_from(["standard", "textbook", "classic"])),
        "stated": draw(stated | st.just(row.get(column, "")) | st.just("")),
        "reason": draw(_reason),
        "basis": draw(_basis),
    }


_VALUES = {
    "nature": "natures",
    "flavor": "flavors",
    "channel": "channels",
    "part": "parts",
    "method": "methods",
    "trait": "traits",
    "action": "actions",
    "indication": "indications",
    "toxicity": "toxicities",
    "handling": "handlings",
    "control": "levels",
    "category": "categories",
    "subgroup": "groups",
    "taught-in": "units",
    "taxon": "taxa",
}
_WORDS = {
    "caution": ["none-stated", "caution", "avoid", "contraindicated"],
    "status": ["current", "restricted"],
    "kind": ["raw", "prepared"],
    "basis": ["collated", "memory"],
    "opposes": [*_HERBS, *_FORMS],
    "contains": [*_HERBS, *_FORMS],
    "default-form": [*_FORMS],
    "disputed": ["nature", "flavor", "toxicity", "caution", "category"],
    **{name: ["0.001", "0.5", "3", "7", "9", "30"] for name in ("dose-min", "dose-max", "max-days", "minutes-min")},
}
_RANGES = {
    "nature": ["cold", "cool", "warm"],
    "toxicity": ["none", "slight", "toxic"],
    "caution": ["caution", "avoid", "contraindicated"],
    **{name: ["0.003", "0.5", "3", "9", "30"] for name in ("dose-min", "dose-max", "max-days", "minutes-min")},
}
_NO_WHOLE = (
    "trait",
    "action",
    "indication",
    "handling",
    "minutes-min",
    "opposes",
    "control",
    "taught-in",
    "taxon",
    "disputed",
)
_dose = {"route": ["decoction", "powder"], "population": ["adult", "child"], "per": ["day"], "purpose": ["emergency"]}
_QUALIFIERS: dict[str, dict[str, list[str]]] = {
    "action": {
        "site": ["lower-burner", "large-intestine", "lung"],
        "cause": ["heat", "blood-heat", "wind"],
        "weight": ["chief"],
    },
    "caution": {"topic": ["pregnancy", "drug"], "target": ["anticoagulants", "warfarin", "first-trimester"]},
    "dose-min": _dose,
    "dose-max": _dose,
    "max-days": _dose,
    "handling": {"force": ["required", "usual"], "purpose": ["emergency"]},
    "minutes-min": {"handling": ["decoct-first", "wrap"], "purpose": ["emergency"]},
    "opposes": {"list": ["eighteen", "other"], "state": ["avoid"]},
    "control": {"instrument": ["standard"], "jurisdiction": ["demoland"], "taxon": ["demo-planta"]},
    "taxon": {"status": ["official"]},
    "contains": {"role": ["chief", "envoy"]},
}


def _questions(name: str) -> list[str]:
    values = [row["id"] for row in _TERMS[_VALUES[name]]] if name in _VALUES else _WORDS[name]
    ends = _RANGES.get(name, [])
    yes = [name, *(f"{name}:{value}" for value in values)]
    yes += [f"{name}:{low}.." for low in ends] + [f"{name}:..{high}" for high in ends]
    yes += [f"{name}:{ends[low]}..{ends[high]}" for low in range(len(ends)) for high in range(low, len(ends))]
    if name not in _NO_WHOLE:
        yes += [f"{name}={value}" for value in values] + [
            f"{name}={one},{two}" for one in values for two in values if one < two
        ]
    return yes


def _brackets(name: str) -> list[list[str]]:
    """With no, one and two pairs."""
    asked = _QUALIFIERS.get(name, {})
    one = [(key, f"{key}{operator}{value}") for key, values in asked.items() for value in values for operator in ":="]
    two = [f"[{first},{second}]" for key, first in one for other, second in one if key < other]
    return [few for few in ([""], [f"[{pair}]" for _, pair in one], two) if few]


_ATOMS = {name: (_questions(name), _brackets(name)) for name in (*_VALUES, *_WORDS)}
_NAMES = [*sorted(_ATOMS), "action", "action", "caution", "caution", "dose-max", "contains", "toxicity"]
_seed = st.integers(0, 2**32)


def an_atom(random: Random) -> str:
    """One atom, as text, that parses against any made-up package; every predicate about as often as any other."""
    questions, brackets = _ATOMS[random.choice(_NAMES)]
    return random.choice(questions) + random.choice(random.choice(brackets))


def atoms() -> st.SearchStrategy[str]:
    """An atom from a seed: quick to draw, at the price of not shrinking."""
    return _seed.map(lambda seed: an_atom(Random(seed)))


def many_atoms(count: int) -> st.SearchStrategy[list[str]]:
    """So many atoms from one seed."""

    def drawn(seed: int) -> list[str]:
        random = Random(seed)
        return [an_atom(random) for _ in range(count)]

    return _seed.map(drawn)


def patterns() -> st.SearchStrategy[str]:
    """Patterns as text; some use `not` on a safety predicate, as only safety rules may."""
    leaf = atoms() | atoms().map(lambda atom: f"states-not {atom}")
    return st.recursive(
        leaf,
        lambda inner: st.one_of(
            inner.map(lambda part: f"not ({part})"),
            st.lists(inner, min_size=2, max_size=3).map(lambda parts: " and ".join(f"({part})" for part in parts)),
            st.lists(inner, min_size=2, max_size=3).map(lambda parts: " or ".join(f"({part})" for part in parts)),
        ),
        max_leaves=4,
    )
