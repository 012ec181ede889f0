"""More edits that weaken, and two edits at once: each maker as in `edits`, without asking the comparison tested."""

from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from dataclasses import replace

from materia_data.facts.match import match
from materia_data.facts.pattern import PatternError, parse
from materia_data.materia import Materia
from tests.check.edits import (
    GRADES,
    HARMLESS,
    STATES,
    WEAKENING,
    Edit,
    Row,
    World,
    edited,
)

Maker = Callable[[World], Edit | None]
_DOSE = ("subject", "route", "per", "population")


def _sole_doses(world: World, test: Callable[[Row], object] = lambda row: True) -> tuple[list[Row], list[Row]]:
    """All rows, and those that alone give the ceiling of a herb or formula in grams."""
    rows = world.rows("doses")
    keys = [tuple(row[column] for column in _DOSE) for row in rows]
    found = [
        row
        for row, key in zip(rows, keys, strict=True)
        if keys.count(key) == 1 and row["max"] and row["unit"] == "g" and world.kind(row["subject"]) != "forms"
    ]
    return rows, [row for row in found if test(row)]


def higher_for_a_purpose(world: World) -> Edit | None:
    rows, found = _sole_doses(world, lambda row: not row["purpose"])
    row = world.pick(found)
    if row is None:
        return None
    new = {**row, "purpose": "x-purpose", "max": str(float(row["max"]) * 2)}
    return Edit("", {"doses": [*rows, new]}, None, row["subject"], "dose-max")


def swap_doses(world: World) -> Edit | None:
    rows, found = _sole_doses(world)
    low = world.pick(found)
    high = low and world.pick(row for row in found if float(row["max"]) > float(low["max"]))
    if low is None or high is None:
        return None
    for column in ("min", "max"):
        low[column], high[column] = high[column], low[column]
    return Edit("", {"doses": rows}, None, low["subject"], "dose-max")


def shifted_dose(world: World) -> Edit | None:
    """A column sorted apart from its row: the largest doses, one row up."""
    rows, found = _sole_doses(world)
    maxima = [row["max"] for row in rows]
    moved = [*maxima[1:], maxima[0]]
    raised = [
        row
        for row, now in zip(rows, moved, strict=True)
        if row in found and (not now or float(now) > float(row["max"]))
    ]
    row = world.pick(raised)
    if row is None:
        return None
    subject = row["subject"]
    for each, now in zip(rows, moved, strict=True):
        each["max"] = now
    return Edit("", {"doses": rows}, None, subject, "dose-max")


def another_route(world: World) -> Edit | None:
    rows, found = _sole_doses(world)
    row = world.pick(found)
    if row is None:
        return None
    row["route"] = "x-route"
    return Edit("", {"doses": rows}, None, row["subject"], "dose-max")


def _days(value: Callable[[str], str]) -> Maker:
    def make(world: World) -> Edit | None:
        rows = world.rows("doses")
        keys = [tuple(row[column] for column in _DOSE) for row in rows]
        row = world.pick(row for row, key in zip(rows, keys, strict=True) if row["max_days"] and keys.count(key) == 1)
        if row is None:
            return None
        row["max_days"] = value(row["max_days"])
        return Edit("", {"doses": rows}, None, row["subject"], "max-days")

    return make


def another_topic(world: World) -> Edit | None:
    rows, row = _sole_caution(world)
    other = row and world.pick(each for each in world.rows("topics") if each["id"] != row["topic"])
    if row is None or other is None:
        return None
    row["topic"], row["target"] = other["id"], ""
    return Edit("", {"cautions": rows}, None, row["subject"], "caution")


def swap_states(world: World) -> Edit | None:
    rows, row = _sole_caution(world, lambda row: row["state"] == "contraindicated")
    other = row and world.pick(each for each in rows if each["state"] == "caution")
    if row is None or other is None:
        return None
    row["state"], other["state"] = other["state"], row["state"]
    return Edit("", {"cautions": rows}, None, row["subject"], "caution")


def _sole_caution(world: World, test: Callable[[Row], bool] = lambda row: True) -> tuple[list[Row], Row | None]:
    """A row that alone speaks of its topic for its subject."""
    rows = world.rows("cautions")

    def alone(row: Row) -> bool:
        herb = world.facts.herb_of(row["subject"])
        about = {*world.of(row["subject"], "caution"), *world.of(herb, "caution")}
        return sum(("topic", row["topic"]) in fact.qualifiers for fact in about) == 1

    candidates = [row for row in rows if row["state"] in STATES and test(row)]
    world.rng.shuffle(candidates)
    return rows, next((row for row in candidates[:200] if alone(row)), None)


