"""Edits of a data package that are known to weaken its safety facts, and edits known not to.

Each is made from rows and effective facts so that it truly takes something away (or nothing), without asking the
comparison that is tested. A maker returns None where the package has nothing for it to work on.
"""

import csv
import io
import random
import re
from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field, replace
from pathlib import Path

from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.read.layers.layer import Layer, layer_schema
from materia_data.read.layers.over import put_over
from materia_data.read.schema import table_schemas
from materia_data.read.table import Table

Row = dict[str, str]
STATES = ("caution", "avoid", "contraindicated")
_PROSE = {field.name for schema in table_schemas().values() for field in schema.fields if field.prose} | {"key", "name"}
GRADES = ("unmarked", "none", "slight", "toxic", "very-toxic")


@dataclass
class Edit:
    """An edited package. subject, predicate: where something is weaker now, empty for a harmless edit."""

    name: str
    tables: dict[str, list[Row]] = field(default_factory=dict)
    rules: dict[str, str] | None = None
    subject: str = ""
    predicate: str = ""


class World:
    """A package to be edited: its rows, its effective facts, and chance."""

    def __init__(self, materia: Materia, seed: int) -> None:
        self.materia, self.rng = materia, random.Random(seed)

    @property
    def facts(self) -> Facts:
        """Its effective facts, built when first asked for."""
        return self.materia.facts

    def rows(self, table: str) -> list[Row]:
        """A fresh copy of the table's rows."""
        found = self.materia.package.tables[table]
        return [found.row(i) for i in range(len(found))]

    def of(self, subject: str, predicate: str) -> list[Fact]:
        """Effective facts."""
        return self.facts.of(subject, predicate)

    def kind(self, subject: str) -> str:
        return self.materia.package.subject_table(subject) or ""

    def pick(self, items: "Iterator[Row] | list[Row]") -> Row | None:
        found = list(items)
        return self.rng.choice(found) if found else None

    def forms(self, herb: str) -> list[str]:
        table = self.materia.package.tables["forms"]
        return [table.columns["id"][row] for row in table.rows_of("herb").get(herb, ())]


def edited(materia: Materia, edit: Edit) -> Materia:
    """The package with the edit made, in memory."""
    package = materia.package
    tables = dict(package.tables)
    for name, rows in edit.tables.items():
        schema = table_schemas()[name]
        columns = {column: [row.get(column, "") for row in rows] for column in schema.by_name}
        tables[name] = Table(schema, columns, range(2, len(rows) + 2))
    rules = package.rules if edit.rules is None else edit.rules
    return Materia(replace(package, tables=tables, rules=rules, _kinds=None))


def loosening_rows(lines: list[str]) -> list[Row]:
    """Rows of `record/loosenings` from CSV lines as the tips give them."""
    names = list(table_schemas()["loosenings"].by_name)
    return [dict(zip(names, cells, strict=True)) for cells in csv.reader(io.StringIO("\n".join(lines)))]


def copy_package(source: Path, target: Path) -> Path:
    """A copy of a package folder."""
    for path in source.rglob("*"):
        if path.is_file():
            place = target / path.relative_to(source)
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(path.read_bytes())
    return target


# What weakens.


def _alone(world: World, row: Row) -> bool:
    """Whether the row is the only word on its topic that reaches its subject."""
    herb = world.facts.herb_of(row["subject"])
    about = {*world.of(row["subject"], "caution"), *world.of(herb, "caution")}
    return sum(("topic", row["topic"]) in fact.qualifiers for fact in about) == 1


def _caution(world: World, test: Callable[[Row], bool] = lambda row: True) -> tuple[list[Row], Row | None]:
    rows = world.rows("cautions")
    candidates = [row for row in rows if row["state"] in STATES and test(row)]
    world.rng.shuffle(candidates)
    return rows, next((row for row in candidates if _alone(world, row)), None)


def delete_caution(world: World) -> Edit | None:
    rows, row = _caution(world)
    return (
        None
        if row is None
        else Edit("", {"cautions": [each for each in rows if each is not row]}, None, row["subject"], "caution")
    )


def lower_caution(world: World) -> Edit | None:
    rows, row = _caution(world, lambda row: row["state"] != "caution")
    if row is None:
        return None
    subject = row["subject"]
    row["state"] = world.rng.choice(STATES[: STATES.index(row["state"])])
    return Edit("", {"cautions": rows}, None, subject, "caution")


