"""Ranges of base versions: `>=0.1,<0.2`."""

import operator
import re
from collections.abc import Callable

Version = tuple[int, ...]
_COMPARED: dict[str, Callable[[Version, Version], bool]] = {
    ">=": operator.ge,
    "<=": operator.le,
    ">": operator.gt,
    "<": operator.lt,
    "=": operator.eq,
}
_PART = re.compile(r"(>=|<=|>|<|=)[ ]?([0-9]{1,9}(?:\.[0-9]{1,9}){0,2})")


def readable(text: str) -> bool:
    """Whether the text is one or more comparisons joined by commas."""
    return all(_PART.fullmatch(part.strip()) for part in text.split(","))


def inside(version: str, text: str) -> bool:
    """Whether the version meets every comparison; numbers left out count as 0, what follows the third is not looked
    at."""
    parts = [_PART.fullmatch(part.strip()) for part in text.split(",")]
    return all(found and _COMPARED[found[1]](_numbers(version), _numbers(found[2])) for found in parts)


def _numbers(version: str) -> Version:
    found = [int(number) for number in re.findall(r"[0-9]{1,9}", re.split(r"[+-]", version)[0])[:3]]
    return tuple([*found, 0, 0, 0][:3])