def milder_on_a_form(world: World) -> Edit | None:
    """A form gets a milder state of its own than its herb's, read in a standard, so that it takes the herb's place."""
    rows, row = _sole_caution(
        world, lambda row: row["state"] != "caution" and world.kind(row["subject"]) == "herbs" and bool(row["target"])
    )
    form = row and world.pick({"id": one} for one in world.forms(row["subject"]))
    source = world.pick(each for each in world.rows("sources") if each["kind"] == "standard")
    if row is None or form is None or source is None:
        return None
    new = {**row, "subject": form["id"], "state": "caution", "basis": "collated", "source": source["id"],
           "locator": "x", "reason": "because"}  # fmt: skip
    return Edit("", {"cautions": [*rows, new]}, None, form["id"], "caution")


def another_step(world: World) -> Edit | None:
    rows, row = _sole_step(world)
    if row is None:
        return None
    row["handling"] = "wrap" if row["handling"] != "wrap" else "add-late"
    return Edit("", {"handling": rows}, None, row["subject"], "handling")


def step_for_one_purpose(world: World) -> Edit | None:
    rows, row = _sole_step(world, lambda row: not row["purpose"])
    if row is None:
        return None
    row["purpose"] = "x-purpose"
    return Edit("", {"handling": rows}, None, row["subject"], "handling")


def cooked_as_usual(world: World) -> Edit | None:
    """A form is said to be cooked as usual, which drops every step it had from its herb."""
    rows = world.rows("handling")
    found = [
        fact.subject
        for form in world.rows("forms")
        for fact in world.of(form["id"], "handling")
        if fact.inherited_from and ("force", "required") in fact.qualifiers
    ]
    if not found:
        return None
    form = world.rng.choice(found)
    row = {"subject": form, "handling": "ordinary", "force": "usual", "basis": "common-practice"}
    return Edit("", {"handling": [*rows, row]}, None, form, "handling")


def _sole_step(world: World, test: Callable[[Row], bool] = lambda row: True) -> tuple[list[Row], Row | None]:
    rows = world.rows("handling")
    herbs = [world.facts.herb_of(row["subject"]) for row in rows]
    required = [
        row
        for row, herb in zip(rows, herbs, strict=True)
        if row["force"] == "required" and row["handling"] != "ordinary" and herbs.count(herb) == 1 and test(row)
    ]
    return rows, world.pick(required)


def another_level(world: World) -> Edit | None:
    rows = world.rows("controls")
    broader = {row["broader"] for row in world.rows("levels") if row["broader"]}
    levels = [row["id"] for row in world.rows("levels") if not row["broader"] and row["id"] not in broader]
    keys = [(world.facts.herb_of(row["subject"]), row["instrument"]) for row in rows]
    row = world.pick(
        row for row, key in zip(rows, keys, strict=True) if keys.count(key) == 1 and row["level"] in levels
    )
    others = [level for level in levels if row and level != row["level"]]
    if row is None or not others:
        return None
    row["level"] = world.rng.choice(others)
    return Edit("", {"controls": rows}, None, row["subject"], "control")


def empty_table(world: World) -> Edit | None:
    table, predicate = world.rng.choice(
        [("cautions", "caution"), ("antagonisms", "opposes"), ("controls", "control"), ("handling", "handling")]
    )
    subjects = [fact.subject for subject in world.facts.subjects for fact in world.of(subject, predicate)[:1]
                if predicate != "handling" or ("force", "required") in fact.qualifiers]  # fmt: skip
    subjects = [subject for subject in subjects if world.kind(subject) == "herbs"]
    return Edit("", {table: []}, None, world.rng.choice(subjects), predicate) if subjects else None


def delete_medicinal(world: World) -> Edit | None:
    """A medicinal and all that speaks of it go, and nothing is said of it in `retired`."""
    with_forms = {row["herb"] for row in world.rows("forms")}
    herbs = [row["id"] for row in world.rows("herbs") if row["id"] not in with_forms and world.of(row["id"], "caution")]
    if not herbs:
        return None
    gone = world.rng.choice(herbs)
    tables = {
        name: [row for row in world.rows(name) if row[column] != gone]
        for name, column in {"cautions": "subject", "doses": "subject", "handling": "subject", "controls": "subject",
                             "herbs": "id"}.items()
    }  # fmt: skip
    tables["antagonisms"] = [row for row in world.rows("antagonisms") if gone not in (row["a"], row["b"])]
    return Edit("", tables, None, gone, "status")


