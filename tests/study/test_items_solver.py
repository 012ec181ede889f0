"""Every item has the one right answer that SQL over the Parquet export finds: 220 items, 10,000 with MATERIA_DEEP=1."""

import os
from collections.abc import Callable, Iterable
from dataclasses import replace

import pytest

from materia_data import load
from materia_data.exporting.listing import exporters
from materia_data.exporting.run import export
from materia_data.materia import Materia
from materia_data.study.items.choose import items
from materia_data.study.items.item import Item
from tests.study.solver import Solver

COUNT = 10_000 if os.environ.get("MATERIA_DEEP") else 220


@pytest.fixture(scope="module")
def shipped() -> Materia:
    return load()


@pytest.fixture(scope="module")
def solver(shipped: Materia, tmp_path_factory: pytest.TempPathFactory) -> Solver:
    out = tmp_path_factory.mktemp("parquet")
    export(shipped, [one for one in exporters() if one.name == "parquet"], out)
    return Solver(out / "parquet")


def test_another_route_finds_the_same_key(
    shipped: Materia, solver: Solver, record_property: Callable[[str, object], None]
) -> None:
    """Exactly one option is right by SQL, and it is the key, in a seeded sample over all kinds."""
    made = items(shipped, count=COUNT, seed="the solver").versions[0].items
    wrong = list(differing(solver, made))
    kinds = len({item.kind for item in made})
    record_property("sample", f"{len(made)} items of {kinds} kinds: {len(wrong)} with another key or two")
    assert not wrong
    assert kinds == 11


def test_the_solver_sees_a_wrong_key_and_a_second_right_answer(shipped: Materia, solver: Solver) -> None:
    """Shown an item with its key moved, or with the right option twice, the solver disagrees."""
    for item in items(shipped, count=22, seed="spoilt").versions[0].items:
        right = item.options[item.key]
        others = [option for option in item.options if not option.right]
        moved = (replace(others[0], right=True), replace(right, right=False), *others[1:])
        twice = (right, replace(right, right=False), *others[1:])
        assert solver.keys(replace(item, options=moved)) != [0] or item.kind == "cooking"
        assert solver.keys(replace(item, options=twice)) == [0, 1]


def differing(solver: Solver, made: Iterable[Item]) -> Iterable[str]:
    for item in made:
        found = solver.keys(item)
        if found != [item.key]:
            yield f"{item.id}: {item.stem} {found}, not {item.key}"
