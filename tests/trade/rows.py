"""Reads the tables of tests/trade/tables; README.md there says where each comes from."""

import csv
from functools import cache
from pathlib import Path

from materia_data import Materia, load

TABLES = Path(__file__).parent / "tables"
WITNESS = Path(__file__).parents[2] / "docs" / "data" / "witness"


@cache
def data() -> Materia:
    """The shipped package, opened once."""
    return load()


def table(name: str) -> list[dict[str, str]]:
    """The rows of one table."""
    with (TABLES / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def witness(name: str) -> list[dict[str, str]]:
    """The rows of one table of docs/data/witness."""
    with (WITNESS / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def shipped(name: str) -> list[dict[str, str]]:
    """The rows of one table of the shipped package, empty cells as empty strings."""
    rows = data().package.tables[name]
    return [rows.row(number) for number in range(len(rows))]
