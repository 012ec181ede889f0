"""What a form takes from its herb, predicate by predicate. Where nothing changes a form shares its herb's list.

A looser value of a form (a lower state or grade, a higher ceiling, more days, fewer minutes, no longer required, an
amount in a unit that does not compare) is set aside unless it was collated from a standard, law or textbook with a
reason. `looser` in the declaration names the predicates: the paper says it of "the same key", which doses and required
handling have as well as cautions, so it is read of them too.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from materia_data.facts.amount import number
from materia_data.facts.cited import Cited
from materia_data.facts.entries import Entries, Kind, kind_number
from materia_data.facts.implied import bars
from materia_data.facts.own import Own
from materia_data.facts.predicates import Predicate
from materia_data.facts.vocabulary import Vocabulary

Values = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Form:
    """A form's number and its herb's, and whether it takes only safety facts from it."""

    number: int
    herb: int
    safety_only: bool


@dataclass(frozen=True, slots=True)
class Heir:
    """What inheriting needs to know of the package."""

    forms: tuple[Form, ...]
    entries: Entries
    cited: Cited
    vocabularies: Mapping[str, Vocabulary]


def inherit(
    predicate: Predicate, own: Own, cleared: set[int], heir: Heir
) -> tuple[dict[int, list[int]], set[int], list[tuple[int, int]]]:
    """Effective entries by subject; subjects whose cell is filled and undisputed; looser entries with their form.

    cleared: forms that inherit nothing of this predicate, having said that nothing special is needed.
    """
    effective = dict(own.entries)
    settled = own.filled - own.disputed
    looser: list[tuple[int, int]] = []
    if predicate.inherit != "none":
        for form in heir.forms:
            inherited = [] if form.number in cleared else _inherited(predicate, form, own, heir)
            mine = own.entries.get(form.number, [])
            if predicate.inherit == "replace":
                if form.number not in own.filled:
                    _set(effective, form.number, inherited)
                    if form.herb in settled and form.number not in own.disputed and not form.safety_only:
                        settled.add(form.number)
            elif not mine:
                _set(effective, form.number, inherited)
            elif inherited:
                kept, aside = _MERGE[predicate.inherit](predicate, mine, inherited, heir)
                effective[form.number] = kept
                looser += [(form.number, entry) for entry in aside]
    for subject in own.disputed & effective.keys():
        effective[subject] = [heir.entries.soften(entry) for entry in effective[subject]]
    return effective, settled, looser


def _inherited(predicate: Predicate, form: Form, own: Own, heir: Heir) -> list[int]:
    """The herb's entries as far as they reach the form: its own list if nothing is taken away."""
    entries = own.entries.get(form.herb, [])
    if form.safety_only and predicate.under_safety == "no":
        return []
    only_constituents = form.safety_only and predicate.under_safety == "constituents"
    dashed, dropped = form.number in own.dashed, own.dropped.get(form.number, set())
    if predicate.inherit != "union" or not (only_constituents or dashed or dropped):
        return entries
    vocabulary = heir.vocabularies[predicate.values.name]

    def stays(value: str) -> bool:
        carries = any(vocabulary.cell(value, column) == cell for column, cell in predicate.constituents.items())
        return value not in dropped and (carries or not (only_constituents or dashed))

    return [entry for entry in entries if stays(heir.entries.kind(entry).value)]


def _union(predicate: Predicate, own: list[int], inherited: list[int], heir: Heir) -> tuple[list[int], list[int]]:
    stated = {kind_number(entry) for entry in own}
    return [entry for entry in inherited if kind_number(entry) not in stated] + own, []


