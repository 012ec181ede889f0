"""What layers weaken or hide of the safety facts beneath, with the reason that each gives."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from materia_data.check.ledger import change_key, mirrored, shown_values, what
from materia_data.check.safety import Change, compare, safety_facts
from materia_data.materia import Materia


@dataclass(frozen=True, slots=True)
class Loosened:
    """One safety fact that stands weaker with a layer than without it.

    layer, title: whose word it is; subject: herb, form or formula (or a rule or term); predicate, qualifiers, was, now:
    as `record/loosenings` names it; words: one sentence; inherited: whether the subject had the fact from its herb;
    reason, source, by, on_date: of the layer's row in `record/loosenings`, empty where recorded is false.
    """

    layer: str
    title: str
    subject: str
    predicate: str
    qualifiers: str
    was: str
    now: str
    effect: str
    words: str
    inherited: bool
    recorded: bool
    reason: str
    source: str
    by: str
    on_date: str


def loosened(materia: Materia) -> tuple[Loosened, ...]:
    """Every weakening and loss that a layer makes, the lowest layer first."""
    return tuple(
        one
        for beneath, over in stages(materia)
        for one in loosened_by(over, compare(safety_facts(beneath), safety_facts(over)))
    )


def stages(materia: Materia) -> list[tuple[Materia, Materia]]:
    """For each layer the data without it (and those above it) and with it, the lowest layer first."""
    found: list[tuple[Materia, Materia]] = []
    while materia.beneath is not None:
        found.append((materia.beneath, materia))
        materia = materia.beneath
    return found[::-1]


def loosened_by(over: Materia, changes: Sequence[Change]) -> Iterator[Loosened]:
    """What the topmost layer loosens. changes: between what lies beneath it and all of it."""
    layer = over.package.layers[-1]
    table = over.package.tables["loosenings"]
    columns = ("subject", "predicate", "qualifiers", "was", "now")
    rows = {
        tuple(table.columns[column][row] for column in columns): row
        for row in range(len(table))
        if table.layer(row, "reason") == layer.id
    }
    for change in changes:
        if not change.looser:
            continue
        key = change_key(change)
        keys = (key, mirrored(change), (change.inherited_from, *key[1:]))
        row = next((rows[each] for each in keys if each in rows), None)
        said = {
            column: "" if row is None else table.columns[column][row]
            for column in ("reason", "source", "by", "on_date")
        }
        words = _sentence(change, over, said["reason"])
        yield Loosened(
            layer.id, layer.title, change.subject, change.predicate, change.qualifiers, change.was, change.now,
            change.effect, words, bool(change.inherited_from), row is not None, **said,
        )  # fmt: skip


def _sentence(change: Change, over: Materia, reason: str) -> str:
    was, now = shown_values(change)
    beneath = "the base says" if len(over.package.layers) == 1 else "what lies beneath says"
    matter = _matter(change, over)
    because = f"because: {reason}" if reason else "and no reason is recorded."
    if not now:
        return f"{over.package.layers[-1].title} has it {matter} {was}, {because}"
    return f"{matter}: {over.package.layers[-1].title} says {now}, {beneath} {was}, {because}"


def _matter(change: Change, over: Materia) -> str:
    """What is spoken of; of a caution in the terms' own names."""
    held = dict(pair.partition("=")[::2] for pair in change.qualifiers.split(";") if pair)
    if change.predicate != "caution" or "topic" not in held:
        return what(change).strip().removesuffix(",")
    words = over.facts.vocabularies
    topic = words["topics"].label(held["topic"])
    return f"{topic} ({words['targets'].label(held['target'])})" if held.get("target") else topic
