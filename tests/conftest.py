"""Fixtures named for the state they give."""

from pathlib import Path

import pytest

from tests.little import little


@pytest.fixture
def little_package(tmp_path: Path) -> Path:
    """The folder of a small valid package of invented medicinals."""
    return little(tmp_path / "package")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print what sampled tests recorded of their size: `record_property("sample", "60 of 300 mutations")`."""
    reports = terminalreporter.stats.get("passed", []) + terminalreporter.stats.get("failed", [])
    for report in sorted(reports, key=lambda report: report.nodeid):
        for name, value in report.user_properties:
            if name == "sample" and report.when == "call":
                terminalreporter.write_line(f"sample: {value} ({report.nodeid})")
