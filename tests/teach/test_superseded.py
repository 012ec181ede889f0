"""What still rests on a replaced edition."""

from pathlib import Path
from typing import Any

from materia_data import load
from materia_data.materia import Materia
from materia_data.teach.superseded import superseded
from tests.little import little


def school(folder: Path, **more: Any) -> Materia:
    """An old book that a new one replaces; the leaf's row and one of its doses rest on the old."""
    sources = [
        {
            "id": "old-book",
            "title": "The invented book",
            "edition": "1",
            "kind": "textbook",
            "superseded_by": "new-book",
        },
        {"id": "new-book", "title": "The invented book", "edition": "2", "kind": "textbook"},
    ]
    word = {"source": "old-book", "locator": "p. 1", "basis": "collated"}
    herbs = [
        {"id": "demo-leaf", **word},
        {"id": "demo-seed", "source": "new-book", "locator": "p. 1", "basis": "collated"},
    ]
    cautions = [{"subject": "demo-leaf", "topic": "pregnancy", **word}]
    return load(little(folder / "package", sources=sources, herbs=herbs, cautions=cautions, **more))


def test_values_of_the_old_edition_are_counted_by_subject(tmp_path: Path) -> None:
    """The leaf's row and its caution rest on the old book, the seed's row on the new one."""
    found = superseded(school(tmp_path), "nature:cool", ["demo-leaf", "demo-seed", "demo-kelp"])
    (leaf,) = found.subjects
    assert (leaf.id, leaf.source) == ("demo-leaf", "old-book")
    assert {"nature", "flavor", "caution"} <= set(leaf.predicates) and "dose-max" not in leaf.predicates
    (edition,) = found.editions
    assert (edition.title, edition.replaced_by) == ("The invented book 1", "new-book")
    assert (edition.subjects, edition.values) == (1, leaf.values)


def test_a_value_that_a_new_citation_speaks_for_no_longer_rests_on_the_old(tmp_path: Path) -> None:
    """A citation of one cell from the new edition takes that cell out."""
    cited = [
        {"about_table": "herbs", "record": "demo-leaf", "column": "nature", "value": "", "source": "new-book",
         "locator": "p. 3", "basis": "collated", "stated": "cool"}
    ]  # fmt: skip
    (leaf,) = superseded(school(tmp_path, citations=cited), "", ["demo-leaf"]).subjects
    assert "nature" not in leaf.predicates and "flavor" in leaf.predicates


def test_nothing_replaced_is_nothing_to_do(tmp_path: Path) -> None:
    """Where no source is superseded nothing is listed."""
    materia = load(little(tmp_path / "package"))
    assert superseded(materia, "", list(materia)).editions == ()