def silence_caution(world: World) -> Edit | None:
    rows, row = _caution(world)
    if row is None:
        return None
    row["state"] = world.rng.choice(["none-stated", ""])
    return Edit("", {"cautions": rows}, None, row["subject"], "caution")


def narrow_caution(world: World) -> Edit | None:
    topics = {row["topic"] for row in world.rows("targets")}
    rows, row = _caution(world, lambda row: not row["target"] and row["topic"] in topics)
    target = row and world.pick(each for each in world.rows("targets") if each["topic"] == row["topic"])
    if row is None or target is None:
        return None
    row["target"] = target["id"]
    return Edit("", {"cautions": rows}, None, row["subject"], "caution")


def move_caution_to_form(world: World) -> Edit | None:
    rows, row = _caution(world, lambda row: bool(world.forms(row["subject"])))
    if row is None:
        return None
    herb = row["subject"]
    row["subject"] = world.rng.choice(world.forms(herb))
    return Edit("", {"cautions": rows}, None, herb, "caution")


def swap_cautions(world: World) -> Edit | None:
    rows = world.rows("cautions")
    for _ in range(50):
        one, other = world.rng.sample(rows, 2)
        if one["topic"] != other["topic"] and one["subject"] != other["subject"] and one["state"] in STATES and (
            _alone(world, one) and world.kind(one["subject"]) == "herbs"
        ):  # fmt: skip
            subject = one["subject"]
            one["subject"], other["subject"] = other["subject"], one["subject"]
            return Edit("", {"cautions": rows}, None, subject, "caution")
    return None


_DOSE = ("subject", "route", "per", "population")


def _dose(world: World) -> tuple[list[Row], Row | None]:
    """A dose in grams that alone gives the ceiling of its subject, and is not a form's beside its herb's."""
    rows = world.rows("doses")
    keys = [tuple(row[column] for column in _DOSE) for row in rows]
    found = [
        row
        for row, key in zip(rows, keys, strict=True)
        if keys.count(key) == 1 and row["max"] and row["unit"] == "g" and world.kind(row["subject"]) != "forms"
    ]
    return rows, world.pick(found)


def delete_dose(world: World) -> Edit | None:
    rows, row = _dose(world)
    return (
        None
        if row is None
        else Edit("", {"doses": [each for each in rows if each is not row]}, None, row["subject"], "dose-max")
    )


def _change_dose(column: str, values: Callable[[str], list[str]]) -> Callable[[World], Edit | None]:
    def make(world: World) -> Edit | None:
        rows, row = _dose(world)
        if row is None:
            return None
        row[column] = world.rng.choice(values(row[column]))
        return Edit("", {"doses": rows}, None, row["subject"], "dose-max")

    return make


def dose_for_who_had_none(world: World) -> Edit | None:
    rows = world.rows("doses")
    without = [
        subject
        for subject in world.facts.subjects
        if world.kind(subject) != "formulas" and not world.of(subject, "dose-max") and not world.of(subject, "dose-min")
    ]
    if not without:
        return None
    subject = world.rng.choice(without)
    row = {"subject": subject, "route": "decoction", "per": "day", "population": "adult", "min": "3", "max": "9",
           "unit": "g", "basis": "common-practice"}  # fmt: skip
    return Edit("", {"doses": [*rows, row]}, None, subject, "dose-max")


def _toxic(world: World, least: int = 1) -> tuple[list[Row], Row | None]:
    rows = world.rows("herbs")
    return rows, world.pick(row for row in rows if row["toxicity"] in GRADES[least:])


def lower_toxicity(world: World) -> Edit | None:
    rows, row = _toxic(world)
    if row is None:
        return None
    row["toxicity"] = world.rng.choice(["", *GRADES[: GRADES.index(row["toxicity"])]])
    return Edit("", {"herbs": rows}, None, row["id"], "toxicity")


def swap_toxicity(world: World) -> Edit | None:
    rows, row = _toxic(world, 2)
    if row is None:
        return None
    grade = GRADES.index(row["toxicity"])
    other = world.pick(each for each in rows if each["toxicity"] in GRADES[:grade])
    if other is None:
        return None
    row["toxicity"], other["toxicity"] = other["toxicity"], row["toxicity"]
    return Edit("", {"herbs": rows}, None, row["id"], "toxicity")


