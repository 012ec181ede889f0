"""What a school says of a medicinal, held against what the base says."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from materia_data.change.adopt.antagonisms import opposed
from materia_data.change.adopt.say import Say, say
from materia_data.facts.facts import Facts

_PREDICATES = {"nature": "nature", "flavors": "flavor", "channels": "channel", "parts": "part", "toxicity": "toxicity",
               "directions": "direction", "traits": "trait"}  # fmt: skip
_STATES = ("none-stated", "caution", "avoid", "contraindicated")
_FORCES = ("optional", "usual", "required")
_GRAMS = {"g": 1.0, "mg": 0.001}
_BOILED = frozenset({"decoct-first", "add-late", "wrap", "separate", "ordinary"})
_UNBOILED = frozenset({"not-decocted", "pills-powder-only"})


@dataclass(frozen=True, slots=True)
class Verdict:
    """verdict: same, adds, differs, stricter, looser, against; says: what a layer would say, with the column that
    names the subject left out, nothing where the base says it; record: of the row that says or would say it; base: in
    words; was, now, predicate, qualifiers: of a loosening, as the ledger writes them."""

    verdict: str
    says: Say
    record: str
    base: str
    predicate: str = ""
    qualifiers: str = ""
    was: str = ""
    now: str = ""


def against(facts: Facts, subject: str, said: Say) -> Verdict:
    """The verdict on one saying about a subject of the base; everything about one that is not there is an addition."""
    if subject not in facts.number:
        return Verdict("adds", said, record_of(subject, said), "")
    judge = {
        "herbs": _property, "forms": _property, "herb_actions": _action, "doses": _dose, "cautions": _caution,
        "handling": _handling, "antagonisms": _antagonism, "names": _name,
    }[said.table]  # fmt: skip
    return judge(facts, subject, said)


def record_of(subject: str, said: Say) -> str:
    """The key of the row that the saying would stand in."""
    match said.table:
        case "herbs" | "forms":
            return subject
        case "herb_actions":
            return "|".join((subject, said.get("action"), said.get("site"), said.get("cause")))
        case "doses":
            return "|".join((subject, *(said.get(key) for key in ("route", "per", "population", "purpose"))))
        case "cautions":
            return "|".join((subject, said.get("topic"), said.get("target")))
        case "handling":
            return "|".join((subject, said.get("handling"), said.get("purpose")))
        case "antagonisms":
            return "|".join((*sorted((subject, said.get("with"))), said.get("list")))
        case _:
            return "|".join((subject, said.get("name"), said.get("lang")))


def _property(facts: Facts, subject: str, said: Say) -> Verdict:
    """One cell of the herb or form; said names one column."""
    (column, value), *more = said.cells
    table = facts.kind(subject)
    row = facts.package.tables[table].row(facts.package.tables[table].rows_of("id")[subject][0])
    stands = [fact.value for fact in facts.of(subject, _PREDICATES[column])] if column in _PREDICATES else []
    base = ";".join(dict.fromkeys(stands)) or row.get(column, "")
    said = Say(table, said.cells)
    made = Verdict("differs", said, subject, base)
    if column == "category":
        also = {row.get("category", ""), *row.get("also_in", "").split(";")}
        group = dict(more).get("subgroup", "")
        agrees = value in also and (not group or group == row.get("subgroup", ""))
        return replace(made, verdict="same" if agrees or table == "forms" else "differs", base=row.get("category", ""))
    if set(base.split(";")) == set(value.split(";")):
        return replace(made, verdict="same")
    if column == "toxicity":
        ranks = facts.vocabularies["toxicities"]
        now, was = ranks.rank(value), ranks.rank(base) if base else None
        if value in ("none", "unmarked") or (was is not None and (now or 0) < was):
            return replace(made, verdict="looser", predicate="toxicity", was=base, now=value)
        return replace(made, verdict="stricter")
    return replace(made, verdict="differs" if base else "adds")


def _action(facts: Facts, subject: str, said: Say) -> Verdict:
    action, site = said.get("action"), said.get("site")
    terms = facts.vocabularies["actions"]
    sites = facts.vocabularies["sites"]
    made = Verdict("adds", said, record_of(subject, said), "")
    supporting = []
    for fact in facts.of(subject, "action"):
        qualifiers = dict(fact.qualifiers)
        if not fact.stated:
            if fact.value in terms.up(action) and (not qualifiers.get("site") or qualifiers.get("site") == site):
                return replace(made, verdict="against", base=f"does not {terms.label(fact.value)}")
            continue
        if action in terms.up(fact.value):
            implied = terms.cell(fact.value, "implied_site")
            where = {*sites.up(qualifiers.get("site", "") or "-"), *sites.up(implied or "-")}
            if not site or site in where:
                supporting.append((fact.value != action, fact))
    if not supporting:
        return made
    fact = min(supporting, key=lambda pair: pair[0])[1]
    table = facts.package.tables[fact.table]
    row = table.row_at(fact.file, fact.line)
    return replace(made, verdict="same", record=table.key(row), base=terms.label(fact.value))


def dose_rows(facts: Facts, subject: str) -> list[Mapping[str, str]]:
    """The doses that hold of the subject: its own, and for a form that takes them over the herb's other ones."""
    table = facts.package.tables["doses"]
    own: list[Mapping[str, str]] = [table.row(row) for row in table.rows_of("subject").get(subject, ())]
    herb = facts.herb_of(subject) if subject in facts.number else subject
    if (
        herb == subject
        or facts.package.tables["forms"].row(facts.package.tables["forms"].rows_of("id")[subject][0])["inherits"]
        != "all"
    ):
        return own
    keys = {tuple(row[key] for key in ("route", "per", "population", "purpose")) for row in own}
    inherited = [table.row(row) for row in table.rows_of("subject").get(herb, ())]
    return own + [
        row for row in inherited if tuple(row[key] for key in ("route", "per", "population", "purpose")) not in keys
    ]


