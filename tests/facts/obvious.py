"""Facts and patterns the slow and obvious way: semantics.md §2 and §3 row by row and fact by fact, to compare with.

Nothing of `materia_data.facts` is used but the parsed tree of a pattern.
"""

from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation

from materia_data.facts.pattern import And, Atom, Not, Or, StatesNot
from materia_data.read.package import Package

REPLACED = {
    "nature": "nature",
    "flavor": "flavors",
    "channel": "channels",
    "direction": "directions",
    "part": "parts",
    "method": "method",
}
STATES = ["none-stated", "caution", "avoid", "contraindicated"]
OFFICIAL = ("standard", "law", "textbook")
TERMS = {
    "nature": "natures",
    "flavor": "flavors",
    "channel": "channels",
    "direction": "directions",
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
QUALIFIER_TERMS = {
    "site": "sites",
    "cause": "causes",
    "topic": "topics",
    "target": "targets",
    "route": "routes",
    "population": "populations",
    "purpose": "purposes",
    "handling": "handlings",
    "jurisdiction": "jurisdictions",
    "taxon": "taxa",
}
NUMBERS = ("dose-min", "dose-max", "max-days", "minutes-min")
DISPUTABLE = {
    ("herbs", "nature"): "nature",
    ("herbs", "flavors"): "flavor",
    ("herbs", "channels"): "channel",
    ("herbs", "directions"): "direction",
    ("herbs", "parts"): "part",
    ("herbs", "method"): "method",
    ("herbs", "toxicity"): "toxicity",
    ("herbs", "category"): "category",
    ("herbs", "also_in"): "category",
    ("herbs", "subgroup"): "subgroup",
    ("herbs", "status"): "status",
    ("herbs", "default_form"): "default-form",
    ("forms", "nature"): "nature",
    ("forms", "flavors"): "flavor",
    ("forms", "channels"): "channel",
    ("forms", "directions"): "direction",
    ("forms", "parts"): "part",
    ("forms", "method"): "method",
    ("forms", "toxicity"): "toxicity",
    ("forms", "kind"): "kind",
    ("formulas", "category"): "category",
    ("cautions", "state"): "caution",
    ("doses", "min"): "dose-min",
    ("doses", "max"): "dose-max",
    ("doses", "max_days"): "max-days",
    ("handling", "minutes_min"): "minutes-min",
    ("controls", "level"): "control",
}


@dataclass
class Said:
    """One fact, with the row it stands in."""

    predicate: str
    value: str
    qualifiers: dict[str, list[str]] = field(default_factory=dict)
    stated: bool = True
    table: str = ""
    row: dict[str, str] = field(default_factory=dict)
    column: str = ""
    disputed: bool = False

    def shape(self) -> tuple[str, str, tuple[tuple[str, str], ...], bool]:
        """What the fact states, to compare."""
        pairs = tuple(sorted((key, value) for key, values in self.qualifiers.items() for value in values))
        return self.predicate, self.value, pairs, self.stated


class Obvious:
    """The package as lists of rows."""

    def __init__(self, package: Package) -> None:
        self.package = package
        self.known: dict[str, list[Said]] = {}
        self.rows = {name: [table.row(i) for i in range(len(table))] for name, table in package.tables.items()}
        for name, rows in self.rows.items():
            for row in rows:
                row["_key"] = "|".join(row[column] for column in package.tables[name].schema.key)

    def subjects(self) -> list[str]:
        """Herbs, forms, formulas."""
        return [row["id"] for table in ("herbs", "forms", "formulas") for row in self.rows[table]]

    # Terms

    def term(self, table: str, id: str) -> dict[str, str]:
        return next((row for row in self.rows[table] if row["id"] == id), {})

    def broader(self, table: str, id: str) -> set[str]:
        """The term and all above it."""
        if table == "herbs+forms":
            herb = self.term("forms", id).get("herb")
            return {id, herb} if herb else {id}
        found, waiting = set(), [id]
        while waiting:
            one = waiting.pop()
            if one not in found:
                found.add(one)
                waiting += [above for above in self.term(table, one).get("broader", "").split(";") if above]
        return found

    def within(self, table: str, narrow: str, broad: str) -> bool:
        return broad in self.broader(table, narrow)

    def rank(self, predicate: str, value: str) -> Decimal | None:
        if predicate in NUMBERS:
            return decimal(value)
        if predicate == "caution":
            return Decimal(STATES.index(value)) if value in STATES[1:] else None
        if predicate in ("nature", "toxicity"):
            return decimal(self.term(TERMS[predicate], value).get("rank", ""))
        return None

    # Citations

    def is_disputed(self, table: str, row: dict[str, str], column: str) -> bool:
        return any(self.states_another(cited, table, row, column) for cited in self.rows["citations"])

    def states_another(self, cited: dict[str, str], table: str, row: dict[str, str], column: str) -> bool:
        about = (cited["about_table"], cited["record"], cited["column"], cited["value"]) == (
            table,
            row["_key"],
            column,
            "",
        )
        official = self.term("sources", cited["source"]).get("kind") in OFFICIAL
        return bool(
            about and official and cited["stated"] and not self.same(table, column, cited["stated"], row[column])
        )

    def same(self, table: str, column: str, one: str, other: str) -> bool:
        kind = self.package.tables[table].schema.by_name[column]
        if kind.is_list:
            return sorted(set(one.split(";")) - {""}) == sorted(set(other.split(";")) - {""})
        if kind.type in ("number", "integer") and decimal(one) is not None and decimal(other) is not None:
            return decimal(one) == decimal(other)
        return one == other

    def is_confirmed(self, said: Said) -> bool:
        columns = [said.column, "force"] if said.predicate in ("handling", "minutes-min") else [said.column]
        speaking = [
            cited
            for cited in self.rows["citations"]
            for column in columns
            if (cited["about_table"], cited["record"], cited["column"], cited["value"])
            == (said.table, said.row["_key"], column, "")
            and (not cited["stated"] or self.same(said.table, column, cited["stated"], said.row[column]))
        ]
        own_reason = said.row.get("reason", "")
        for word in speaking or [said.row]:
            official = self.term("sources", word["source"]).get("kind") in OFFICIAL
            if word["basis"] == "collated" and official and (word.get("reason", "") or own_reason):
                return True
        return False

    # Own facts

    def own(self, subject: str) -> list[Said]:
        found: list[Said] = []

        def add(
            predicate: str,
            value: str,
            table: str,
            row: dict[str, str],
            column: str,
            stated: bool = True,
            **qualifiers: str,
        ) -> None:
            if value and value != "-":
                filled = {key: [one for one in text.split(";") if one] for key, text in qualifiers.items() if text}
                disputed = self.is_disputed(table, row, column)
                found.append(Said(predicate, value, filled, stated, table, row, column, disputed))

        for table in ("herbs", "forms", "formulas"):
            for row in self.rows[table]:
                if row["id"] != subject:
                    continue
                if table != "formulas":
                    for predicate, column in REPLACED.items():
                        for value in items(row[column]):
                            add(predicate, value, table, row, column)
                    for value in items(row["traits"]):
                        if not value.startswith("-"):
                            add("trait", value, table, row, "traits")
                    add("toxicity", row["toxicity"], table, row, "toxicity")
                if table == "herbs":
                    add("status", row["status"], table, row, "status")
                    add("default-form", row["default_form"], table, row, "default_form")
                    add("category", row["category"], table, row, "category")
                    for value in items(row["also_in"]):
                        add("category", value, table, row, "also_in")
                    add("subgroup", row["subgroup"], table, row, "subgroup")
                if table == "forms":
                    add("kind", row["kind"], table, row, "kind")
                if table == "formulas":
                    add("category", row["category"], table, row, "category")
                    for column, predicate in (("actions", "action"), ("indications", "indication")):
                        for value in items(row[column]):
                            add(predicate, value, table, row, column)
                add("basis", row["basis"], table, row, "basis")
        for row in self.rows["herb_actions"]:
            if row["subject"] == subject:
                does = row["polarity"] != "does-not"
                keys = ("site", "cause", "weight", "strength")
                add("action", row["action"], "herb_actions", row, "action", does, **{key: row[key] for key in keys})
                for value in items(row["indications"]) if does else ():
                    add("indication", value, "herb_actions", row, "indications")
        for row in self.rows["cautions"]:
            if row["subject"] == subject:
                add("caution", row["state"], "cautions", row, "state", topic=row["topic"], target=row["target"])
        for row in self.rows["doses"]:
            if row["subject"] == subject:
                keys = {key: row[key] for key in ("route", "per", "population", "purpose")}
                add("dose-min", grams(row["min"], row["unit"]), "doses", row, "min", **keys)
                add("dose-max", grams(row["max"], row["unit"]), "doses", row, "max", **keys)
                add("max-days", plain(row["max_days"]), "doses", row, "max_days", **keys)
        for row in self.rows["handling"]:
            if row["subject"] == subject:
                how = row["handling"]
                add("handling", how, "handling", row, "handling", force=row["force"], purpose=row["purpose"])
                minutes = plain(row["minutes_min"])
                add("minutes-min", minutes, "handling", row, "minutes_min", handling=how, purpose=row["purpose"])
        for row in self.rows["antagonisms"]:
            keys = {key: row[key] for key in ("list", "reading", "state")}
            if row["a"] == subject:
                add("opposes", row["b"], "antagonisms", row, "b", **keys)
            if row["b"] == subject:
                add("opposes", row["a"], "antagonisms", row, "a", **keys)
        for row in self.rows["controls"]:
            if row["subject"] == subject:
                keys = {key: row[key] for key in ("instrument", "jurisdiction", "taxon")}
                add("control", row["level"], "controls", row, "level", **keys)
        for row in self.rows["species"]:
            if row["subject"] == subject:
                add("taxon", row["taxon"], "species", row, "taxon", status=row["status"])
        for row in self.rows["unit_subjects"]:
            if row["subject"] == subject:
                add("taught-in", row["unit"], "unit_subjects", row, "unit")
        for row in self.rows["formula_items"]:
            if row["formula"] == subject:
                add("contains", row["subject"], "formula_items", row, "subject", role=row["roles"])
        for (table, column), predicate in DISPUTABLE.items():
            for row in self.rows[table]:
                about = row["subject"] if "subject" in row else row["id"]
                if about == subject and self.is_disputed(table, row, column):
                    found.append(Said("disputed", predicate))
        return found

    # Inheritance

    def effective(self, subject: str) -> list[Said]:
        """The facts that hold."""
        if subject not in self.known:
            self.known[subject] = self.judged(subject)[0]
        return self.known[subject]

    def unconfirmed(self, subject: str) -> list[Said]:
        """The looser facts that do not."""
        return self.judged(subject)[1]

    def judged(self, subject: str) -> tuple[list[Said], list[Said]]:
        own = self.own(subject)
        form = self.term("forms", subject)
        herb = self.term("herbs", form.get("herb", ""))
        if not herb:
            return own, []
        theirs = self.own(herb["id"])
        safety_only = form["inherits"] == "safety"
        kept: list[Said] = []
        aside: list[Said] = []
        for fact in theirs:
            if self.reaches(fact, own, form, safety_only):
                kept.append(fact)
        for fact in own:
            standing = [
                other for other in theirs if self.same_key(fact, other) and self.reaches_at_all(other, own, safety_only)
            ]
            if all(self.as_strict(fact, other) for other in standing) or self.is_confirmed(fact):
                kept.append(fact)
            else:
                aside.append(fact)
        for fact in theirs:
            rivals = [mine for mine in own if self.same_key(mine, fact)]
            if rivals and all(mine in aside for mine in rivals) and self.reaches_at_all(fact, own, safety_only):
                kept.append(fact)
        kept = without_doubles(kept, own)
        for fact in kept:
            if any(
                DISPUTABLE[place] == fact.predicate and self.is_disputed("forms", form, place[1])
                for place in DISPUTABLE
                if place[0] == "forms"
            ):
                fact.disputed = True
        return kept, aside

    def reaches_at_all(self, fact: Said, own: list[Said], safety_only: bool) -> bool:
        """Whether the predicate passes from herb to form, own rows aside."""
        if fact.predicate in ("handling", "minutes-min") and any(
            mine.predicate == "handling" and mine.value == "ordinary" for mine in own
        ):
            return False
        if safety_only:
            constituent = fact.predicate == "trait" and self.term("traits", fact.value).get("kind") == "constituent"
            return fact.predicate in ("toxicity", "caution", "opposes", "control") or constituent
        by_key = ("toxicity", "caution", "dose-min", "dose-max", "max-days", "handling", "minutes-min")
        return fact.predicate in (*REPLACED, *by_key, "trait", "action", "opposes", "control")

    def reaches(self, fact: Said, own: list[Said], form: dict[str, str], safety_only: bool) -> bool:
        """Whether the herb's fact holds of the form, beside what its own rows say."""
        if not self.reaches_at_all(fact, own, safety_only):
            return False
        if fact.predicate in REPLACED:
            return not items(form[REPLACED[fact.predicate]])
        if fact.predicate == "trait":
            constituent = self.term("traits", fact.value).get("kind") == "constituent"
            cell = items(form["traits"])
            return f"-{fact.value}" not in cell and (constituent or "-" not in cell)
        if fact.predicate == "action":
            return not any(self.replaces(mine, fact) for mine in own if mine.predicate == "action")
        if fact.predicate in ("opposes", "control"):
            return True
        return not any(self.same_key(mine, fact) for mine in own)

    def same_key(self, mine: Said, theirs: Said) -> bool:
        if mine.predicate != theirs.predicate:
            return False
        keys = {
            "toxicity": [],
            "caution": ["topic", "target"],
            "dose-min": ["route", "per", "population", "purpose"],
            "dose-max": ["route", "per", "population", "purpose"],
            "max-days": ["route", "per", "population", "purpose"],
            "handling": ["purpose"],
            "minutes-min": ["handling", "purpose"],
        }.get(mine.predicate)
        if keys is None or (mine.predicate == "handling" and mine.value != theirs.value):
            return False
        return all(mine.qualifiers.get(key) == theirs.qualifiers.get(key) for key in keys)

    def as_strict(self, mine: Said, theirs: Said) -> bool:
        """Whether the form's fact is no weaker than the herb's, so far as it can be told."""
        if mine.predicate == "dose-min":
            return True
        if mine.predicate in ("handling", "minutes-min"):
            if theirs.row["force"] != "required":
                return True
            if mine.row["force"] != "required":
                return False
            if mine.predicate == "handling":
                return True
        if mine.predicate in ("dose-max", "max-days", "minutes-min"):
            one, other = mine.value.split(" ", 1), theirs.value.split(" ", 1)
            if len(one) == 1 and len(other) == 2:
                return True
            if one[1:] != other[1:]:
                return False
            larger = Decimal(one[0]) >= Decimal(other[0])
            return larger if mine.predicate == "minutes-min" else Decimal(one[0]) <= Decimal(other[0])
        ours, limit = self.rank(mine.predicate, mine.value), self.rank(theirs.predicate, theirs.value)
        lowest = Decimal(-1000)
        return (lowest if ours is None else ours) >= (lowest if limit is None else limit)

    def replaces(self, mine: Said, theirs: Said) -> bool:
        """Whether an own action row takes the herb's away."""
        if mine.stated and theirs.stated:
            return mine.value == theirs.value and all(
                self.filled(mine, key) == self.filled(theirs, key) for key in ("site", "cause")
            )
        if not mine.stated and not theirs.stated:
            return mine.value == theirs.value and all(
                mine.qualifiers.get(key) == theirs.qualifiers.get(key) for key in ("site", "cause")
            )
        negative, positive = (theirs, mine) if mine.stated else (mine, theirs)
        return self.bars(negative, positive)

    def filled(self, said: Said, key: str) -> list[str]:
        return said.qualifiers.get(key) or [self.term("actions", said.value).get(f"implied_{key}", "")]

    def bars(self, negative: Said, positive: Said) -> bool:
        if not self.within("actions", positive.value, negative.value):
            return False
        for key, wanted in negative.qualifiers.items():
            have = self.values_of(positive, key, negative.value)
            if not any(self.qualifier_within(key, one, other) for one in have for other in wanted):
                return False
        return True

    def values_of(self, said: Said, key: str, asked: str) -> list[str]:
        """Stated, implied by the fact's own value, implied by the asked one."""
        found = list(said.qualifiers.get(key, ()))
        if said.predicate == "action" and key in ("site", "cause"):
            found += [self.term("actions", value).get(f"implied_{key}", "") for value in (said.value, asked)]
        return [value for value in found if value]

    def qualifier_within(self, key: str, narrow: str, broad: str) -> bool:
        return self.within(QUALIFIER_TERMS[key], narrow, broad) if key in QUALIFIER_TERMS else narrow == broad

    # Patterns

    def truth(self, pattern: object, subject: str) -> bool | None:
        """True, False (stated-false) or None (unstated)."""
        if isinstance(pattern, And | Or):
            parts = [self.truth(part, subject) for part in pattern.parts]
            decisive = isinstance(pattern, Or)
            return decisive if decisive in parts else None if None in parts else not decisive
        if isinstance(pattern, Not):
            return self.truth(pattern.part, subject) is not True
        if isinstance(pattern, StatesNot):
            inner = self.truth(pattern.part, subject)
            return None if inner is None else not inner
        assert isinstance(pattern, Atom)
        facts = [fact for fact in self.effective(subject) if fact.predicate == pattern.predicate]
        closed = self.is_closed(pattern.predicate, subject, facts)
        if pattern.predicate in NUMBERS and pattern.test != "any":
            return self.number_truth(pattern, facts)
        if pattern.test == "=":
            return self.set_truth(pattern, facts, closed)
        if any(self.supports(fact, pattern) for fact in facts):
            return True
        if any(self.denies(fact, pattern) for fact in facts) or any(self.lies_outside(fact, pattern) for fact in facts):
            return False
        return False if closed and not any(self.might_be(fact, pattern) for fact in facts) else None

    def number_truth(self, atom: Atom, facts: list[Said]) -> bool | None:
        meeting = [fact for fact in facts if self.meets(fact, atom)]
        compared = [(fact, decimal(fact.value)) for fact in meeting]
        if any(value is not None and not fact.disputed and not in_range(value, atom) for fact, value in compared):
            return False
        if not meeting or any(value is None or not in_range(value, atom) for _, value in compared):
            return None
        if atom.test == "=" and (
            any(fact.disputed for fact in meeting) or {fact.value for fact in meeting} != set(atom.values)
        ):
            return None
        return True

    def set_truth(self, atom: Atom, facts: list[Said], closed: bool) -> bool | None:
        single = atom.predicate in (
            "nature",
            "method",
            "toxicity",
            "caution",
            "status",
            "default-form",
            "subgroup",
            "kind",
            "basis",
        )
        meeting = [fact for fact in facts if self.meets(fact, atom)]
        whole = {fact.value for fact in meeting}
        equal = None if any(fact.disputed for fact in meeting) else whole == set(atom.values)
        if equal and whole and (closed or single):
            return True
        if closed and not any(self.might_meet(fact, atom) and fact not in meeting for fact in facts):
            return False
        return False if any(self.lies_outside(fact, atom) for fact in facts) else None

    def supports(self, fact: Said, atom: Atom) -> bool:
        return fact.stated and self.meets(fact, atom) and self.value_fits(fact.value, atom)

    def value_fits(self, value: str, atom: Atom) -> bool:
        named_only = (atom.predicate, value) in (("toxicity", "unmarked"), ("caution", "none-stated"))
        if atom.test == "any":
            return not named_only
        if atom.test == "..":
            rank = self.rank(atom.predicate, value)
            if rank is None or named_only:
                return False
            low = self.rank(atom.predicate, atom.low) if atom.low else rank
            high = self.rank(atom.predicate, atom.high) if atom.high else rank
            assert low is not None and high is not None
            return low <= rank <= high
        if atom.test == "=":
            return value in atom.values
        asked = atom.values[0]
        if value == asked:
            return True
        if named_only or (atom.predicate, asked) in (("toxicity", "unmarked"), ("caution", "none-stated")):
            return False
        table = self.table_of(atom.predicate)
        if table is None:
            return False
        return self.within(table, value, asked) or (atom.predicate == "opposes" and self.within(table, asked, value))

    def table_of(self, predicate: str) -> str | None:
        return "herbs+forms" if predicate in ("opposes", "contains") else TERMS.get(predicate)

    def meets(self, fact: Said, atom: Atom) -> bool:
        """Whether all the qualifiers hold of this one fact."""
        asked_about = atom.values[0] if atom.test == ":" else ""
        for key, operator, wanted in atom.qualifiers:
            have = self.values_of(fact, key, asked_about)
            if operator == "=":
                holds = wanted in have
            elif key == "target" and not have:
                holds = self.topic_covers(fact, wanted)
            else:
                holds = any(self.qualifier_within(key, one, wanted) for one in have)
                holds = holds or (key == "target" and any(self.qualifier_within(key, wanted, one) for one in have))
            if not holds:
                return False
        return True

    def topic_covers(self, fact: Said, target: str) -> bool:
        topic = self.term("targets", target).get("topic", "")
        return not topic or any(self.within("topics", topic, one) for one in fact.qualifiers.get("topic", ()))

    def denies(self, fact: Said, atom: Atom) -> bool:
        """A negative bars every narrower value and every more specific qualifier."""
        if fact.stated or atom.test != ":" or not self.within("actions", atom.values[0], fact.value):
            return False
        for key, barred in fact.qualifiers.items():
            asked = [value for name, _, value in atom.qualifiers if name == key]
            if key in ("site", "cause"):
                asked.append(self.term("actions", atom.values[0]).get(f"implied_{key}", ""))
            if not any(self.qualifier_within(key, one, other) for one in asked if one for other in barred):
                return False
        return True

    def lies_outside(self, fact: Said, atom: Atom) -> bool:
        """A ranked value for the same qualifiers that the atom does not take in."""
        if (
            fact.disputed
            or atom.test == "any"
            or self.rank(atom.predicate, fact.value) is None
            or self.value_fits(fact.value, atom)
        ):
            return False
        asked = {key for key, _, _ in atom.qualifiers}
        if "target" in asked:
            asked.add("topic")
        if not set(fact.qualifiers) <= asked or not self.meets(fact, atom):
            return False
        for key, _, wanted in atom.qualifiers:
            have = fact.qualifiers.get(key)
            if have and not any(self.qualifier_within(key, wanted, one) for one in have):
                return False
        return True

    def might_be(self, fact: Said, atom: Atom) -> bool:
        """A listed value that may, for all that is stated, be the asked one."""
        if not fact.stated or not self.might_meet(fact, atom):
            return False
        if atom.test == "any":
            return True
        if atom.test == "..":
            return False
        table = self.table_of(atom.predicate)
        asked = atom.values[0]
        near = table is not None and (self.within(table, fact.value, asked) or self.within(table, asked, fact.value))
        return fact.value == asked or near

    def might_meet(self, fact: Said, atom: Atom) -> bool:
        for key, _, wanted in atom.qualifiers:
            have = fact.qualifiers.get(key)
            if have and not any(
                self.qualifier_within(key, a, b) for one in have for a, b in ((one, wanted), (wanted, one))
            ):
                return False
        return True

    def is_closed(self, predicate: str, subject: str, facts: list[Said]) -> bool:
        form, herb, formula = (self.term(table, subject) for table in ("forms", "herbs", "formulas"))
        if predicate in REPLACED:
            column = REPLACED[predicate]
            if herb:
                return bool(items(herb[column])) and not self.is_disputed("herbs", herb, column)
            if not form or self.is_disputed("forms", form, column):
                return False
            if items(form[column]):
                return True
            above = self.term("herbs", form["herb"])
            reached = above and form["inherits"] != "safety"
            return bool(reached and items(above[column]) and not self.is_disputed("herbs", above, column))
        if predicate == "toxicity":
            return any(not fact.disputed and self.rank("toxicity", fact.value) is not None for fact in facts)
        if predicate in ("status", "default-form"):
            return bool(herb) and not self.is_disputed("herbs", herb, predicate.replace("-", "_"))
        if predicate == "category":
            return bool(facts) and not any(
                row and self.is_disputed(table, row, column)
                for table, row, column in (
                    ("herbs", herb, "category"), ("herbs", herb, "also_in"), ("formulas", formula, "category"),
                )
            )  # fmt: skip
        if predicate in ("subgroup", "kind"):
            return bool(facts) and not facts[0].disputed
        if predicate == "basis":
            return bool(facts)
        if predicate in ("taught-in", "indication", "taxon"):
            return bool(facts) and not any(fact.disputed for fact in facts)
        if predicate == "contains":
            return bool(facts) and formula.get("items_complete") == "yes"
        return False


def items(cell: str) -> list[str]:
    """The members of a list, each once."""
    return list(dict.fromkeys(one for one in cell.split(";") if one))


def decimal(text: str) -> Decimal | None:
    """The number, or None."""
    try:
        return Decimal(text) if text and " " not in text else None
    except InvalidOperation:
        return None


def plain(text: str) -> str:
    """One spelling a number; nothing if it is none."""
    value = decimal(text)
    if value is None:
        return ""
    whole = value.to_integral_value()
    return str(int(whole)) if value == whole else str(value.normalize())


def grams(text: str, unit: str) -> str:
    """Grams, or the amount with a unit that does not compare."""
    value = decimal(text)
    if value is None:
        return ""
    if unit == "mg":
        value = value / 1000
    number = plain(str(value)) if abs(value) >= Decimal("0.00001") or value == 0 else format(value, "f")
    return number if unit in ("g", "mg") else f"{number} {unit or '(no unit)'}"


def in_range(value: Decimal, atom: Atom) -> bool:
    """Whether a number lies in what the atom asks: a single value is a range of one."""
    if atom.test == "..":
        return (not atom.low or value >= Decimal(atom.low)) and (not atom.high or value <= Decimal(atom.high))
    return value in [Decimal(one) for one in atom.values]


def without_doubles(kept: list[Said], own: list[Said]) -> list[Said]:
    """Of an inherited fact that an own one states again, only the own; nothing listed twice."""
    found: list[Said] = []
    shapes = [fact.shape() for fact in own]
    for fact in kept:
        inherited = not any(fact is mine for mine in own)
        doubled = fact.predicate in ("trait", "opposes", "control") and fact.shape() in shapes
        if any(fact is other for other in found) or (inherited and doubled):
            continue
        found.append(fact)
    return found