def _antagonism(world: World, test: Callable[[Row], object] = lambda row: True) -> tuple[list[Row], Row | None]:
    """An antagonism of two herbs that no second row repeats."""
    rows = world.rows("antagonisms")
    pairs = [frozenset((world.facts.herb_of(row["a"]), world.facts.herb_of(row["b"]))) for row in rows]
    found = [
        row
        for row, pair in zip(rows, pairs, strict=True)
        if pairs.count(pair) == 1 and world.kind(row["a"]) == world.kind(row["b"]) == "herbs" and test(row)
    ]
    return rows, world.pick(found)


def delete_antagonism(world: World) -> Edit | None:
    rows, row = _antagonism(world)
    return (
        None
        if row is None
        else Edit("", {"antagonisms": [each for each in rows if each is not row]}, None, row["b"], "opposes")
    )


def lower_antagonism(world: World) -> Edit | None:
    rows, row = _antagonism(world)
    if row is None or row["state"] == "caution":
        return None
    row["state"] = world.rng.choice(STATES[: STATES.index(row["state"])])
    return Edit("", {"antagonisms": rows}, None, row["a"], "opposes")


def narrow_antagonism(world: World) -> Edit | None:
    rows, row = _antagonism(world, lambda row: world.forms(row["b"]))
    if row is None:
        return None
    herb, row["b"] = row["b"], world.rng.choice(world.forms(row["b"]))
    return Edit("", {"antagonisms": rows}, None, herb, "opposes")


def _step(world: World, test: Callable[[Row], bool] = lambda row: True) -> tuple[list[Row], Row | None]:
    """A required step of cooking that only one row asks of its subject."""
    rows = world.rows("handling")
    keys = [(world.facts.herb_of(row["subject"]), row["handling"]) for row in rows]
    found = [
        row
        for row, key in zip(rows, keys, strict=True)
        if row["force"] == "required" and keys.count(key) == 1 and test(row)
    ]
    return rows, world.pick(found)


def delete_step(world: World) -> Edit | None:
    rows, row = _step(world)
    return (
        None
        if row is None
        else Edit("", {"handling": [each for each in rows if each is not row]}, None, row["subject"], "handling")
    )


def no_longer_required(world: World) -> Edit | None:
    rows, row = _step(world)
    if row is None:
        return None
    row["force"] = world.rng.choice(["usual", "optional"])
    return Edit("", {"handling": rows}, None, row["subject"], "handling")


def fewer_minutes(world: World) -> Edit | None:
    rows, row = _step(world, lambda row: row["minutes_min"] not in ("", "0", "1"))
    if row is None:
        return None
    row["minutes_min"] = world.rng.choice(["", "1"])
    return Edit("", {"handling": rows}, None, row["subject"], "minutes-min")


def flip_inherits(world: World) -> Edit | None:
    rows = world.rows("forms")
    row = world.pick(
        row
        for row in rows
        if row["inherits"] == "all" and any(fact.inherited_from for fact in world.of(row["id"], "dose-max"))
    )
    if row is None:
        return None
    row["inherits"] = "safety"
    return Edit("", {"forms": rows}, None, row["id"], "dose-max")


def clear_default_form(world: World) -> Edit | None:
    rows = world.rows("herbs")
    row = world.pick(row for row in rows if row["default_form"])
    if row is None:
        return None
    row["default_form"] = ""
    return Edit("", {"herbs": rows}, None, row["id"], "default-form")


def default_form_without_dose(world: World) -> Edit | None:
    """A default form with a ceiling gives way to one with none."""
    rows = world.rows("herbs")
    found = [
        (row, form)
        for row in rows
        if row["default_form"] and world.of(row["default_form"], "dose-max")
        for form in world.forms(row["id"])
        if form != row["default_form"] and not world.of(form, "dose-max")
    ]
    if not found:
        return None
    row, form = world.rng.choice(found)
    row["default_form"] = form
    return Edit("", {"herbs": rows}, None, row["id"], "default-form")


def back_in_use(world: World) -> Edit | None:
    rows = world.rows("herbs")
    row = world.pick(row for row in rows if row["status"] not in ("", "current"))
    if row is None:
        return None
    row["status"] = "current"
    return Edit("", {"herbs": rows}, None, row["id"], "status")