def _by_key(predicate: Predicate, own: list[int], inherited: list[int], heir: Heir) -> tuple[list[int], list[int]]:
    mine, theirs = _grouped(predicate, own, heir), _grouped(predicate, inherited, heir)
    kept = [entry for key, entries in theirs.items() if key not in mine for entry in entries]
    aside: list[int] = []
    for key, entries in mine.items():
        standing = theirs.get(key, [])
        used = [entry for entry in entries if _may_stand(predicate, entry, standing, heir)]
        aside += [entry for entry in entries if entry not in used]
        kept += used or standing
    return kept, aside


def _grouped(predicate: Predicate, entries: list[int], heir: Heir) -> dict[Values, list[int]]:
    groups: dict[Values, list[int]] = {}
    for entry in entries:
        kind = heir.entries.kind(entry)
        held = dict(kind.qualifiers)
        key = tuple(kind.value if part == predicate.name else held.get(part, "") for part in predicate.key)
        groups.setdefault(key, []).append(entry)
    return groups


def _may_stand(predicate: Predicate, entry: int, standing: list[int], heir: Heir) -> bool:
    if all(_as_strict(predicate, entry, other, heir) for other in standing):
        return True
    table, row, column = heir.entries.place(entry)
    return heir.cited.confirmed(table, row, (column, *predicate.required), "")


def _as_strict(predicate: Predicate, entry: int, other: int, heir: Heir) -> bool:
    if predicate.required:
        if not _required(predicate, other, heir):
            return True
        if not _required(predicate, entry, heir):
            return False
    if not predicate.looser:
        return True
    mine, theirs = heir.entries.kind(entry).value, heir.entries.kind(other).value
    if predicate.compare != "number":
        rank = heir.vocabularies[predicate.values.name].rank
        mine_at, theirs_at = rank(mine), rank(theirs)
        return theirs_at is None or (mine_at is not None and mine_at >= theirs_at)
    amount, limit = number(mine), number(theirs)
    if amount is not None and limit is None:
        return True
    if amount is None or limit is None:
        (mine_text, mine_unit), (their_text, their_unit) = _with_unit(mine), _with_unit(theirs)
        if mine_unit != their_unit:
            return False
        amount, limit = number(mine_text), number(their_text)
    if amount is None or limit is None:
        return False
    return amount >= limit if predicate.looser == "lower" else amount <= limit


def _with_unit(value: str) -> tuple[str, str]:
    text, _, unit = value.partition(" ")
    return text, unit


def _required(predicate: Predicate, entry: int, heir: Heir) -> bool:
    table, row, _ = heir.entries.place(entry)
    return all(table.columns[column][row] == cell for column, cell in predicate.required.items())


def _actions(predicate: Predicate, own: list[int], inherited: list[int], heir: Heir) -> tuple[list[int], list[int]]:
    """An own row replaces its like; a negative removes the positives it bars, a positive the negatives that bar it."""
    mine = [heir.entries.kind(entry) for entry in own]
    replaced = {_same_row(predicate, kind, heir) for kind in mine}

    def stays(kind: Kind) -> bool:
        if _same_row(predicate, kind, heir) in replaced:
            return False
        if kind.stated:
            return not any(bars(predicate, other, kind, heir.vocabularies) for other in mine if not other.stated)
        return not any(bars(predicate, kind, other, heir.vocabularies) for other in mine if other.stated)

    return [entry for entry in inherited if stays(heir.entries.kind(entry))] + own, []


def _same_row(predicate: Predicate, kind: Kind, heir: Heir) -> tuple[bool, Values]:
    """Action, site and cause, with a positive's implied values filled in; a negative takes none."""
    held = dict(kind.qualifiers)
    vocabulary = heir.vocabularies[predicate.values.name]
    filled = (
        held.get(key) or (vocabulary.cell(kind.value, column) if kind.stated else "")
        for key, column in predicate.implied.items()
    )
    return kind.stated, (kind.value, *filled)


def _set(effective: dict[int, list[int]], number: int, entries: list[int]) -> None:
    if entries:
        effective[number] = entries


_MERGE = {"union": _union, "stricter": _by_key, "by-key": _by_key, "action": _actions}
