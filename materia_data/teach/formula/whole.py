"""What a whole recipe does: actions by who carries them, the balance of natures and directions, channels, and what
pulls the other way."""

from collections.abc import Sequence
from dataclasses import dataclass

from materia_data.facts.facts import Facts
from materia_data.teach.formula.recipe import Item, Recipe, stated, weight_of
from materia_data.teach.words import say, subject_name

_ROLES = {"chief": 4.0, "deputy": 3.0, "assistant": 2.0, "envoy": 1.0}
_MOST = 12
_OPPOSED = (
    ("astringe", "release-exterior"),
    ("astringe", "purge"),
    ("check-sweating", "induce-sweating"),
    ("moisten-dryness", "dry-dampness"),
    ("engender-fluids", "dry-dampness"),
    ("raise-yang", "descend-qi"),
    ("stop-bleeding", "break-blood"),
)


@dataclass(frozen=True, slots=True)
class Carried:
    """An action, how many items carry it, and the weight of their roles (chief 4, deputy 3, assistant 2, envoy 1)."""

    action: str
    label: str
    items: tuple[str, ...]
    score: float


@dataclass(frozen=True, slots=True)
class Pull:
    """An item that pulls against the rest. against: what it pulls against; meant: whether the record says that it is to
    restrain or oppose; why: the reason on record."""

    subject: str
    name: str
    against: str
    meant: bool
    why: str


@dataclass(frozen=True, slots=True)
class Whole:
    """What the whole does. nature, warmth: the weighted mean of the ranks, in words and in ranks above neutral
    (below zero cold); cold, neutral, warm: shares of the weight;
    by_amount: whether the weights are amounts, or each item alike; uncounted: items without a nature on record, which
    weigh nothing; rising, sinking: shares with a stated direction."""

    actions: tuple[Carried, ...]
    nature: str
    warmth: float
    cold: float
    neutral: float
    warm: float
    by_amount: bool
    uncounted: tuple[str, ...]
    rising: float
    sinking: float
    channels: tuple[tuple[str, int], ...]
    pulls: tuple[Pull, ...]


def whole(facts: Facts, recipe: Recipe) -> Whole:
    """Add up the items. An item without a nature on record weighs nothing in the balance."""
    weights = weight_of(recipe.items)
    counted = [item for item in recipe.items if item.alternative_to is None]
    terms = facts.vocabularies["natures"]
    neutral = terms.rank("neutral") or 0.0
    ranks: dict[int, float] = {}
    for item in counted:
        found = [rank for value in stated(facts, item.means, "nature") if (rank := terms.rank(value)) is not None]
        if found:
            ranks[item.position] = found[0] - neutral
    total = sum(weights[position] for position in ranks)
    mean = sum(weights[p] * rank for p, rank in ranks.items()) / total if total else 0.0

    def share(test: float) -> float:
        return (
            round(sum(weights[p] for p, r in ranks.items() if (r > 0) - (r < 0) == test) / total, 2) if total else 0.0
        )

    def directed(*values: str) -> float:
        return round(
            sum(weights[i.position] for i in counted if set(stated(facts, i.means, "direction")) & set(values)), 2
        )

    return Whole(
        tuple(_actions(facts, counted, recipe.actions)),
        _word(mean),
        round(mean, 2),
        share(-1),
        share(0),
        share(1),
        all(item.amount for item in counted),
        tuple(subject_name(facts, item.subject) for item in counted if item.position not in ranks),
        directed("ascending", "floating"),
        directed("descending", "sinking"),
        tuple(_channels(facts, counted)),
        tuple(_pulls(facts, recipe, counted, ranks, mean)),
    )


def _word(mean: float) -> str:
    """In words: within half a rank of neutral the whole is even."""
    for far, warm, cold in ((2.5, "hot", "very cold"), (1.5, "warm", "cold"), (0.5, "slightly warm", "cool")):
        if abs(mean) > far:
            return warm if mean > 0 else cold
    return "even"


def _actions(facts: Facts, items: Sequence[Item], intended: Sequence[str]) -> list[Carried]:
    """What the formula is on record for, what a chief does, and what several items do, the weightiest first."""
    carried: dict[str, list[Item]] = {}
    for item in items:
        if item.function in ("restrain", "oppose"):
            continue
        for value in sorted(set(stated(facts, item.means, "action"))):
            carried.setdefault(value, []).append(item)
    found = [
        Carried(
            action,
            say(facts, "action", action),
            tuple(dict.fromkeys(subject_name(facts, item.subject) for item in who)),
            round(sum(max((_ROLES.get(role, 1.0) for role in item.roles), default=1.0) for item in who), 1),
        )
        for action, who in carried.items()
        if action in intended or len({item.subject for item in who}) > 1 or any("chief" in item.roles for item in who)
    ]
    found.sort(key=lambda one: (one.action not in intended, -one.score, -len(one.items), one.action))
    return found[:_MOST]


def _channels(facts: Facts, items: Sequence[Item]) -> list[tuple[str, int]]:
    count: dict[str, int] = {}
    for item in items:
        for channel in stated(facts, item.means, "channel"):
            count[channel] = count.get(channel, 0) + 1
    return sorted(count.items(), key=lambda one: (-one[1], one[0]))


def _pulls(facts: Facts, recipe: Recipe, items: Sequence[Item], ranks: dict[int, float], mean: float) -> list[Pull]:
    found = []
    actions = {item.position: _broad(facts, item) for item in items}
    leading = set().union(*(actions[item.position] for item in items if "chief" in item.roles)) or set(recipe.actions)
    for item in items:
        against = []
        rank = ranks.get(item.position)
        if rank is not None and abs(mean) > 0.5 and rank * mean < 0:
            against.append(f"{'warm' if rank > 0 else 'cold'} where the whole is {_word(mean)}")
        for one, other in _OPPOSED:
            for mine, theirs in ((one, other), (other, one)):
                if mine in actions[item.position] and theirs in leading and theirs not in actions[item.position]:
                    against.append(f"{say(facts, 'action', mine)}, against {say(facts, 'action', theirs)}")
        if against or item.function in ("restrain", "oppose"):
            aim = (
                f"{item.function}s {_aim(facts, item.acts_on)}".strip()
                if item.function in ("restrain", "oppose")
                else ""
            )
            found.append(
                Pull(
                    item.subject,
                    subject_name(facts, item.subject),
                    "; ".join(filter(None, [aim, *dict.fromkeys(against)])),
                    item.function in ("restrain", "oppose"),
                    item.reason,
                )
            )
    return found


def _broad(facts: Facts, item: Item) -> set[str]:
    terms = facts.vocabularies["actions"]
    return set().union(*(terms.up(value) for value in stated(facts, item.means, "action")))


def _aim(facts: Facts, acts_on: str) -> str:
    if acts_on in facts.number:
        return subject_name(facts, acts_on)
    for name in ("causes", "actions"):
        if acts_on in set(facts.vocabularies[name]):
            return facts.vocabularies[name].label(acts_on)
    return acts_on