def delete_control(world: World) -> Edit | None:
    rows = world.rows("controls")
    keys = [(world.facts.herb_of(row["subject"]), row["instrument"]) for row in rows]
    row = world.pick(row for row, key in zip(rows, keys, strict=True) if keys.count(key) == 1)
    return (
        None
        if row is None
        else Edit("", {"controls": [each for each in rows if each is not row]}, None, row["subject"], "control")
    )


def _constituents(world: World) -> set[str]:
    """Those that no other constituent is broader or narrower than."""
    rows = [row for row in world.rows("traits") if row["kind"] == "constituent"]
    above = {row["broader"] for row in rows}
    return {row["id"] for row in rows if not row["broader"] and row["id"] not in above}


def drop_constituent(world: World) -> Edit | None:
    rows, constituents = world.rows("herbs"), _constituents(world)
    row = world.pick(row for row in rows if constituents & set(row["traits"].split(";")))
    if row is None:
        return None
    gone = world.rng.choice(sorted(constituents & set(row["traits"].split(";"))))
    row["traits"] = ";".join(trait for trait in row["traits"].split(";") if trait != gone)
    return Edit("", {"herbs": rows}, None, row["id"], "trait")


def cut_constituent_of_form(world: World) -> Edit | None:
    rows, constituents = world.rows("forms"), _constituents(world)
    found = [
        (row, fact.value)
        for row in rows
        for fact in world.of(row["id"], "trait")
        if fact.value in constituents and fact.inherited_from and fact.value not in row["traits"]
    ]
    if not found:
        return None
    row, trait = world.rng.choice(found)
    row["traits"] = ";".join(filter(None, [row["traits"], f"-{trait}"]))
    return Edit("", {"forms": rows}, None, row["id"], "trait")


def no_longer_constituent(world: World) -> Edit | None:
    rows, constituents = world.rows("traits"), _constituents(world)
    held = {
        fact.value: subject
        for subject in world.facts.subjects
        for fact in world.of(subject, "trait")
        if not fact.inherited_from
    }
    row = world.pick(row for row in rows if row["id"] in constituents & held.keys())
    if row is None:
        return None
    row["kind"] = "substance"
    return Edit("", {"traits": rows}, None, held[row["id"]], "trait")


def _renamed(world: World, old: str, new: str) -> dict[str, list[Row]]:
    """Every table with the id, and its forms' ids, replaced wherever they stand, `forms.herb` and lists included."""
    tables = {}
    ids = {old: new} | {form: f"{new}.{form.partition('.')[2]}" for form in world.forms(old)}
    for name, table in world.materia.package.tables.items():
        if name in ("retired", "loosenings", "signoffs") or table.file.startswith("terms/"):
            continue
        rows, changed = world.rows(name), False
        for row in rows:
            for column, text in row.items():
                new_text = re.sub(r"[a-z0-9.-]+", lambda found: ids.get(found[0], found[0]), text)
                if column not in _PROSE and new_text != text:
                    row[column], changed = new_text, True
        if changed:
            tables[name] = rows
    return tables


def _some_herb(world: World) -> str:
    return world.rng.choice([row["id"] for row in world.rows("herbs") if world.of(row["id"], "caution")])


def rename_without_retiring(world: World) -> Edit | None:
    herb = _some_herb(world)
    return Edit("", _renamed(world, herb, f"x-{herb}"), None, herb, "caution")


def merge(world: World) -> Edit | None:
    """One herb goes, replaced by another that says nothing on a topic on which the first did."""
    with_forms = {row["herb"] for row in world.rows("forms")}
    herbs = [row for row in world.rows("herbs") if row["id"] not in with_forms and world.of(row["id"], "caution")]
    gone = world.pick(herbs)
    if gone is None:
        return None
    topics = {dict(fact.qualifiers)["topic"] for fact in world.of(gone["id"], "caution") if fact.value in STATES}
    others = [row for row in world.rows("herbs") if row["id"] != gone["id"]]
    world.rng.shuffle(others)
    silent = (
        row for row in others if topics - {dict(fact.qualifiers)["topic"] for fact in world.of(row["id"], "caution")}
    )
    into = next(silent, None)
    if into is None:
        return None
    about = {"cautions": "subject", "doses": "subject", "handling": "subject", "controls": "subject", "herbs": "id"}
    tables = {name: [row for row in world.rows(name) if row[column] != gone["id"]] for name, column in about.items()}
    tables["antagonisms"] = [row for row in world.rows("antagonisms") if gone["id"] not in (row["a"], row["b"])]
    retired = {"id": gone["id"], "kind": "herbs", "replaced_by": into["id"], "on_date": "2026-01-01", "reason": "one"}
    tables["retired"] = [*world.rows("retired"), retired]
    return Edit("", tables, None, gone["id"], "caution")


