"""From the tables of a package to the facts of its subjects."""

import gc
from collections.abc import Mapping
from typing import TYPE_CHECKING

from materia_data.facts.cited import Cited
from materia_data.facts.entries import Entries
from materia_data.facts.facts import Facts
from materia_data.facts.inherit import Form, Heir, inherit
from materia_data.facts.own import Own, own_facts
from materia_data.facts.predicates import Predicate, predicates
from materia_data.facts.vocabulary import Vocabulary, vocabularies

if TYPE_CHECKING:
    from materia_data.read.package import Package


def build_facts(package: "Package") -> Facts:
    """Every effective fact of the package. Whatever its cells hold, this returns: errors are the checks' business."""
    was = gc.isenabled()
    gc.disable()
    try:
        return _build(package)
    finally:
        if was:
            gc.enable()


def _build(package: "Package") -> Facts:
    declared, terms = predicates(), vocabularies(package)
    subjects = tuple(
        dict.fromkeys(
            id for table in ("herbs", "forms", "formulas") for id in package.tables[table].columns["id"] if id
        )
    )
    numbers = {subject: number for number, subject in enumerate(subjects)}
    entries, cited = Entries(), Cited(package)
    forms = _forms(package, numbers)
    heir = Heir(forms, entries, cited, terms)
    own = {name: own_facts(predicate, package, numbers, entries, cited) for name, predicate in declared.items()}
    effective: dict[str, dict[int, list[int]]] = {}
    closed: dict[str, set[int]] = {}
    looser: list[tuple[int, int]] = []
    for name, predicate in declared.items():
        effective[name], settled, aside = inherit(predicate, own[name], _cleared(predicate, own, entries), heir)
        closed[name] = _closed(predicate, effective[name], settled, own[name], package, numbers, entries, terms)
        looser += aside
    return Facts(
        package=package,
        predicates=declared,
        vocabularies=terms,
        subjects=subjects,
        number=numbers,
        entries=entries,
        cited=cited,
        herbs={form.number: form.herb for form in forms},
        own_entries={name: found.entries for name, found in own.items()},
        effective_entries=effective,
        closed=closed,
        looser_entries=looser,
    )


def _forms(package: "Package", numbers: Mapping[str, int]) -> tuple[Form, ...]:
    columns = package.tables["forms"].columns
    found: dict[int, Form] = {}
    for id, herb, inherits in zip(columns["id"], columns["herb"], columns["inherits"], strict=True):
        if id and herb and package.subject_table(id) == "forms" and package.subject_table(herb) == "herbs":
            found.setdefault(numbers[id], Form(numbers[id], numbers[herb], inherits == "safety"))
    return tuple(found.values())


def _cleared(predicate: Predicate, own: Mapping[str, Own], entries: Entries) -> set[int]:
    """Subjects with the own fact that drops everything inherited."""
    return {
        number
        for name, value in predicate.cleared_by.items()
        for number, stated in own[name].entries.items()
        if any(entries.kind(entry).value == value for entry in stated)
    }


def _closed(
    predicate: Predicate,
    effective: Mapping[int, list[int]],
    settled: set[int],
    own: Own,
    package: "Package",
    numbers: Mapping[str, int],
    entries: Entries,
    terms: Mapping[str, Vocabulary],
) -> set[int]:
    """Subjects of which what is not listed is stated not to be so."""
    if predicate.closed == "filled":
        return settled
    if predicate.closed == "graded":
        rank = terms[predicate.values.name].rank
        kinds = {number: [entries.kind(entry) for entry in stated] for number, stated in effective.items()}
        return {
            number
            for number, stated in kinds.items()
            if any(kind.firm and rank(kind.value) is not None for kind in stated)
        }
    if predicate.closed == "always":
        return {
            numbers[id] for table, _ in predicate.sources for id in package.tables[table].columns["id"] if id
        } - own.disputed
    if predicate.closed == "complete":
        columns = package.tables["formulas"].columns
        said = {
            numbers[id]
            for column, cell in predicate.complete.items()
            for id, text in zip(columns["id"], columns[column], strict=True)
            if id and text == cell
        }
        return said & effective.keys()
    return set()
