"""Whether a subject may be given more, or for longer, than before.

The ceiling is the largest `dose-max` for route, per and population over all purposes. Days are judged for each purpose;
a new purpose is held to the longest that the others allowed. An amount that does not convert to grams is never shown to
be less than one that does.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

from materia_data.check.safety.gather import Held, Holding
from materia_data.facts.amount import number

_Key = tuple[tuple[str, str], ...]
_Found = tuple[str, _Key, str, str, str, Held | None, Held | None]
_KEYS = ("route", "per", "population")


def dose_differences(old: Holding, new: Holding) -> Iterator[_Found]:
    """Differences of `dose-max` and `max-days`: predicate, qualifiers, was, now, effect, old fact, new fact."""
    if any(_stated(old, name) != _stated(new, name) for name in ("dose-min", "dose-max", "max-days")):
        yield from _ceilings(old, new)
        yield from _open_ends(old, new)
        yield from _days(old, new)


def _stated(facts: Holding, name: str) -> list[tuple[str, _Key]]:
    return sorted((held.value, held.qualifiers) for held in facts.get(name, ()))


class _Ceiling(NamedTuple):
    amount: Decimal
    held: Held


def _ceilings(old: Holding, new: Holding) -> Iterator[_Found]:
    then, now = _highest(old.get("dose-max", ())), _highest(new.get("dose-max", ()))
    for key, were in then.items():
        yield from _ceiling(key, were, now.get(key, {}))
    for key, are in now.items():
        if key not in then:
            effect = "gained" if then or old.get("dose-min") or "" not in are else "weakened"
            lead = _lead(are)
            yield "dose-max", key, "", lead.value, effect, None, lead


def ceilings(doses: Sequence[Held]) -> Iterator[tuple[_Key, str]]:
    """The effective `dose-max` of each route, per and population, a unit at a time: qualifiers and value."""
    for key, units in _highest(doses).items():
        yield from ((key, ceiling.held.value) for ceiling in units.values())


def _highest(doses: Sequence[Held]) -> dict[_Key, dict[str, _Ceiling]]:
    """By route, per and population the largest amount in each unit; grams are the unit ""."""
    found: dict[_Key, dict[str, _Ceiling]] = {}
    for held in doses:
        text, _, unit = held.value.partition(" ")
        amount = number(text)
        if amount is None:
            continue
        units = found.setdefault(_key(held), {})
        if unit not in units or amount > units[unit].amount:
            units[unit] = _Ceiling(amount, held)
    return found


def _ceiling(key: _Key, were: Mapping[str, _Ceiling], are: Mapping[str, _Ceiling]) -> Iterator[_Found]:
    if not are:
        lead = _lead(were)
        yield "dose-max", key, lead.value, "", "removed", lead, None
        return
    found: list[tuple[Held, Held, str]] = []
    gone = [unit for unit in were if unit not in are]
    added = [unit for unit in are if unit and unit not in were]
    if added:
        found.append((_lead(were), are[added[0]].held, "weakened"))
    elif "" in gone:
        found.append((were[""].held, _lead(are), "weakened"))
    elif gone and "" in are and "" not in were:
        found.append((_lead(were), are[""].held, "strengthened"))
    for unit in were.keys() & are.keys():
        if were[unit].amount != are[unit].amount:
            effect = "weakened" if are[unit].amount > were[unit].amount else "strengthened"
            found.append((were[unit].held, are[unit].held, effect))
    for then, now, effect in found:
        yield "dose-max", key, then.value, now.value, effect, then, now


def _lead(units: Mapping[str, _Ceiling]) -> Held:
    """Grams where there are any, else the first unit."""
    return units[min(units)].held


def _open_ends(old: Holding, new: Holding) -> Iterator[_Found]:
    """Doses that now begin and have no end, where the others of their route have one, or there was no dose at all."""
    then, now = _highest(old.get("dose-max", ())), _highest(new.get("dose-max", ()))
    ends = {held.qualifiers for held in new.get("dose-max", ())}
    was_end = {held.qualifiers: held for held in old.get("dose-max", ())}
    was_open = {held.qualifiers for held in old.get("dose-min", ())} - was_end.keys()
    for held in new.get("dose-min", ()):
        key = _key(held)
        if held.qualifiers in ends or held.qualifiers in was_open:
            continue
        if key in then and key in now:
            end = was_end.get(held.qualifiers) or _lead(then[key])
            yield "dose-max", held.qualifiers, end.value, "", "removed", end, None
        elif not then and not old.get("dose-min"):
            yield "dose-min", held.qualifiers, "", held.value, "weakened", None, held


def _key(held: Held) -> _Key:
    return tuple((name, value) for name, value in held.qualifiers if name in _KEYS)


def _days(old: Holding, new: Holding) -> Iterator[_Found]:
    then, now = _limits(old), _limits(new)
    for key, limits in now.items():
        before = then.get(key)
        if before is None:
            continue
        for purpose, limit in limits.items():
            base = before[purpose] if purpose in before else _longest(before.values())
            yield from _limit(purpose, base, limit, known=purpose in before)
    for key, limits in then.items():
        if key not in now:
            for purpose, limit in limits.items():
                if limit is not None:
                    yield "max-days", purpose, limit.value, "", "removed", limit, None


def _limits(facts: Holding) -> dict[_Key, dict[_Key, Held | None]]:
    """By route, per and population, and then by all qualifiers of a dose, the limit in days, None if there is none."""
    found: dict[_Key, dict[_Key, Held | None]] = {}
    for name in ("dose-min", "dose-max", "max-days"):
        for held in facts.get(name, ()):
            limits = found.setdefault(_key(held), {})
            if name == "max-days" and number(held.value) is not None:
                limits[held.qualifiers] = held
            else:
                limits.setdefault(held.qualifiers, None)
    return found


def _longest(limits: Collection[Held | None]) -> Held | None:
    held = [limit for limit in limits if limit is not None]
    return max(held, key=_count) if len(held) == len(limits) else None


def _limit(purpose: _Key, base: Held | None, limit: Held | None, *, known: bool) -> Iterator[_Found]:
    if base is None:
        if known and limit is not None:
            yield "max-days", purpose, "", limit.value, "gained", None, limit
    elif limit is None:
        yield "max-days", purpose, base.value, "", "removed", base, None
    elif _count(limit) != _count(base):
        if _count(limit) > _count(base):
            yield "max-days", purpose, base.value, limit.value, "weakened", base, limit
        elif known:
            yield "max-days", purpose, base.value, limit.value, "strengthened", base, limit


def _count(held: Held) -> Decimal:
    return number(held.value) or Decimal(0)