def cut_form(world: World) -> Edit | None:
    """A form goes, and with it a required step that its herb does not ask for."""
    _, row = _step(world, lambda row: world.kind(row["subject"]) == "forms")
    if row is None:
        return None
    form = row["subject"]
    tables = {name: [each for each in world.rows(name) if each["subject"] != form]
              for name in ("cautions", "doses", "handling", "controls")}  # fmt: skip
    tables["forms"] = [each for each in world.rows("forms") if each["id"] != form]
    return Edit("", tables, None, form, "handling")


def move_target(world: World) -> Edit | None:
    """A target leaves a broader one of which some subject states a caution, and nothing of the target itself."""
    rows = world.rows("targets")
    stated: dict[str, list[tuple[str, list[str]]]] = {}
    for subject in world.facts.subjects:
        targets = [dict(fact.qualifiers).get("target", "") for fact in world.of(subject, "caution")]
        for target in targets:
            stated.setdefault(target, []).append((subject, targets))
    row = world.pick(
        row
        for row in rows
        if row["broader"]
        and row["broader"] in stated
        and any(row["id"] not in targets for _, targets in stated[row["broader"]])
    )
    if row is None:
        return None
    row["broader"] = ""
    return Edit("", {"targets": rows}, None, row["id"], "broader")


def move_rank(world: World) -> Edit | None:
    rows = world.rows("toxicities")
    by_id = {row["id"]: row for row in rows}
    low, high = sorted(world.rng.sample(range(1, len(GRADES)), 2))
    one, other = by_id[GRADES[low]], by_id[GRADES[high]]
    one["rank"], other["rank"] = other["rank"], one["rank"]
    return Edit("", {"toxicities": rows}, None, GRADES[high], "rank")


def _rule_edit(world: World, change: Callable[[str], str]) -> tuple[dict[str, str], str] | None:
    """Rule files with one safety rule changed, and its id; the change gets the rule's own lines."""
    rules = dict(world.materia.package.rules)
    found = []
    for name, text in rules.items():
        blocks = text.split("[[rule]]")
        found += [(name, place) for place, block in enumerate(blocks) if "safety = true" in block]
    if not found:
        return None
    name, place = world.rng.choice(found)
    blocks = rules[name].split("[[rule]]")
    id = blocks[place].split('id = "', 1)[1].split('"', 1)[0]
    new = change(blocks[place])
    if new == blocks[place]:
        return None
    blocks[place] = new
    rules[name] = "[[rule]]".join(blocks) if new else "[[rule]]".join(blocks[:place] + blocks[place + 1 :])
    return rules, id


def _rule_maker(change: Callable[[str], str], predicate: str) -> Callable[[World], Edit | None]:
    def make(world: World) -> Edit | None:
        found = _rule_edit(world, change)
        return found and Edit("", {}, found[0], found[1], predicate)

    return make


def _in_key(key: str, change: Callable[[str], str]) -> Callable[[str], str]:
    def apply(block: str) -> str:
        lines = block.split("\n")
        for place, line in enumerate(lines):
            if line.startswith(f'{key} = "'):
                lines[place] = f'{key} = "{change(line.split(chr(34), 1)[1].rsplit(chr(34), 1)[0])}"'
        return "\n".join(lines)

    return apply


def new_exception(world: World) -> Edit | None:
    found = _rule_edit(world, lambda block: block + "\n")
    if not found:
        return None
    subject = world.rng.choice(world.facts.subjects)
    row = {"rule": found[1], "subject": subject, "value": "x-value", "reason": "because", "by": "owner",
           "review_on": "2030-01-01"}  # fmt: skip
    return Edit("", {"exceptions": [*world.rows("exceptions"), row]}, None, subject, "exception")


