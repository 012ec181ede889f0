"""What a method of preparation does in general: what changes between a medicinal and its forms so prepared."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.suggest import did_you_mean
from materia_data.teach.standouts import wilson
from materia_data.teach.words import cell_row, row_of, say, subject_name

_WORDS = ("flavor", "channel", "direction")
_RANKED = {"nature": ("warmer", "cooler"), "toxicity": ("more toxic", "less toxic")}
_HOW = {"gains": "gained", "stronger": "stronger", "weaker": "weaker", "loses": "lost"}
_ORDER = ("nature", "toxicity", "action", *_WORDS)
Change = tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class Prepared:
    """A form and its herb; changes, reason: what the record says of it in words."""

    id: str
    name_hans: str
    pinyin: str
    herb: str
    changes: str
    reason: str


@dataclass(frozen=True, slots=True)
class Changed:
    """One change. how: warmer, cooler, more toxic, less toxic, gained, stronger, weaker or lost; holds of `of` forms of
    the method that state the matter at all, against rest_holds of rest_of forms of other methods; low, high: the Wilson
    interval of the share at 95 %; forms: ids of those that change so."""

    predicate: str
    how: str
    label: str
    holds: int
    of: int
    rest_holds: int
    rest_of: int
    low: float
    high: float
    forms: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Processing:
    """The whole answer. unchanged: forms of which no change is on record: it is not stated that nothing changes."""

    method: str
    title: str
    forms: tuple[Prepared, ...]
    changed: tuple[Changed, ...]
    unchanged: tuple[str, ...]


def processing(materia: Materia, method: str) -> Processing:
    """Compare every form prepared by a method, or by a narrower one, with its herb. KeyError names the nearest methods.

    A change is counted at its own action and at each broader one where that joins several. Changes on record for one
    form only are left to that form.
    """
    facts = materia.facts
    terms = facts.vocabularies["methods"]
    if method not in terms.ids:
        raise KeyError(f"There is no method {method}. {did_you_mean(method, terms.ids)}".strip())
    mine = terms.down(method)
    by_form = {form: _method(facts, form) for form in facts.package.tables["forms"].columns["id"]}
    forms = [form for form, how in by_form.items() if how in mine]
    others = [form for form, how in by_form.items() if how and how not in mine]
    here, there = ({form: set(_changes(facts, form)) for form in some} for some in (forms, others))
    return Processing(
        method,
        terms.label(method),
        tuple(_prepared(facts, form) for form in forms),
        tuple(_changed(facts, here, there)),
        tuple(form for form in forms if not here[form]),
    )


def method_meant(materia: Materia, text: str) -> str:
    """The method that a text names by id or name, or by the pattern `method:…`; empty if it names none."""
    named = text.strip().casefold().removeprefix("method:")
    table = materia.package.tables["methods"]
    for row in map(table.row, range(len(table))):
        if named in {row["id"], row["name_hans"], row["name_hant"], row["name_en"].casefold()}:
            return row["id"]
    return ""


def _method(facts: Facts, form: str) -> str:
    return next((fact.value for fact in facts.own(form, "method")), "")


def _changes(facts: Facts, form: str) -> Iterable[Change]:
    """What differs from the herb: predicate, how, and the value where there is one."""
    herb = facts.herb_of(form)
    for predicate, (up, down) in _RANKED.items():
        now, before = (_rank(facts, subject, predicate) for subject in (form, herb))
        if now is not None and before is not None and now != before:
            yield predicate, up if now > before else down, ""
    whole = row_of(facts, "forms", form)["inherits"] == "all"
    for predicate in _WORDS:
        has, had = (_stated(facts, subject, predicate) for subject in (form, herb))
        yield from ((predicate, "gained", value) for value in has - had)
        yield from ((predicate, "lost", value) for value in had - has if whole)
    terms = facts.vocabularies["actions"]
    done: set[str] = set().union(*(terms.up(value) for value in _stated(facts, herb, "action")))
    for fact in facts.own(form, "action"):
        change = cell_row(facts, fact)["change"]
        how = _HOW.get(change, "")
        if not change and fact.stated and fact.value not in done:
            how = "gained"
        if not change and not fact.stated and fact.value in done:
            how = "lost"
        if how:
            yield from (("action", how, value) for value in _reached(how, fact.value, terms.up(fact.value), done))


def _reached(how: str, value: str, broader: frozenset[str], done: set[str]) -> Iterable[str]:
    """The action itself and the broader ones of which the same can be said: what was there before is not gained, and
    losing a part is not losing the whole."""
    return {value} if how == "lost" else {value} | broader - done if how == "gained" else broader


def _stated(facts: Facts, subject: str, predicate: str) -> set[str]:
    return {fact.value for fact in facts.of(subject, predicate) if fact.stated and fact.value != "-"}


def _rank(facts: Facts, subject: str, predicate: str) -> float | None:
    terms = facts.vocabularies[facts.predicates[predicate].values.name]
    return next((terms.rank(fact.value) for fact in facts.of(subject, predicate)), None)


def _changed(facts: Facts, here: Mapping[str, set[Change]], there: Mapping[str, set[Change]]) -> Iterable[Changed]:
    found = {change: _having(here, change) for change in sorted(set().union(*here.values()))}
    kept = [change for change, forms in found.items() if len(forms) > 1 and not _said_closer(facts, change, found)]
    kept.sort(key=lambda change: (_ORDER.index(change[0]), -len(found[change]), change))
    states = {"nature": _both_ranked(facts, "nature"), "toxicity": _both_ranked(facts, "toxicity")}
    for change in kept:
        predicate, how, value = change
        may = states.get(predicate, lambda form: True)
        of, rest = sum(map(may, here)), sum(map(may, there))
        holds = len(found[change])
        low, high = wilson(holds, of)
        yield Changed(
            predicate, how, say(facts, predicate, value) if value else predicate, holds, of,
            len(_having(there, change)), rest, round(low, 3), round(high, 3), tuple(found[change]),
        )  # fmt: skip


def _having(changes: Mapping[str, set[Change]], change: Change) -> list[str]:
    return [form for form, mine in changes.items() if change in mine]


def _said_closer(facts: Facts, change: Change, found: Mapping[Change, Sequence[str]]) -> bool:
    """Whether a narrower action says the same of the same forms."""
    predicate, how, value = change
    if predicate != "action":
        return False
    narrower = facts.vocabularies["actions"].down(value) - {value}
    return any(found.get((predicate, how, one)) == found[change] for one in narrower)


def _both_ranked(facts: Facts, predicate: str) -> Callable[[str], bool]:
    def ranked(form: str) -> bool:
        return all(_rank(facts, subject, predicate) is not None for subject in (form, facts.herb_of(form)))

    return ranked


def _prepared(facts: Facts, form: str) -> Prepared:
    row = row_of(facts, "forms", form)
    herb = subject_name(facts, row["herb"])
    return Prepared(form, row["name_hans"], row["pinyin"], herb, row["changes"], row["reason"])
