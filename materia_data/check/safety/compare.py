"""Two safety sets: what was strengthened, weakened, removed, gained."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from materia_data.check.safety.change import Change, joined
from materia_data.check.safety.difference import Difference, Measure, differences, measures
from materia_data.check.safety.gather import Held, Holding, SafetySet, safety_predicates
from materia_data.check.safety.guards import exception_changes, reach_changes, rule_changes
from materia_data.check.safety.terms import term_changes
from materia_data.facts.entries import Kind, kind_number
from materia_data.facts.predicates import predicates

_GAINS = ("gained", "strengthened", "none")


def compare(old: SafetySet, new: SafetySet) -> list[Change]:
    """Every change of the compared set, subjects in the old order, then new ones, rules, exceptions and terms.

    A retired id is looked at as what replaced it, a form that is gone without a word as its herb, a new form as its
    herb was. What a new subject states is gained.
    """
    successors = _successors(old, new)
    return [
        *_Comparison(old, new, successors, measures(old.facts, new.facts)).changes(),
        *rule_changes(old, new, successors),
        *exception_changes(old, new, successors),
        *reach_changes(old, new, successors),
        *term_changes(old, new, successors),
    ]


def _successors(old: SafetySet, new: SafetySet) -> dict[str, str]:
    """For each old subject that is gone what `record/retired` says stands in its place, if that is there."""
    columns = new.facts.package.tables["retired"].columns
    replaced = dict(zip(columns["id"], columns["replaced_by"], strict=True))
    found = {}
    for subject in old.facts.subjects:
        if subject not in new.facts.number:
            id, seen = subject, {subject}
            while id not in new.facts.number and (id := replaced.get(id, "")) and id not in seen:
                seen.add(id)
            if id in new.facts.number:
                found[subject] = id
    return found


@dataclass(frozen=True, slots=True)
class _Comparison:
    old: SafetySet
    new: SafetySet
    successors: Mapping[str, str]
    by: Mapping[str, Measure]

    def changes(self) -> Iterator[Change]:
        old, new = self.old.facts, self.new.facts
        differing = self._differing()
        for subject in old.subjects:
            herb = self._stands(old.herb_of(subject))
            if subject in differing:
                yield from self._pair(subject, subject)
            elif subject in new.number:
                continue
            elif subject in self.successors:
                stands = self.successors[subject]
                yield from self._pair(subject, stands, losses_only=stands in old.number)
            elif herb in new.number:
                yield from self._pair(subject, herb, losses_only=True)
            else:
                yield from self._pair(subject, "")
        came = {stands: subject for subject, stands in self.successors.items()}
        for subject in new.subjects:
            if subject not in old.number and subject not in came:
                herb = new.herb_of(subject)
                baseline = herb if herb in old.number else came.get(herb, "")
                yield from self._new_form(baseline, subject) if baseline else self._gained(subject)

    def _stands(self, subject: str) -> str:
        return self.successors.get(subject, subject)

    def _pair(self, subject: str, stands: str, *, losses_only: bool = False) -> Iterator[Change]:
        then = self._as_today(self.old.of(subject))
        now = self._standing(subject, stands) if stands else {}
        found = differences(then, now, self.by)
        for difference in (*found, *self._default_form(subject, stands, then, now)):
            if not (losses_only and difference.effect in _GAINS):
                yield self._change(subject, stands, difference, subject)

    def _standing(self, subject: str, stands: str) -> Holding:
        """What stands in the subject's place states; a form in place of a herb has the status of its own herb."""
        now = self.new.of(stands)
        if self.old.facts.kind(subject) == "herbs" and self.new.facts.kind(stands) == "forms":
            now["status"] = self.new.of(self.new.facts.herb_of(stands)).get("status", [])
        return now

    def _new_form(self, herb: str, form: str) -> Iterator[Change]:
        """The form against its herb as it was. One that takes only safety facts, and is not dosed as the herb is,
        is not asked for the herb's doses and cooking."""
        then, now = _inheritable(self._as_today(self.old.of(herb))), self.new.of(form)
        table = self.new.facts.package.tables["forms"]
        safety_only = table.columns["inherits"][table.rows_of("id")[form][0]] == "safety"
        routes = [{held.get("route") for held in each.get("dose-max", ())} for each in (then, now)]
        for difference in differences(then, now, self.by):
            predicate = predicates()[difference.predicate]
            if safety_only and difference.effect == "removed" and predicate.under_safety == "no":
                dosed_alike = bool(routes[0] & routes[1])
                if not (predicate.required and dosed_alike):
                    continue
            yield self._change(form, form, difference, herb)

    def _gained(self, subject: str) -> Iterator[Change]:
        now = self.new.of(subject)
        for difference in differences({}, now, self.by):
            yield self._change(subject, subject, difference._replace(effect="gained"), "")
        for held in now.get("default-form", ()):
            gained = Difference("default-form", (), "", held.value, "gained", None, held)
            yield self._change(subject, subject, gained, "")

    def _default_form(self, subject: str, stands: str, then: Holding, now: Holding) -> Iterator[Difference]:
        """Whether what a bare name means is still as strict."""
        was = next(iter(then.get("default-form", ())), None)
        is_ = next(iter(now.get("default-form", ())), None)
        was_id, is_id = was.value if was else "", is_.value if is_ else ""
        if was_id in (is_id, stands) or not stands or self.old.facts.kind(subject) != "herbs":
            if was and not stands:
                yield Difference("default-form", (), was.value, "", "removed", was, None)
            return
        meant = self._meant(subject, was)
        before = _inheritable(self._as_today(self.old.of(meant)))
        after = _inheritable(self.new.of(is_id if is_id in self.new.facts.number else stands))
        effects = {difference.effect for difference in differences(before, after, self.by)}
        if not is_:
            effect = "removed"
        elif effects & {"weakened", "removed"}:
            effect = "weakened"
        else:
            effect = "strengthened" if effects - {"none"} else "none"
        yield Difference("default-form", (), was_id, is_id, effect, was, is_)

    def _meant(self, subject: str, was: Held | None) -> str:
        """The old subject that the bare name meant."""
        named = self.old.facts.entries.kind(was.entry).value if was else ""
        return named if named in self.old.facts.number else subject

    def _as_today(self, holding: Holding) -> Holding:
        """The facts with retired ids among their values as those that replaced them."""
        if not self.successors:
            return holding
        return {
            name: [held._replace(value=self._stands(held.value)) for held in facts] if _of_ids(name) else facts
            for name, facts in holding.items()
        }

    def _differing(self) -> set[str]:
        """Subjects that both packages have and of which they do not state the same."""
        old, new = self.old.facts, self.new.facts
        seen: dict[object, int] = {}
        before = [seen.setdefault(self._likeness(kind, self.old), len(seen)) for kind in old.entries.kinds]
        after = [seen.setdefault(self._likeness(kind, self.new), len(seen)) for kind in new.entries.kinds]
        differing: set[str] = set()
        for name in (*safety_predicates(), "dose-min"):
            then, now = old.effective_entries[name], new.effective_entries[name]
            for number, entries in then.items():
                other = new.number.get(old.subjects[number])
                if other is not None and {before[kind_number(entry)] for entry in entries} != {
                    after[kind_number(entry)] for entry in now.get(other, ())
                }:
                    differing.add(old.subjects[number])
            for number in now:
                other = old.number.get(new.subjects[number])
                if other is not None and other not in then:
                    differing.add(new.subjects[number])
        return differing

    def _likeness(self, kind: Kind, safety: SafetySet) -> tuple[object, ...]:
        value = self._stands(kind.value) if safety is self.old and _of_ids(kind.predicate) else kind.value
        constituent = kind.predicate == "trait" and safety.constituent(kind.value)
        return kind.predicate, value, kind.qualifiers, constituent

    def _change(self, subject: str, stands: str, difference: Difference, owner: str) -> Change:
        predicate, qualifiers, was, now, effect, old, new = difference
        inherited = ""
        if old is not None:
            inherited = self._herb_of(predicate, old.entry, subject) if owner == subject else ""
            if was == old.value:
                was = self.old.facts.entries.kind(old.entry).value
        if new is not None and effect != "removed":
            table, row, column = self.new.facts.entries.place(new.entry)
            file, line = table.place(row, column)
            place = file, table.schema.name, table.key(row), line, column
        elif old is not None:
            place = self._remains(stands, old, bool(inherited))
        else:
            place = "", "", "", 0, ""
        return Change(subject, predicate, joined(qualifiers), was, now, effect, *place, inherited, stands)

    def _herb_of(self, predicate: str, entry: int, subject: str) -> str:
        """The herb whose row the subject's old fact is, empty for its own."""
        facts = self.old.facts
        herb, origin = facts.herb_of(subject), facts.entries.origin(entry)
        own = facts.own_entries[predicate].get(facts.number[subject], ())
        return "" if herb == subject or any(facts.entries.origin(mine) == origin for mine in own) else herb

    def _remains(self, stands: str, old: Held, inherited: bool) -> tuple[str, str, str, int, str]:
        """Where a lost fact's row is or was: the row, the form that no longer takes it from its herb, or the file."""
        table, row, column = self.old.facts.entries.place(old.entry)
        key, now = table.key(row), self.new.facts.package.tables[table.schema.name]
        first = table.schema.key[0]
        rows = [each for each in now.rows_of(first).get(table.columns[first][row], ()) if now.key(each) == key]
        if not rows:
            file, line = now.laid.removed.get(key, (now.file, 0)) if now.laid else (now.file, 0)
            return file, table.schema.name, key, line, ""
        if inherited and stands in self.new.facts.number and self.new.facts.kind(stands) == "forms":
            forms = self.new.facts.package.tables["forms"]
            file, line = forms.place(forms.rows_of("id")[stands][0], "inherits")
            return file, "forms", stands, line, "inherits"
        file, line = now.place(rows[0], column)
        return file, table.schema.name, key, line, column


def _of_ids(predicate: str) -> bool:
    return predicates()[predicate].values.kind == "ids"


def _inheritable(holding: Holding) -> Holding:
    """Without what a form never has of its herb: its status, its default form."""
    return {name: facts for name, facts in holding.items() if predicates()[name].inherit != "none"}
