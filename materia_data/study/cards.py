"""Two-sided study cards: a question with every heavy caution on the front, facts with their reasons on the back."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from materia_data.check.signoffs import in_words
from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.notice import LICENCE, TEACHING
from materia_data.study.selection import Selection, select
from materia_data.study.watch import family, watched
from materia_data.study.writer import clause, reason, sentence
from materia_data.teach.explain import Property, explain
from materia_data.teach.formula.dangers import ITSELF, antagonisms, cautions
from materia_data.teach.formula.recipe import recipe_of
from materia_data.teach.layered import layer_lines
from materia_data.teach.words import actions_of, cell_row, row_of, say, subject_name

_HEAVY = ("contraindicated", "avoid")
_KINDS = {"nature": "Nature", "flavor": "Flavors", "channel": "Channels"}
_FORMULAS = 2
_NONE = "no reason recorded"


@dataclass(frozen=True, slots=True)
class Warn:
    """One heavy caution. state: contraindicated or avoid; text: in words, with the forms it is of."""

    state: str
    text: str


@dataclass(frozen=True, slots=True)
class Told:
    """One fact of a back and its reason; where none is on record the reason says so."""

    fact: str
    reason: str


@dataclass(frozen=True, slots=True)
class Card:
    """One card. id: subject, kind and what it is about; subjects: of whom the cautions are; kind: nature, flavor,
    channel, action, cooking, form, apart or formula; asks: the question under the name; warns: every caution that
    contraindicates or says avoid, heaviest first; milder: how many cautions there are beside; unit: that teaches it
    first, or empty."""

    id: str
    subjects: tuple[str, ...]
    kind: str
    name_hans: str
    pinyin: str
    name_en: str
    asks: str
    warns: tuple[Warn, ...]
    milder: int
    back: tuple[Told, ...]
    unit: str


@dataclass(frozen=True, slots=True)
class Cards:
    """The cards of what was asked, medicinal by medicinal in the order of the course."""

    asked: str
    title: str
    course: str
    depth: str
    members: tuple[str, ...]
    left_out: tuple[str, ...]
    cards: tuple[Card, ...]
    release: str
    signed: str
    licence: str
    teaching: str


def cards(materia: Materia, asked: str, *, depth: str = "", course: str = "") -> Cards:
    """The study cards of a category, group, unit or pattern. depth, course: as for a sheet. Raises SelectionError."""
    chosen = select(materia, asked, depth=depth, course=course)
    made = tuple(_all(_Maker(materia, chosen), chosen))
    title = chosen.row.get("title") or chosen.row.get("name_en") or asked
    return Cards(
        asked, title, chosen.course, chosen.depth, chosen.chosen, chosen.left_out, made,
        materia.release_id, in_words(materia, chosen.chosen), LICENCE, TEACHING,
    )  # fmt: skip


def _all(make: "_Maker", chosen: Selection) -> Iterable[Card]:
    for subject in chosen.chosen:
        yield from make.of_formula(subject) if chosen.of == "formulas" else make.of_medicinal(subject)
    yield from make.apart(chosen.chosen)


class _Maker:
    """Makes cards; what has nothing on its back is no card."""

    def __init__(self, materia: Materia, chosen: Selection) -> None:
        self.materia, self.facts = materia, materia.facts
        medicinals = [one for one in chosen.chosen if self.facts.kind(one) != "formulas"]
        self.why = {one.id: one.properties for one in explain(materia, medicinals).subjects}
        self.used = _used(self.facts)
        self.units = first_taught(self.facts, chosen.course)

    def of_medicinal(self, subject: str) -> Iterable[Card]:
        facts, warned = self.facts, self._warned((subject,), named=False)
        for predicate, title in _KINDS.items():
            mine = [item for item in self.why[subject] if item.predicate == predicate]
            yield from self._card(subject, predicate, "", f"{title}, and why?", map(_because, mine), warned)
        yield from self._card(subject, "action", "", "What does it do, and what not?", self._does(subject), warned)
        yield from self._card(subject, "cooking", "", "How is it cooked and taken?", self._taken(subject), warned)
        for form in family(facts, subject)[1:]:
            row = row_of(facts, "forms", form)
            told = [Told(clause(row["changes"]), reason(row["reason"]) or _NONE)] if row["changes"] else []
            asks = f"What is changed in {row['name_hans']} {row['pinyin']}, {row['name_en']}?"
            yield from self._card(subject, "form", form, asks, told, warned)
        for row in self.used.get(subject, ())[:_FORMULAS]:
            named = row_of(facts, "formulas", row["formula"])
            told = [Told(row["roles"].replace(";", ", ") or "role not stated", reason(row["reason"]) or _NONE)]
            asks = f"What is it for in {named['name_hans']} {named['pinyin']}, {named['name_en']}?"
            yield from self._card(subject, "formula", row["formula"], asks, told, warned)

    def of_formula(self, formula: str) -> Iterable[Card]:
        items = recipe_of(self.facts, formula).items
        told = [Told(f"{self._hans(i.subject)} {', '.join(i.roles)}".strip(), reason(i.reason) or _NONE) for i in items]
        warned = self._warned_of(formula)
        yield from self._card(formula, "formula", "", "What does it hold, and what for?", told, warned)
        yield from self._card(formula, "action", "", "What does it do?", self._does(formula), warned)

    def apart(self, subjects: Sequence[str]) -> Iterable[Card]:
        """A card for each contrast on record between two or more of them, with the cautions of all."""
        everyone = {one for subject in subjects for one in family(self.facts, subject)}
        contrasts, points = (self.facts.package.tables[name] for name in ("contrasts", "contrast_points"))
        for number in range(len(contrasts)):
            row = contrasts.row(number)
            mine = [points.row(at) for at in points.rows_of("contrast").get(row["id"], ())]
            whom = tuple(dict.fromkeys(point["subject"] for point in mine if point["subject"] in self.facts.number))
            if len(everyone.intersection(whom)) < 2:
                continue
            warns, milder = self._warned(whom, named=True)
            told = tuple(
                Told(self._hans(one), "; ".join(clause(point["point"]) for point in mine if point["subject"] == one))
                for one in whom
            )
            asks = f"{sentence(row['shared'])} What tells them apart?".strip()
            names = " · ".join(map(self._hans, whom))
            yield Card(f"apart:{row['id']}", whom, "apart", names, "", "", asks, warns, milder, told, "")

    def _card(
        self, subject: str, kind: str, about: str, asks: str, told: Iterable[Told], warned: tuple[tuple[Warn, ...], int]
    ) -> Iterable[Card]:
        back = tuple(told)
        if not back:
            return
        row = row_of(self.facts, self.facts.kind(subject), subject)
        id = ":".join(filter(None, (subject, kind, about)))
        loosened = [f"LOOSENED: {line.text}" for line in layer_lines(self.materia, [subject]) if line.loosens]
        asks = " ".join((asks, *loosened))
        yield Card(
            id, (subject,), kind, row["name_hans"], row["pinyin"], row["name_en"], asks, *warned, back,
            self.units.get(subject, ""),
        )  # fmt: skip

    def _warned(self, subjects: tuple[str, ...], *, named: bool) -> tuple[tuple[Warn, ...], int]:
        """Every heavy caution in full, and how many milder ones. named: say of whom even where it is the subject."""
        found = watched(self.facts, subjects, in_full=False)
        heavy, milder = [], 0
        for one in found:
            if one.state not in _HEAVY:
                milder += one.state == "caution"
                continue
            of = [] if not named and set(subjects) & set(one.subjects) else map(self._hans, one.subjects)
            joined = ", ".join(of)
            whom = f"{joined}: " if joined else ""
            heavy.append(Warn(one.state, f"{whom}{one.label}" + (f" ({clause(one.detail)})" if one.detail else "")))
        return tuple(heavy), milder

    def _warned_of(self, formula: str) -> tuple[tuple[Warn, ...], int]:
        """What a formula and its items bring, each at the strictest, and antagonisms inside it."""
        recipe = recipe_of(self.facts, formula)
        heavy = [Warn(one.state, f"together: {one.names}") for one in antagonisms(self.facts, recipe)]
        milder = 0
        for one in cautions(self.facts, recipe):
            if one.state not in _HEAVY:
                milder += one.state == "caution"
                continue
            of = [name.partition(" ")[0] for name in one.brought_by if name != ITSELF]
            words = self.facts.vocabularies["targets" if one.target else "topics"].label(one.target or one.topic)
            heavy.append(Warn(one.state, words + (f" ({', '.join(of)})" if of else "")))
        return tuple(sorted(heavy, key=lambda warn: _HEAVY.index(warn.state))), milder

    def _does(self, subject: str) -> Iterable[Told]:
        indications = self.facts.vocabularies["indications"]
        for fact in [*actions_of(self.facts, subject)]:
            row = cell_row(self.facts, fact)
            used = ", ".join(indications.label(one) for one in row.get("indications", "").split(";") if one)
            why = "; ".join(filter(None, (clause(row.get("note", "")), f"for {used}" if used else "")))
            label = say(self.facts, "action", fact.value, fact.qualifiers)
            if fact.stated and row.get("weight") != "minor":
                yield Told(label, why)
            elif not fact.stated:
                yield Told(f"does not {label}", why)

    def _taken(self, subject: str) -> Iterable[Told]:
        """The dose that adults take, by route, and every instruction; those of its forms by name."""
        rows = self.facts.package.tables["doses"]
        for one in family(self.facts, subject):
            of = "" if one == subject else f"{self._hans(one)}: "
            for number in rows.rows_of("subject").get(one, ()):
                row = rows.row(number)
                if row["population"] == "adult" and row["max"]:
                    span = f"{row['min']}–{row['max']}" if row["min"] else f"up to {row['max']}"
                    days = f", {row['max_days']} days at most" if row["max_days"] else ""
                    how = ", ".join(filter(None, (row["route"], row["purpose"].replace("-", " "))))
                    yield Told(f"{of}{span} {row['unit']} a {row['per']}, {how}{days}", clause(row["note"]))
            for fact in self.facts.of(one, "handling"):
                if fact.stated and (one == subject or not fact.inherited_from):
                    row = cell_row(self.facts, fact)
                    minutes = "–".join(filter(None, (row["minutes_min"], row["minutes_max"])))
                    label = self.facts.vocabularies["handlings"].label(fact.value)
                    text = f"{of}{label}{f', {minutes} min' if minutes else ''}, {row['force']}"
                    yield Told(text, reason(row["reason"] or row["detail"]) or _NONE)

    def _hans(self, subject: str) -> str:
        return subject_name(self.facts, subject).partition(" ")[0]


def _because(item: Property) -> Told:
    """A nature, flavor or channel with the strongest reason on record."""
    if item.verdict == "excepted":
        return Told(item.label, f"an exception: {clause(item.exception)}")
    if item.verdict == "together":
        return Told(item.label, "given together with what it explains")
    return Told(item.label, reason(item.reasons[0].because) if item.reasons else _NONE)


def first_taught(facts: Facts, course: str) -> dict[str, str]:
    """The first unit of a course that teaches each subject."""
    units, rows = facts.package.tables["units"], facts.package.tables["unit_subjects"]
    order = [units.row(number) for number in units.rows_of("course").get(course, ())]
    order.sort(key=lambda row: int(row["position"]) if row["position"].isdigit() else 0)
    found: dict[str, str] = {}
    for unit in order:
        for number in rows.rows_of("unit").get(unit["id"], ()):
            found.setdefault(rows.columns["subject"][number], unit["id"])
    return found


def _used(facts: Facts) -> dict[str, list[dict[str, str]]]:
    """The items by medicinal, a form counting as its herb: chief ones first, then by formula."""
    rows = facts.package.tables["formula_items"]
    found: dict[str, list[dict[str, str]]] = {}
    for number in range(len(rows)):
        row = rows.row(number)
        if row["subject"] in facts.number and row["formula"] in facts.number:
            found.setdefault(facts.herb_of(row["subject"]), []).append(row)
    for items in found.values():
        items.sort(key=lambda row: ("chief" not in row["roles"], row["formula"]))
    return found
