"""The second entry of the data, made by hands that saw ids and names only (docs/data/method.md).

It was entered from memory of the Chinese Pharmacopoeia 2020, volume I, and of the textbooks: two recollections that
agree may be wrong together, so this finds slips of the hand and proves nothing more.
"""

import csv
from pathlib import Path

import pytest

from tests.trade.rows import data
from tools import agreement

ENTRY = Path(__file__).parents[2] / "docs" / "data" / "second-entry"
LEAST = {"nature": 0.98, "flavors": 0.97, "channels": 0.96, "toxicity": 0.95, "dose": 0.97}


def read(name: str) -> list[dict[str, str]]:
    with (ENTRY / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def test_every_medicinal_was_entered_twice() -> None:
    """The second entry has a row for every medicinal."""
    assert {row["id"] for row in read("herbs.csv")} >= set(data().package.tables["herbs"].columns["id"])


def test_every_difference_of_the_two_hands_is_settled() -> None:
    """Where the second hand gives another value than the package, a row says which stands and why."""
    settled = {(row["subject"], row["column"]): row for row in read("settled.csv")}
    for pair in agreement.pairs():
        if sorted(pair.first.split(";")) != sorted(pair.second.split(";")):
            row = settled.get((pair.subject, pair.column))
            assert row and row["why"] and row["verdict"] in ("first", "second", "open"), pair


@pytest.mark.parametrize("column", sorted(LEAST))
def test_the_two_hands_agree_nearly_always(column: str) -> None:
    """Agreement by column stays where it was published (docs/data/agreement.md)."""
    mine = [pair for pair in agreement.pairs() if pair.column == column]
    same = sum(sorted(pair.first.split(";")) == sorted(pair.second.split(";")) for pair in mine)
    assert len(mine) > 500
    assert same / len(mine) >= LEAST[column], f"{same} of {len(mine)}"


def test_the_two_hands_compose_formulas_alike() -> None:
    """Of all medicinals that either hand puts into a formula, at least nine in ten are in both."""
    composed = [pair for pair in agreement.pairs() if pair.column == "composition"]
    both = sum(len(set(pair.first.split(";")) & set(pair.second.split(";"))) for pair in composed)
    either = sum(len(set(pair.first.split(";")) | set(pair.second.split(";"))) for pair in composed)
    assert len(composed) > 200
    assert both / either >= 0.95, f"{both} of {either}"


def test_every_antagonism_the_second_hand_entered_is_on_record() -> None:
    """No opposed pair that the second hand recalls is missing."""
    table = data().package.tables["antagonisms"].columns
    pairs = set(zip(table["a"], table["b"], strict=True))
    missing = [(row["a"], row["b"]) for row in read("antagonisms.csv") if (row["a"], row["b"]) not in pairs]
    assert missing == []


def test_kappa_is_that_of_a_table_worked_by_hand() -> None:
    """Of 50 answers with 20 and 15 agreements, kappa is 0.4 (the usual worked example of Cohen's coefficient)."""
    counts = {("yes", "yes"): 20, ("yes", "no"): 5, ("no", "yes"): 10, ("no", "no"): 15}
    pairs = [agreement.Pair("demo", "demo", a, b, "") for (a, b), count in counts.items() for _ in range(count)]
    assert agreement.kappa(pairs) == pytest.approx(0.4)
