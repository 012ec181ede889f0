"""A second, blind entry of the property columns, held against the package.

`second_hand.csv` was entered from memory of the Chinese Pharmacopoeia 2020 volume I by someone who saw only ids and
names; `settled.csv` says
which of the two values stands where they differ, and why. Two recollections that agree are weak evidence and raise
no value to `collated`.
"""

import csv
from pathlib import Path

from materia_data import load

HERE = Path(__file__).parent
COLUMNS = ("nature", "flavors", "channels", "toxicity")


def read(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_every_difference_of_the_two_hands_is_settled() -> None:
    """Where the second hand gives another value than the package, a settled row says which stands; there is no other
    difference."""
    herbs = load().package.tables["herbs"]
    settled = {(row["id"], row["column"]): row["settle"] for row in read("settled.csv")}
    compared = 0
    for row in read("second_hand.csv"):
        here = herbs.row(herbs.rows_of("id")[row["id"]][0])
        for column in COLUMNS:
            if row[column] and row[column] != here[column]:
                assert (row["id"], column) in settled, (
                    f"{row['id']} {column}: {here[column]} here, {row[column]} by the second hand"
                )
            compared += bool(row[column])
    assert compared > 590


def test_settled_differences_are_real_ones() -> None:
    """A settled property that no longer differs is taken out, unless the second value was taken over."""
    herbs = load().package.tables["herbs"]
    second = {row["id"]: row for row in read("second_hand.csv")}
    for row in read("settled.csv"):
        assert row["settle"] in ("first", "second", "unsure") and row["why"]
        if row["column"] in COLUMNS and row["settle"] != "second":
            assert second[row["id"]][row["column"]] != herbs.row(herbs.rows_of("id")[row["id"]][0])[row["column"]], row[
                "id"
            ]
