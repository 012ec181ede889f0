"""The check of a pull request: the base branch's code and rules, a read-only token; nothing proposed is run."""

from pathlib import Path
from typing import Any

import yaml

WORKFLOWS = Path(__file__).parents[1] / ".github" / "workflows"


def _workflow() -> dict[Any, Any]:
    text = (WORKFLOWS / "pull-request.yml").read_text(encoding="utf-8")
    found: dict[Any, Any] = yaml.safe_load(text)
    return found


def test_the_workflow_is_the_base_branchs_and_may_only_read() -> None:
    """A pull request cannot change its own check: the event takes the workflow from the base branch. Source: GitHub
    Docs, Events that trigger workflows, pull_request_target."""
    found = _workflow()
    assert set(found[True]) == {"pull_request_target"}  # YAML 1.1 reads the key `on` as true
    assert found["permissions"] == {"contents": "read"}
    assert "secrets." not in (WORKFLOWS / "pull-request.yml").read_text(encoding="utf-8")


def test_only_the_base_branch_is_installed_and_the_proposed_data_are_compared_with_it() -> None:
    """What is proposed is named only as data to materia; the ledger's check is the last word."""
    steps = _workflow()["jobs"]["data"]["steps"]
    runs = [step["run"] for step in steps if "run" in step]
    assert [run for run in runs if "pip install" in run] == ["python -m pip install --quiet ./base"]
    assert all(run.startswith("materia ") for run in runs if "proposed" in run)
    assert runs[-1].startswith("materia check --data proposed/datapackage --against base/datapackage")
    checkouts = [step["with"] for step in steps if step.get("uses", "").startswith("actions/checkout")]
    assert all(made["persist-credentials"] is False for made in checkouts)
    assert {made["path"] for made in checkouts} == {"base", "proposed"}