def add_layer(world: World) -> Edit | None:
    """A school's layer says less than the data: a lower state, a higher dose, a cleared one, or a row taken out."""
    how = world.rng.choice(["lower", "remove", "raise", "clear"])
    name, predicate = ("doses", "dose-max") if how in ("raise", "clear") else ("cautions", "caution")
    _, row = (
        _dose(world) if name == "doses" else _caution(world, lambda row: how != "lower" or row["state"] != STATES[0])
    )
    if row is None:
        return None
    says = {
        "lower": {"state": "caution", "basis": "common-practice"},
        "remove": {"layer_op": "remove"},
        "raise": {"max": str(float(row.get("max", 1)) * 10), "basis": "common-practice"},
        "clear": {"layer_clear": "max"},
    }[how]
    schema = layer_schema(name, "school:")
    cells = {column: row[column] for column in schema.key} | says
    own = Table(schema, {column: [cells.get(column, "")] for column in schema.by_name}, range(2, 3))
    layer = Layer(Path(), "school", "A school", ">=0", 1, "0" * 64, {name: own}, {}, None, ())
    made = put_over(world.materia.package, [layer]).tables
    tables = {each: [made[each].row(i) for i in range(len(made[each]))] for each in (name, "citations")}
    return Edit("", tables, None, row["subject"], predicate)


WEAKENING: Mapping[str, Callable[[World], Edit | None]] = {
    "delete a caution": delete_caution,
    "lower a caution": lower_caution,
    "silence a caution": silence_caution,
    "narrow a caution to one target": narrow_caution,
    "move a caution to a form": move_caution_to_form,
    "swap the subjects of two cautions": swap_cautions,
    "delete a dose": delete_dose,
    "raise a dose": _change_dose("max", lambda was: [str(float(was) * 1.5), str(float(was) * 10), "999"]),
    "blank the end of a dose": _change_dose("max", lambda was: [""]),
    "change the unit of a dose": _change_dose("unit", lambda was: ["ml", "piece", "pair"]),
    "give a dose to another population": _change_dose("population", lambda was: ["child"]),
    "give a dose to a subject that had none": dose_for_who_had_none,
    "lower a toxicity": lower_toxicity,
    "swap two toxicities": swap_toxicity,
    "delete an antagonism": delete_antagonism,
    "lower an antagonism": lower_antagonism,
    "narrow an antagonism to a form": narrow_antagonism,
    "delete a required step": delete_step,
    "a step is no longer required": no_longer_required,
    "fewer minutes": fewer_minutes,
    "a form inherits only safety facts": flip_inherits,
    "clear a default form": clear_default_form,
    "a default form without a dose": default_form_without_dose,
    "back in use": back_in_use,
    "delete a control": delete_control,
    "drop a constituent": drop_constituent,
    "a form loses a constituent": cut_constituent_of_form,
    "a trait is no longer a constituent": no_longer_constituent,
    "rename without retiring": rename_without_retiring,
    "merge two medicinals": merge,
    "cut a form with a required step": cut_form,
    "move a target": move_target,
    "swap two ranks": move_rank,
    "delete a safety rule": _rule_maker(lambda block: "", "strength"),
    "lower a safety rule": _rule_maker(
        lambda block: block.replace('strength = "must"', 'strength = "expected"'), "strength"
    ),
    "a rule is no longer about safety": _rule_maker(
        lambda block: block.replace("safety = true", "safety = false"), "safety"
    ),
    "narrow a safety rule": _rule_maker(
        _in_key("when", lambda text: f"({text}) and flavor:sour and nature:hot"), "when"
    ),
    "soften a safety rule": _rule_maker(_in_key("expect", lambda text: f"({text}) or flavor:sour"), "expect"),
    "except from a safety rule": new_exception,
    "add a layer": add_layer,
}


# What does not.


def _change_cell(
    table: str, column: str, value: Callable[[str], str], test: Callable[[Row], bool] = lambda row: True
) -> Callable[[World], Edit | None]:
    def make(world: World) -> Edit | None:
        rows = world.rows(table)
        row = world.pick(row for row in rows if test(row))
        if row is None:
            return None
        row[column] = value(row[column])
        return Edit("", {table: rows})

    return make


