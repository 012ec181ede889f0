"""Outputs of the shipped data, made once for all tests of the exporters that read them."""

from pathlib import Path

import pytest

from materia_data import Materia, load
from materia_data.exporting.trial import small_package


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Materia:
    """A small package cut out of the shipped one."""
    return load(small_package(tmp_path_factory.mktemp("small") / "data"))


@pytest.fixture(scope="session")
def shipped() -> Materia:
    """The shipped package."""
    return load()


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """An empty folder to export into."""
    folder = tmp_path / "out"
    folder.mkdir()
    return folder
