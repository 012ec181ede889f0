"""The example programs run, and leave no caution out."""

import csv
import json
import re
import subprocess
import sys

import pytest

from materia_data.cli import main
from materia_data.places import data_root
from tests.docs.pages import ROOT

EXAMPLES = ROOT / "examples"


def _labels() -> dict[str, str]:
    """What the program prints, by shelf."""
    done = subprocess.run(
        [sys.executable, str(EXAMPLES / "shelf_labels.py"), str(EXAMPLES / "shelf.csv")],
        capture_output=True,
        check=True,
        encoding="utf-8",
    )
    return {text[:2]: text for text in done.stdout.split("\n\n")}


def test_a_label_has_every_caution_of_the_form_and_of_its_herb() -> None:
    """Each row of cautions.csv for ban-xia and ban-xia.fa is on the label for 法夏, at least as strict."""
    label = _labels()["A1"]
    with (data_root() / "herbs" / "cautions.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["subject"] in ("ban-xia", "ban-xia.fa")]
    assert len(rows) > 5
    ranks = ("caution", "avoid", "contraindicated")
    for row in rows:
        about = ", ".join(filter(None, (row["topic"], row["target"])))
        found = re.search(rf"^    ([a-z]+): {re.escape(about)}$", label, re.MULTILINE)
        assert found and ranks.index(found[1]) >= ranks.index(row["state"]), about
    assert "TOXICITY: toxic" in label


def test_the_example_recipe_is_read_whole_and_nothing_in_it_is_grave(capsys: pytest.CaptureFixture[str]) -> None:
    """Four items, each understood and within its range, the ephedra boiled first and the apricot kernel last."""
    assert main(["formula", str(EXAMPLES / "recipe.csv"), "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [item["subject"] for item in found["items"]] == ["ma-huang", "gui-zhi", "ku-xing-ren", "gan-cao.mi"]
    assert {dose["verdict"] for dose in found["doses"]} == {"within"}
    assert [step["stage"] for step in found["cooking"] if step["start"] is not None] == ["first", "main", "late"]


def test_a_name_that_nobody_recorded_gets_no_label() -> None:
    """An unknown name is not guessed at."""
    labels = _labels()
    assert "NO LABEL" in labels["B3"]
    assert "STATUS: withdrawn" in labels["B2"]