def _dose(facts: Facts, subject: str, said: Say) -> Verdict:
    rows = dose_rows(facts, subject)
    alike = [row for row in rows if all(row[key] == said.get(key) for key in ("route", "per", "population"))]
    plain = next((row for row in alike if row["purpose"] == said.get("purpose")), None)
    made = Verdict("adds", said, record_of(subject, said), _span(plain) if plain else "; ".join(map(_span, alike)))
    if not said.get("max"):
        return replace(made, verdict="same" if alike else "adds")
    qualifiers = ";".join(
        f"{key}={said.get(key)}" for key in ("route", "per", "population", "purpose") if said.get(key)
    )
    looser = replace(made, verdict="looser", predicate="dose-max", qualifiers=qualifiers,
                     was=plain["max"] if plain else "", now=said.get("max"))  # fmt: skip
    most = _grams(said.get("max"), said.get("unit"))
    ceilings = [grams for row in alike if row["max"] and (grams := _grams(row["max"], row["unit"])) is not None]
    same_unit = [row for row in alike if row["max"] and row["unit"] == said.get("unit")]
    if plain and (plain["min"], plain["max"], plain["unit"]) == tuple(said.get(key) for key in ("min", "max", "unit")):
        return replace(made, verdict="same")
    if most is None:
        if not same_unit or float(said.get("max")) > max(float(row["max"]) for row in same_unit):
            return looser
    elif not ceilings or most > max(ceilings) + 1e-9:
        return looser
    if not plain or not plain["max"]:
        return (
            looser
            if plain is not None and plain["unit"] != said.get("unit") and plain["max"]
            else replace(made, verdict="stricter")
        )
    if plain["unit"] != said.get("unit"):
        return looser
    if float(said.get("max")) > float(plain["max"]):
        return looser
    return replace(made, verdict="stricter" if float(said.get("max")) < float(plain["max"]) else "differs")


def _grams(text: str, unit: str) -> float | None:
    return float(text) * _GRAMS[unit] if unit in _GRAMS else None


def _span(row: Mapping[str, str]) -> str:
    amount = "-".join(filter(None, (row["min"], row["max"]))) + (f" {row['unit']}" if row["unit"] else "")
    purpose = f", {row['purpose']}" if row["purpose"] else ""
    return f"{amount or 'no amount'} ({row['route']}, a {row['per']}{purpose})"


def _caution(facts: Facts, subject: str, said: Say) -> Verdict:
    topic, target, state = (said.get(key) for key in ("topic", "target", "state"))
    targets = facts.vocabularies["targets"]
    above = targets.up(target) if target else frozenset()
    exact = covering = ""
    for fact in facts.of(subject, "caution"):
        qualifiers = dict(fact.qualifiers)
        other = qualifiers.get("target", "")
        if target and other == target:
            topic = qualifiers.get("topic", topic)
        elif qualifiers.get("topic") != topic:
            continue
        if other == target:
            exact = _stricter(exact, fact.value)
        elif not other or other in above:
            covering = _stricter(covering, fact.value)
    stands = _stricter(exact, covering)
    said = _with(said, topic=topic)
    made = Verdict("adds", said, record_of(subject, said), stands)
    if not stands:
        return made
    if _STATES.index(state) > _STATES.index(stands):
        return replace(made, verdict="stricter")
    if state == stands:
        return replace(made, verdict="same")
    key = f"topic={topic}" + (f";target={target}" if target else "")
    return replace(made, verdict="looser", predicate="caution", qualifiers=key, was=exact or covering, now=state)


