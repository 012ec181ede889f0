"""Kinds of items: each module lists what it could ask (`frames`) and makes one item of it (`make`, or None).

A distractor is wrong by a stated negative, a closed property, a rank, a number outside, or a stated fact that excludes
it; never because nothing is stated.
"""

from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any, NamedTuple

from materia_data.study.items.bench import Bench
from materia_data.study.items.item import Item


class Kind(NamedTuple):
    """What could be asked, and how it is made."""

    frames: Callable[[Bench], Sequence[Any]]
    make: Callable[[Bench, Any], Item | None]


NAMES: dict[str, str] = {
    "property": "nature, flavor or channel of a medicinal, or what it lacks of them",
    "reason": "which true reason goes with a property",
    "stand-out": "which member of a category breaks its pattern",
    "told-apart": "what is true of one medicinal and not of another",
    "prepared-form": "what a prepared form is or no longer does",
    "cooking": "what is cooked first, goes in late, or is not boiled; how long",
    "combination": "what is never combined, among taught partners",
    "formula-role": "which item of a formula has a role",
    "odd-one-out": "three that share a property and one that lacks it",
    "faulty-recipe": "which two items of a recipe clash, or which amount is too large",
    "caution": "how strict a caution the data record",
}


def kind(name: str) -> Kind:
    """The kind by name. KeyError: no such kind."""
    if name not in NAMES:
        raise KeyError(name)
    module = import_module(f"{__name__}.{name.replace('-', '_')}")
    return Kind(module.frames, module.make)
