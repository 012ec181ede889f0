"""Fixtures named for the state they give."""

from pathlib import Path

import pytest

from tests.little import little


@pytest.fixture
def little_package(tmp_path: Path) -> Path:
    """The folder of a small valid package of invented medicinals."""
    return little(tmp_path / "package")