def _stricter(one: str, other: str) -> str:
    known = [state for state in (one, other) if state in _STATES]
    return max(known, key=_STATES.index) if known else ""


def handling_rows(facts: Facts, subject: str) -> list[Mapping[str, str]]:
    """The ways of cooking that hold of the subject."""
    found: list[Mapping[str, str]] = []
    for fact in facts.of(subject, "handling"):
        table = facts.package.tables[fact.table]
        found.append(table.row(table.row_at(fact.file, fact.line)))
    return found


def _handling(facts: Facts, subject: str, said: Say) -> Verdict:
    handling, force = said.get("handling"), said.get("force")
    rows = handling_rows(facts, subject)
    same = [row for row in rows if row["handling"] == handling]
    required = [row["handling"] for row in rows if row["force"] == "required"]
    told = "; ".join(f"{row['handling']} ({row['force']})" for row in same or rows)
    made = Verdict("adds", said, record_of(subject, said), told)
    if same:
        row = next((row for row in same if not row["purpose"]), same[0])
        made = replace(made, record="|".join((subject, handling, row["purpose"])))
        told_minutes, minutes = row["minutes_min"], said.get("minutes_min")
        fewer = bool(told_minutes and minutes) and int(minutes) < int(told_minutes)
        weaker = bool(force) and _FORCES.index(force) < _FORCES.index(row["force"])
        if row["force"] == "required" and (fewer or weaker):
            return replace(made, verdict="looser", predicate="handling", was=told_minutes if fewer else "required")
        more = bool(minutes) and (not told_minutes or int(minutes) > int(told_minutes))
        stronger = bool(force) and _FORCES.index(force) > _FORCES.index(row["force"])
        if more or stronger:
            return replace(
                made, verdict="stricter", says=_with(said, force=force or row["force"], purpose=row["purpose"])
            )
        return replace(made, verdict="same")
    bars = [
        one
        for one in required
        if {one, handling} == {"decoct-first", "add-late"} or (one in _UNBOILED and handling in _BOILED)
    ]
    if handling == "ordinary":
        special = [one for one in required if one in _BOILED | _UNBOILED]
        return replace(made, verdict="against" if special else "same", base=told)
    if bars:
        return replace(made, verdict="against", base=f"{bars[0]} is required")
    return replace(made, says=_with(said, force=force or "usual"))


def _with(said: Say, **cells: str) -> Say:
    return say(said.table, dict(said.cells) | {column: cell for column, cell in cells.items() if cell})


def _antagonism(facts: Facts, subject: str, said: Say) -> Verdict:
    stands = opposed(facts, subject).get(said.get("with"))
    if not stands:
        return Verdict(
            "adds", say("antagonisms", dict(said.cells) | {"reading": "stated"}), record_of(subject, said), ""
        )
    made = Verdict("same", said, stands.record, f"{stands.state} ({stands.list})")
    weaker = _STATES.index(said.get("state")) < _STATES.index(stands.state)
    return replace(made, verdict="against") if weaker else made


def _name(facts: Facts, subject: str, said: Say) -> Verdict:
    made = Verdict("adds", said, record_of(subject, said), "")
    name, lang = said.get("name").casefold(), said.get("lang")
    table = facts.package.tables[facts.kind(subject)]
    row = table.row(table.rows_of("id")[subject][0])
    for column in ("name_hans", "name_hant", "pinyin", "name_en", "latin"):
        if row.get(column, "").casefold() == name:
            return replace(made, verdict="same", record=subject, base=column)
    names = facts.package.tables["names"]
    for number in names.rows_of("subject").get(subject, ()):
        if names.columns["name"][number].casefold() == name:
            return replace(made, verdict="same", record=names.key(number), base=names.columns["kind"][number])
    return replace(made, record="|".join((subject, said.get("name"), lang)))


def strictest(verdicts: Iterable[str]) -> str:
    """The one to be told first."""
    order = ("looser", "against", "stricter", "adds", "differs", "same")
    return min(verdicts, key=order.index, default="same")
