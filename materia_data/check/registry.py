"""Checks written in Python: each declares what it reads, how severe it is, why, and rows that pass and fail."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

from materia_data.problem import Problem

Rows = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Check:
    """One check.

    scope: the table whose rows the function gets, or `package` (gets the Package), or `facts` (gets the Facts).
    passes, fails: for a table, rows of it; else small packages, each a mapping of table to rows. Cells left out take
    a valid value.
    A function that names a second parameter `on` gets the day on which dates are judged.
    """

    id: str
    scope: str
    severity: str
    why: str
    safety: bool
    passes: Sequence[Rows]
    fails: Sequence[Rows]
    function: Callable[..., Iterable[Problem]]


_CHECKS: dict[str, Check] = {}


def check(
    *, id: str, scope: str, severity: str, why: str, passes: Sequence[Rows], fails: Sequence[Rows], safety: bool = False
) -> Callable[[Callable[..., Iterable[Problem]]], Callable[..., Iterable[Problem]]]:
    """Register the decorated function as a check; its problems get the check's id and severity."""

    def register(function: Callable[..., Iterable[Problem]]) -> Callable[..., Iterable[Problem]]:
        if id in _CHECKS and _CHECKS[id].function.__code__.co_filename != function.__code__.co_filename:
            raise ValueError(f"two checks are called {id}")
        _CHECKS[id] = Check(id, scope, severity, why, safety, passes, fails, function)
        return function

    return register


def checks() -> dict[str, Check]:
    """Every check by its id, in the order of the ids; loads the modules of `materia_data.check.checks` once."""
    package = import_module("materia_data.check.checks")
    for module in iter_modules(package.__path__):
        import_module(f"{package.__name__}.{module.name}")
    return dict(sorted(_CHECKS.items()))
