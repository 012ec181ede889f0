"""Outputs of the shipped data, made once for all tests of the exporters that read them; and one browser for all."""

import os
import time
from collections.abc import Iterator
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


@pytest.fixture(scope="session", autouse=True)
def kept_apart(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What exporters keep between runs stays with the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        patch.setenv("SOURCE_DATE_EPOCH", "1764028800")
        yield


@pytest.fixture(scope="session")
def whole_site(tmp_path_factory: pytest.TempPathFactory, kept_apart: None) -> Path:
    """The site of the data as shipped, below a folder with a space in its name; built once for all who test at once."""
    base = tmp_path_factory.getbasetemp()
    shared = (base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base) / "a folder"
    done = shared / "done"
    try:
        shared.mkdir()
    except FileExistsError:
        until = time.monotonic() + 900
        while not done.exists() and time.monotonic() < until:
            time.sleep(0.5)
        assert done.exists(), "the site that another worker builds was never finished"
        return shared / "site"
    from materia_exporters.site import export

    (shared / "site").mkdir()
    export(load(), shared / "site", {})
    done.touch()
    return shared / "site"


@pytest.fixture(scope="session")
def small_site(small: Materia, tmp_path_factory: pytest.TempPathFactory, kept_apart: None) -> Path:
    """The site of a small package."""
    from materia_exporters.site import export

    out = tmp_path_factory.mktemp("small site")
    export(small, out, {"corrections": "https://example.org/report?of={table}&line={line}&column={column}"})
    return out
