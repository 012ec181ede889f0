"""Exporters over data with a layer: run as they are, in their own process, and what is loosened stands on the page."""

import json
from pathlib import Path

import pytest

from materia_data import load
from materia_data.exporting.listing import exporters
from materia_data.exporting.run import CannotExport, export
from tests.layers import layer
from tests.little import little

NAMES = ("jsonld", "monographs", "parquet", "site")
LEAF = {"subject": "demo-leaf", "topic": "pregnancy", "state": "avoid", "basis": "memory"}
ROOT = {"subject": "demo-root", "topic": "pregnancy", "state": "avoid", "basis": "memory"}
SAID = "The second school says avoid, the base says contraindicated, because: It is invented."
LEDGER = {"subject": "demo-root", "predicate": "caution", "qualifiers": "topic=pregnancy", "was": "contraindicated",
          "now": "avoid", "reason": "It is invented.", "source": "demo-book", "by": "course owner",
          "on_date": "2026-11-25"}  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The outputs of the built-in exporters, and the release they were made of."""
    folder = tmp_path_factory.mktemp("layered")
    second = layer(folder / "second", cautions=[LEAF, ROOT], loosenings=[LEDGER])
    materia = load(little(folder / "base"), [second])
    chosen = [one for one in exporters() if one.name in NAMES]
    outputs = export(materia, chosen, folder / "out")
    assert [(one.name, one.state, one.message) for one in outputs] == [(name, "written", "") for name in NAMES]
    return folder / "out", materia.release_id


def test_every_manifest_names_the_layer_and_what_it_loosens(made: tuple[Path, str]) -> None:
    """Release, layers and loosened facts stand in the manifest beside each output."""
    out, release = made
    assert "+second." in release
    for name in NAMES:
        manifest = json.loads((out / name / "manifest.json").read_text(encoding="utf-8"))
        assert manifest["release"] == release
        assert [one["id"] for one in manifest["layers"]] == ["second"]
        assert {(one["subject"], one["was"], one["now"], one["reason"]) for one in manifest["loosened"]} == {
            (subject, "contraindicated", "avoid", "It is invented.")
            for subject in ("demo-root", "demo-root.sheng", "demo-root.zhi")
        }


def test_monographs_say_it_first(made: tuple[Path, str]) -> None:
    """The page says what is loosened under Safety first, and what else the layer says before the sources; the page of a
    medicinal that nothing is said of has neither."""
    pages = made[0] / "monographs" / "medicinals"
    root = (pages / "demo-root.md").read_text(encoding="utf-8")
    safety = root.split("## Safety first")[1].split("## ")[0]
    assert safety.strip().startswith("- **loosened by a layer** · 示例根, pregnancy: " + SAID)
    assert "## Said by layers" in root and "With the layer second, The second school." in root
    leaf = (pages / "demo-leaf.md").read_text(encoding="utf-8")
    assert "loosened" not in leaf and "The second school says state avoid (beneath: caution)" in leaf
    seed = (pages / "demo-seed.md").read_text(encoding="utf-8")
    assert "Said by layers" not in seed and "With the layer second" in seed


def test_the_site_says_it_first_and_names_the_layer_on_every_page(made: tuple[Path, str]) -> None:
    """The medicinal's page has the line in its head; every page's foot names the layer and whom it loosens."""
    site = made[0] / "site"
    root = (site / "medicinals" / "demo-root.html").read_text(encoding="utf-8")
    head = root.split("</header>")[1]
    assert "Loosened by The second school." in head and SAID.replace("'", "&#39;") in head
    for page in site.rglob("*.html"):
        foot = page.read_text(encoding="utf-8").split('<footer class="foot">')[1]
        assert "With the layer <b>The second school</b> (second), which loosens" in foot, page
    leaf = (site / "medicinals" / "demo-leaf.html").read_text(encoding="utf-8")
    assert "Loosened by" not in leaf and "Said by layers" in leaf


def test_nothing_is_exported_into_a_layer(tmp_path: Path) -> None:
    """A folder inside a layer is refused as one inside the data is."""
    second = layer(tmp_path / "second")
    materia = load(little(tmp_path / "base"), [second])
    with pytest.raises(CannotExport, match="inside the layer second"):
        export(materia, [], second / "out")
