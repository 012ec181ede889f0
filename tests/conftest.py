"""Fixtures named for the state they give."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.little import little


@pytest.fixture
def little_package(tmp_path: Path) -> Path:
    """The folder of a small valid package of invented medicinals."""
    return little(tmp_path / "package")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A headless Chromium: one a process, for playwright allows no more."""
    found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if found is None:
        pytest.fail("These tests need Chromium. On Debian: apt-get install chromium fonts-noto-cjk", pytrace=False)
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=found, args=["--no-sandbox"] if os.geteuid() == 0 else [])
        yield made
        made.close()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print what sampled tests recorded of their size: `record_property("sample", "60 of 300 mutations")`."""
    reports = terminalreporter.stats.get("passed", []) + terminalreporter.stats.get("failed", [])
    for report in sorted(reports, key=lambda report: report.nodeid):
        for name, value in report.user_properties:
            if name == "sample" and report.when == "call":
                terminalreporter.write_line(f"sample: {value} ({report.nodeid})")
