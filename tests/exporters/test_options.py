"""Telling an exporter something on the command line."""

from pathlib import Path

import pytest

from materia_data.cli import main
from tests.little import little


def test_an_option_reaches_its_exporter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The site is told its address and writes a map of itself; one it does not know is said, and nothing is written."""
    data, out = little(tmp_path / "data"), tmp_path / "out"
    common = ["export", "site", "--data", str(data), "--out", str(out), "--option"]
    assert main([*common, "site.site_url=https://school.example/mm"]) == 0
    assert "https://school.example/mm/index.html" in (out / "site/sitemap.xml").read_text(encoding="utf-8")
    assert main([*common, "site.colour=red"]) == 1
    assert "site has no option colour" in capsys.readouterr().out


@pytest.mark.parametrize("said", ["site_url=x", "site.=x", "jsonld.x=1", "site.releases"])
def test_what_is_no_option_is_refused(said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 2 with the form that is wanted, before anything runs."""
    assert main(["export", "site", "--out", str(tmp_path), "--option", said]) == 2
    assert "--option" in capsys.readouterr().err
