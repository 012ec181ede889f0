"""The public face: what `materia_data` offers, and what it costs to name it."""

import subprocess
import sys

import pytest

import materia_data
from materia_data import load


def test_every_name_offered_is_there() -> None:
    """Each name of the face loads, and nothing else shows."""
    assert dir(materia_data) == materia_data.__all__ == sorted(materia_data.__all__)
    for name in materia_data.__all__:
        assert getattr(materia_data, name) is not None
    with pytest.raises(AttributeError, match="load"):
        materia_data.lod  # noqa: B018


def test_importing_the_face_loads_no_room() -> None:
    """`import materia_data` loads none of its rooms and none of its dependencies."""
    code = "import sys, materia_data; print(sorted(m for m in sys.modules if m.startswith('materia_data.')))"
    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"
    )


def test_two_lines_give_records_and_frames() -> None:
    """A developer has typed records and data frames in two lines."""
    m = load()
    row = m["ban-xia"].row
    assert row.name_hans == "半夏" and row.flavors == ("pungent",)  # type: ignore[attr-defined]
    doses = m.frame("doses")
    assert doses["max"].dtype == "float64" and len(doses) == len(m.package.tables["doses"])
    assert m.arrow("herb-actions").num_rows == len(m.package.tables["herb_actions"])
    assert "ban-xia" in m and "ban-xia.fa" in list(m) and len(m) == len(list(m))
    with pytest.raises(KeyError, match="ban-xia"):
        m["ban-xiaa"]
    with pytest.raises(KeyError, match="herbs"):
        m.frame("herb")
    with pytest.raises(FileNotFoundError, match="There is no folder"):
        load("nowhere")


def test_match_answers_in_table_order() -> None:
    """`m.match` gives ids; a pattern that cannot be read raises with the place."""
    m = load()
    assert m.match("trait:seaweed") == ["hai-zao", "kun-bu"]
    with pytest.raises(materia_data.PatternError, match="seaweed"):
        m.match("trait:seawed")


@pytest.mark.parametrize(
    ("text", "subject"),
    [
        ("半夏", "ban-xia"),
        ("bàn xià", "ban-xia"),
        ("ban xia", "ban-xia"),
        ("banxia", "ban-xia"),
        ("ban4 xia4", "ban-xia"),
        ("Pinellia", "ban-xia"),
        ("pinelia rhizome", "ban-xia"),
        ("PINELLIAE RHIZOMA", "ban-xia"),
        ("澤瀉", "ze-xie"),
        ("yi yi ren", "yi-yi-ren"),
        ("二陈汤", "er-chen-tang"),
        ("姜半夏", "ban-xia.jiang"),
    ],
)
def test_resolve_lands_on_the_right_subject(text: str, subject: str) -> None:
    """Characters in both scripts, readings with and without tones, English, Latin and near spellings land on the
    subject."""
    assert load().resolve(text)[0].id == subject


def test_resolve_of_nonsense_is_empty() -> None:
    """What is near nothing gives an empty list."""
    assert load().resolve("zzzz") == [] and load().resolve("  ") == []
