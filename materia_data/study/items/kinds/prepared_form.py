"""What a prepared form is, or no longer does. Wrong by the form's closed property, or because it is stated to do it."""

from collections.abc import Sequence

from materia_data.study.items.bench import OPTIONS, Bench, claim_of
from materia_data.study.items.item import Item, Option

Frame = tuple[str, str, str]


def frames(bench: Bench) -> Sequence[Frame]:
    """A form, and a nature of its own that differs from its herb's, or an action that it is stated not to have."""
    facts, found = bench.facts, list[Frame]()
    about = set(bench.subjects)
    for form in facts.subjects:
        herb = facts.herb_of(form)
        if facts.kind(form) != "forms" or not about & {form, herb}:
            continue
        mine, raw = bench.closed(form, "nature"), bench.closed(herb, "nature") or _stated(bench, herb)
        if mine and raw and mine != raw:
            found += [(form, "nature", value) for value in sorted(mine)]
        lost = [fact.value for fact in facts.own(form, "action") if not fact.stated and not fact.qualifiers]
        found += [(form, "action", value) for value in lost]
    return found


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item."""
    form, predicate, value = frame
    return _nature(bench, form, value) if predicate == "nature" else _lost(bench, form, value)


def _nature(bench: Bench, form: str, value: str) -> Item | None:
    herb, held = bench.facts.herb_of(form), bench.closed(form, "nature") or frozenset()
    raw = sorted(bench.closed(herb, "nature") or _stated(bench, herb))
    terms = bench.facts.vocabularies[bench.facts.predicates["nature"].values.name]
    chosen: list[str] = []
    for one in [*raw, *bench.chance.sample(terms.ids, len(terms.ids))]:
        if len(chosen) < OPTIONS - 1 and bench.apart("nature", one, [*held, *chosen]):
            chosen.append(one)
    name = bench.name(form)

    def option(one: str) -> Option:
        why = f"{name} is {bench.label('nature', value)}." + (
            f" {bench.label('nature', one).capitalize()} is the nature of {bench.name(herb)}." if one in raw else ""
        )
        return Option(bench.label("nature", one), one == value, why, claim_of(form, "nature", one, one == value))

    facts = [*bench.places(form, "nature"), *bench.places(herb, "nature")]
    stem = f"What is the nature of the prepared form {name}?"
    return bench.item("prepared-form", stem, option(value), map(option, chosen), [form, herb], facts, 0.5)


def _lost(bench: Bench, form: str, value: str) -> Item | None:
    facts = [fact for fact in bench.facts.of(form, "action") if fact.stated]
    terms = bench.facts.vocabularies[bench.facts.predicates["action"].values.name]
    near = terms.up(value) | terms.down(value)
    does = sorted({fact.value for fact in facts} - near)
    if len(does) < OPTIONS - 1 or any(fact.value in near for fact in facts):
        return None
    chosen = bench.chance.sample(does, OPTIONS - 1)
    name = bench.name(form)

    def option(one: str) -> Option:
        says = "is stated not to" if one == value else "is stated to"
        why = f"{name} {says} {bench.label('action', one)}."
        return Option(bench.label("action", one), one == value, why, claim_of(form, "action", one, one != value))

    places = [place for one in (value, *chosen) for place in bench.places(form, "action", one)]
    herb = bench.facts.herb_of(form)
    stem = f"Which of these does {name} not do?"
    return bench.item("prepared-form", stem, option(value), map(option, chosen), [form, herb], places, 0.6)


def _stated(bench: Bench, herb: str) -> frozenset[str]:
    return frozenset(fact.value for fact in bench.facts.of(herb, "nature"))
