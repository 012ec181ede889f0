"""On whose word the values stand, counted by hand."""

from pathlib import Path
from typing import Any

from materia_data import load
from materia_data.materia import Materia
from materia_data.teach.basis import basis
from tests.little import little

OLD = {"source": "old-book", "locator": "p. 1", "basis": "collated"}
NEW = {"source": "new-book", "locator": "p. 1", "basis": "collated"}


def school(folder: Path, **more: Any) -> Materia:
    """A new book replaces an old one. The leaf's row was read in the old, the seed's in the new; the leaf's caution is
    recalled from the old."""
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
    herbs = [{"id": "demo-leaf", **OLD}, {"id": "demo-seed", **NEW}]
    cautions = [{"subject": "demo-leaf", "topic": "pregnancy", "source": "old-book", "basis": "memory"}]
    return load(little(folder / "package", sources=sources, herbs=herbs, cautions=cautions, **more))


def test_values_are_counted_by_basis(tmp_path: Path) -> None:
    """Of the leaf: nature, two flavours, channel, part, trait, toxicity, status, category and subgroup were read; its
    caution is recalled; two actions with an indication, two doses, a handling and a taught unit are common practice."""
    (leaf,) = basis(school(tmp_path), "", ["demo-leaf"]).subjects
    assert (leaf.collated, leaf.memory) == (10, 1)
    assert {"caution", "action", "dose-max", "handling"} <= set(leaf.unread)
    assert not {"nature", "flavor", "toxicity", "basis"} & set(leaf.unread)


def test_an_old_edition_is_named_with_what_still_rests_on_it(tmp_path: Path) -> None:
    """The leaf's row and its caution, be it read or recalled; nothing of the seed's."""
    found = basis(school(tmp_path), "nature:cool", ["demo-leaf", "demo-seed", "demo-kelp"])
    (edition,) = found.editions
    assert (edition.title, edition.replaced_by) == ("The invented book 1", "new-book")
    assert (edition.subjects, edition.values) == (1, 11)
    assert [one.replaced for one in found.subjects] == [11, 0, 0]


def test_a_citation_of_one_cell_speaks_for_it(tmp_path: Path) -> None:
    """A cell read again in the new edition no longer rests on the old; the rest of the row still does."""
    cited = [{"about_table": "herbs", "record": "demo-leaf", "column": "nature", "value": "", **NEW}]
    (leaf,) = basis(school(tmp_path, citations=cited), "", ["demo-leaf"]).subjects
    assert leaf.replaced == 10 and leaf.collated == 10


def test_nothing_replaced_is_no_edition(tmp_path: Path) -> None:
    """Where no source is superseded none is listed, and everything invented is common practice."""
    materia = load(little(tmp_path / "package"))
    found = basis(materia, "", list(materia))
    assert found.editions == () and all(one.collated == one.memory == one.replaced == 0 for one in found.subjects)
    assert all(one.common_practice for one in found.subjects)