def _delete_row(table: str, test: Callable[[Row], bool] = lambda row: True) -> Callable[[World], Edit | None]:
    def make(world: World) -> Edit | None:
        rows = world.rows(table)
        row = world.pick(row for row in rows if test(row))
        return None if row is None else Edit("", {table: [each for each in rows if each is not row]})

    return make


def shuffle_rows(world: World) -> Edit:
    tables = {name: world.rows(name) for name in ("cautions", "doses", "herbs", "forms", "antagonisms", "targets")}
    for rows in tables.values():
        world.rng.shuffle(rows)
    return Edit("", tables)


def new_herb(world: World) -> Edit:
    herb = {**world.rng.choice(world.rows("herbs")), "id": "x-new", "default_form": "", "toxicity": "unmarked"}
    dose = {"subject": "x-new", "route": "decoction", "per": "day", "population": "adult", "min": "3", "max": "900",
            "unit": "g", "basis": "common-practice"}  # fmt: skip
    return Edit("", {"herbs": [*world.rows("herbs"), herb], "doses": [*world.rows("doses"), dose]})


def new_form(world: World) -> Edit:
    herb = world.rng.choice(world.rows("herbs"))["id"]
    form = {"id": f"{herb}.x-new", "herb": herb, "kind": "prepared", "inherits": world.rng.choice(["all", "safety"]),
            "name_hans": "示例", "basis": "common-practice"}  # fmt: skip
    return Edit("", {"forms": [*world.rows("forms"), form]})


def new_caution(world: World) -> Edit:
    row = {"subject": world.rng.choice(world.facts.subjects), "topic": world.rng.choice(world.rows("topics"))["id"],
           "target": "x-new-target", "state": "caution", "basis": "common-practice"}  # fmt: skip
    return Edit("", {"cautions": [*world.rows("cautions"), row]})


def new_antagonism(world: World) -> Edit:
    a, b = sorted(world.rng.sample([row["id"] for row in world.rows("herbs")], 2))
    row = {"a": a, "b": b, "list": "other", "reading": "extended", "state": "caution", "basis": "common-practice"}
    return Edit("", {"antagonisms": [*world.rows("antagonisms"), row]})


def swap_sides(world: World) -> Edit | None:
    rows = world.rows("antagonisms")
    row = world.pick(rows)
    if row is None:
        return None
    row["a"], row["b"] = row["b"], row["a"]
    return Edit("", {"antagonisms": rows})


def in_milligrams(world: World) -> Edit | None:
    rows = world.rows("doses")
    row = world.pick(row for row in rows if row["unit"] == "g" and row["max"] and row["min"])
    if row is None:
        return None
    row["min"], row["max"], row["unit"] = str(float(row["min"]) * 1000), str(float(row["max"]) * 1000), "mg"
    return Edit("", {"doses": rows})


def smaller_dose_for_a_purpose(world: World) -> Edit | None:
    rows = world.rows("doses")
    row = world.pick(row for row in rows if row["unit"] == "g" and row["max"] and not row["purpose"])
    return (
        None
        if row is None
        else Edit("", {"doses": [*rows, {**row, "purpose": "x-purpose", "min": "", "max": str(float(row["max"]) / 4)}]})
    )


def rename_and_retire(world: World) -> Edit:
    herb = _some_herb(world)
    tables = _renamed(world, herb, f"x-{herb}")
    retired = [
        {"id": id, "kind": world.kind(id), "replaced_by": new, "on_date": "2026-01-01", "reason": "renamed"}
        for id, new in [(herb, f"x-{herb}"), *((form, f"x-{form}") for form in world.forms(herb))]
    ]
    rules = {
        name: re.sub(rf":{herb}(?![a-z0-9-])", f":x-{herb}", text) for name, text in world.materia.package.rules.items()
    }
    return Edit("", {**tables, "retired": [*world.rows("retired"), *retired]}, rules)


def broaden_caution(world: World) -> Edit | None:
    rows = world.rows("cautions")
    broader = {row["id"]: row["broader"].split(";")[0] for row in world.rows("targets")}
    taken = {(row["subject"], row["topic"], row["target"]) for row in rows}
    row = world.pick(
        row
        for row in rows
        if row["target"] and (row["subject"], row["topic"], broader.get(row["target"], "")) not in taken
    )
    if row is None:
        return None
    row["target"] = broader.get(row["target"], "")
    return Edit("", {"cautions": rows})