def swap_ids(world: World) -> Edit | None:
    """Two medicinals change ids in the table of cautions: each has the other's."""
    rows = world.rows("cautions")
    topics: dict[str, set[str]] = {}
    for row in rows:
        if row["state"] in STATES and not row["target"]:
            topics.setdefault(row["subject"], set()).add(row["topic"])
    herbs = [id for id in topics if world.kind(id) == "herbs"]
    one = world.rng.choice(herbs)
    other = world.pick(
        {"id": id} for id in herbs if topics[one] - {row["topic"] for row in rows if row["subject"] == id}
    )
    if other is None:
        return None
    swapped = {one: other["id"], other["id"]: one}
    for row in rows:
        row["subject"] = swapped.get(row["subject"], row["subject"])
    return Edit("", {"cautions": rows}, None, one, "caution")


def cut_from_rule(world: World) -> Edit | None:
    """A term leaves the broader one that a safety rule asks for, so that the rule no longer reaches a subject."""
    import tomllib

    rules = [rule for text in world.materia.package.rules.values() for rule in tomllib.loads(text).get("rule", [])]
    whens = [str(rule["when"]) for rule in rules if rule.get("safety")]
    world.rng.shuffle(whens)
    for table in ("traits", "actions", "toxicities", "parts", "indications", "targets"):
        rows = world.rows(table)
        broader = [row for row in rows if row["broader"]] if rows and "broader" in rows[0] else []
        asked = [row for row in broader if any(f":{row['broader']}" in when for when in whens)]
        for row in world.rng.sample(asked, min(3, len(asked))):
            kept, row["broader"] = row["broader"], ""
            after = edited(world.materia, Edit("", {table: rows}))
            for when in (when for when in whens if f":{kept}" in when):
                try:
                    lost = _holds(world.materia, when) - _holds(after, when)
                except PatternError:
                    continue
                herbs = sorted(subject for subject in lost if world.kind(subject) == "herbs")
                if herbs:
                    return Edit("", {table: rows}, None, herbs[0], "rule")
            row["broader"] = kept
    return None


def _holds(materia: Materia, when: str) -> set[str]:
    facts = materia.facts
    return {facts.subjects[number] for number in match(parse(when, facts), facts).true}


def rule_over_fewer(world: World) -> Edit | None:
    """A safety rule that leaves forms out is no safety rule, and is lost as a whole."""
    rules = dict(world.materia.package.rules)
    wide = 'over = ["herbs", "forms"]'
    found = [
        (name, place)
        for name, text in rules.items()
        for place, block in enumerate(text.split("[[rule]]"))
        if "safety = true" in block and wide in block
    ]
    if not found:
        return None
    name, place = world.rng.choice(found)
    blocks = rules[name].split("[[rule]]")
    blocks[place] = blocks[place].replace(wide, 'over = ["herbs"]')
    rules[name] = "[[rule]]".join(blocks)
    return Edit("", {}, rules, blocks[place].split('id = "', 1)[1].split('"', 1)[0], "strength")


def delete_rule_file(world: World) -> Edit | None:
    rules = dict(world.materia.package.rules)
    name = world.rng.choice(sorted(name for name, text in rules.items() if "safety = true" in text))
    block = next(block for block in rules.pop(name).split("[[rule]]") if "safety = true" in block)
    return Edit("", {}, rules, block.split('id = "', 1)[1].split('"', 1)[0], "strength")


def grade_without_rank(world: World) -> Edit | None:
    rows = world.rows("toxicities")
    row = world.pick(row for row in rows if row["id"] in GRADES[2:])
    if row is None:
        return None
    row["rank"] = ""
    return Edit("", {"toxicities": rows}, None, row["id"], "rank")


def retire_a_form_into_its_herb(world: World) -> Edit | None:
    """A form with a required step of its own is retired in favour of its herb, which does not ask for it."""
    rows = world.rows("handling")
    keys = [(world.facts.herb_of(row["subject"]), row["handling"]) for row in rows]
    row = world.pick(
        row
        for row, key in zip(rows, keys, strict=True)
        if row["force"] == "required" and keys.count(key) == 1 and world.kind(row["subject"]) == "forms"
    )
    if row is None:
        return None
    form, herb = row["subject"], world.facts.herb_of(row["subject"])
    tables = {name: [each for each in world.rows(name) if each["subject"] != form]
              for name in ("cautions", "doses", "handling", "controls")}  # fmt: skip
    tables["forms"] = [each for each in world.rows("forms") if each["id"] != form]
    tables["herbs"] = [
        each | {"default_form": ""} if each["default_form"] == form else each for each in world.rows("herbs")
    ]
    retired = {"id": form, "kind": "forms", "replaced_by": herb, "on_date": "2026-01-01", "reason": "one"}
    tables["retired"] = [*world.rows("retired"), retired]
    return Edit("", tables, None, form, "handling")