def new_term(world: World) -> Edit:
    table = world.rng.choice(["targets", "traits", "actions", "indications"])
    row = {"id": "x-new-term", "broader": world.rng.choice(world.rows(table))["id"], "name_en": "new"}
    return Edit("", {table: [*world.rows(table), row]})


def _higher(states: tuple[str, ...]) -> Callable[[str], str]:
    return lambda was: states[min(states.index(was) + 1, len(states) - 1)]


def _harmless_rule(change: Callable[[str], str]) -> Callable[[World], Edit | None]:
    def make(world: World) -> Edit | None:
        found = _rule_edit(world, change)
        return found and Edit("", {}, found[0])

    return make


HARMLESS: Mapping[str, Callable[[World], Edit | None]] = {
    "shuffle rows": shuffle_rows,
    "correct prose": _change_cell("cautions", "detail", lambda was: was + " More."),
    "correct a reason": _change_cell("forms", "reason", lambda was: was + " More."),
    "correct a name": _change_cell("herbs", "name_en", lambda was: was + " (new)"),
    "correct a nature": _change_cell("herbs", "nature", lambda was: "neutral"),
    "correct flavours": _change_cell("herbs", "flavors", lambda was: "sweet"),
    "correct channels": _change_cell("herbs", "channels", lambda was: "liver"),
    "correct a basis": _change_cell("cautions", "basis", lambda was: "memory"),
    "correct evidence": _change_cell("cautions", "evidence", lambda was: "tradition"),
    "a smaller least dose": _change_cell("doses", "min", lambda was: "0.1", lambda row: bool(row["max"])),
    "raise a caution": _change_cell("cautions", "state", _higher(STATES), lambda row: row["state"] in STATES),
    "raise a toxicity": _change_cell("herbs", "toxicity", _higher(GRADES), lambda row: row["toxicity"] in GRADES),
    "lower a dose": _change_cell(
        "doses", "max", lambda was: str(float(was) / 4), lambda row: bool(row["max"]) and row["unit"] == "g"
    ),
    "write a dose otherwise": _change_cell(
        "doses", "max", lambda was: f"{was}.0", lambda row: "." not in row["max"] != ""
    ),
    "limit the days": _change_cell("doses", "max_days", lambda was: "1"),
    "more minutes": _change_cell("handling", "minutes_min", lambda was: "600", lambda row: row["force"] == "required"),
    "require a step": _change_cell(
        "handling", "force", lambda was: "required", lambda row: row["handling"] != "ordinary"
    ),
    "restrict": _change_cell("herbs", "status", lambda was: "restricted", lambda row: row["status"] == "current"),
    "raise an antagonism": _change_cell("antagonisms", "state", _higher(STATES), lambda row: row["state"] in STATES),
    "drop a step nobody requires": _delete_row("handling", lambda row: row["force"] != "required"),
    "delete an action": _delete_row("herb_actions"),
    "delete a name": _delete_row("names"),
    "delete a pair": _delete_row("pairs"),
    "delete an aid": _delete_row("aids"),
    "delete an exception": _delete_row("exceptions"),
    "add a herb": new_herb,
    "add a form": new_form,
    "add a caution": new_caution,
    "add an antagonism": new_antagonism,
    "turn an antagonism round": swap_sides,
    "write a dose in milligrams": in_milligrams,
    "a smaller dose for a purpose": smaller_dose_for_a_purpose,
    "rename and retire": rename_and_retire,
    "broaden a caution": broaden_caution,
    "add a term": new_term,
    "widen a safety rule": _harmless_rule(_in_key("when", lambda text: f"({text}) or flavor:sour")),
    "harden a safety rule": _harmless_rule(_in_key("expect", lambda text: f"({text}) and flavor:sour")),
    "say why otherwise": _harmless_rule(_in_key("because", lambda text: text + " So it is.")),
}


def seeded(materia: Materia, makers: Mapping[str, Callable[[World], Edit | None]], count: int) -> Iterator[Edit]:
    """So many edits, each maker in its turn, the same for the same package."""
    made = seed = 0
    names = list(makers)
    while made < count and seed < count * 3:
        name = names[seed % len(names)]
        edit = makers[name](World(materia, seed))
        if edit is not None:
            made += 1
            yield replace(deepcopy(edit), name=f"{name} (seed {seed})")
        seed += 1