SINGLE: Mapping[str, Maker] = {
    **WEAKENING,
    "a higher dose for a purpose": higher_for_a_purpose,
    "swap the doses of two subjects": swap_doses,
    "shift the largest doses by a row": shifted_dose,
    "give a dose to another route": another_route,
    "longer use": _days(lambda was: str(int(float(was)) * 2)),
    "use without an end": _days(lambda was: ""),
    "move a caution to another topic": another_topic,
    "swap the states of two cautions": swap_states,
    "a milder caution on a form": milder_on_a_form,
    "another step of cooking": another_step,
    "a step only for one purpose": step_for_one_purpose,
    "a form cooked as usual": cooked_as_usual,
    "another level of control": another_level,
    "empty a table": empty_table,
    "delete a medicinal": delete_medicinal,
    "swap the ids of two medicinals": swap_ids,
    "cut a term from a safety rule": cut_from_rule,
    "a safety rule over fewer": rule_over_fewer,
    "delete a file of safety rules": delete_rule_file,
    "a grade without its rank": grade_without_rank,
    "retire a form into its herb": retire_a_form_into_its_herb,
}
_WHOLE = ("empty a table", "shift the largest doses by a row", "swap the ids of two medicinals")
_HIDING = ("broaden a caution", "rename and retire", "shuffle rows", "turn an antagonism round", "raise a toxicity",
           "correct a name", "add a herb", "widen a safety rule")  # fmt: skip


def weakening_edits(materia: Materia, count: int, first: int = 0) -> Iterator[tuple[Materia, list[Edit]]]:
    """Edited packages with so many edits that weaken, each with its own: one, two of different medicinals, or one
    beside a harmless one that might hide it. The same for the same package and numbers.

    first: the number of the first; every other package has two edits, if they can be told apart.
    """
    names = list(SINGLE)
    seed = first
    made = 0
    while made < count and seed < first + count * 4:
        name = names[seed % len(names)]
        edit = SINGLE[name](World(materia, seed))
        if edit is not None:
            edits = [replace(deepcopy(edit), name=f"{name} (seed {seed})")]
            new = edited(materia, edit)
            if seed % 2 and name not in _WHOLE:
                new, more = _second(materia, new, edits[0], seed)
                edits += more
            made += len(edits)
            yield new, edits
        seed += 1


def _second(old: Materia, new: Materia, first: Edit, seed: int) -> tuple[Materia, list[Edit]]:
    """A second edit of what the first left: one that weakens another family, or a harmless one that might hide it."""
    world = World(new, seed + 1)
    if seed % 4 == 3:
        name = _HIDING[seed // 4 % len(_HIDING)]
        edit = HARMLESS[name](world)
        touched = edit is None or _mentions(edit, new, _family(old, first.subject))
        return (new, []) if edit is None or touched else (edited(new, edit), [])
    names = [name for name in SINGLE if name not in _WHOLE]
    name = names[(seed * 7 + 3) % len(names)]
    edit = SINGLE[name](world)
    same = edit is None or _mentions(edit, new, _family(old, first.subject))
    if edit is None or same or _family(old, edit.subject) == _family(old, first.subject):
        return new, []
    return edited(new, edit), [replace(deepcopy(edit), name=f"{name} (second, seed {seed})")]


def _mentions(edit: Edit, before: Materia, family: str) -> bool:
    """Whether the edit changes a row, or a rule or term, that names the family."""
    for table, rows in edit.tables.items():
        old = before.package.tables[table]
        kept = {tuple(old.row(number).values()) for number in range(len(old))}
        new = {tuple(row.get(column, "") for column in old.schema.by_name) for row in rows}
        if any(family == part.partition(".")[0] for row in kept ^ new for cell in row for part in cell.split(";")):
            return True
    return edit.rules is not None and edit.rules != before.package.rules and family not in before


def _family(materia: Materia, subject: str) -> str:
    facts = materia.facts
    return facts.herb_of(subject) if subject in facts.number else subject


def harmless_edits(materia: Materia, count: int, first: int = 0) -> Iterator[tuple[Materia, list[Edit]]]:
    """So many harmless edits, five of them one on the other in each package."""
    names, seed, made = list(HARMLESS), first, 0
    while made < count and seed < first + count * 3:
        new, edits = materia, list[Edit]()
        while len(edits) < min(5, count - made) and seed < first + count * 3:
            name = names[seed % len(names)]
            edit = HARMLESS[name](World(new, seed))
            if edit is not None:
                edits.append(replace(deepcopy(edit), name=f"{name} (seed {seed})"))
                new = edited(new, edit)
            seed += 1
        made += len(edits)
        yield new, edits
