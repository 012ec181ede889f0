"""Who answers for what: semantics.md, 6, the sign-off."""

from datetime import date
from pathlib import Path

import pytest

from materia_data.change.signoff import SignOffError, sign, standing, withdraw
from materia_data.change.tidy import canonical
from materia_data.check.run import check
from materia_data.check.signoffs import scope_digest, signoffs
from materia_data.materia import Materia, load
from materia_data.problem import Problem
from tests.little import little

ON = date(2026, 11, 25)


def signed(materia: Materia, *subjects: str, by: str = "Office A", scope: str = "safety") -> None:
    sign(materia, subjects, scope, by=by, role="demo role", on=ON)


def states(folder: Path) -> dict[tuple[str, str], str]:
    return {(one.subject, one.by): one.state for one in signoffs(load(folder))}


def errors(folder: Path, version: str, old: Path | None = None) -> list[Problem]:
    report = check(load(folder), against=load(old) if old else None, release=version)
    rules = ("not-signed-off", "sign-off-gone")
    return [problem for problem in report.problems if problem.severity == "error" and problem.rule in rules]


def test_a_sign_off_stands_and_is_a_row_added(little_package: Path) -> None:
    """Signing adds a row; the data are sound after it, and the file is canonical."""
    signed(load(little_package), "demo-root")
    assert states(little_package) == {("demo-root", "Office A"): "stands"}
    materia = load(little_package)
    assert not [problem for problem in check(materia).problems if problem.file == "record/signoffs.csv"]
    table = materia.package.tables["signoffs"]
    assert canonical(table) == (little_package / table.file).read_text(encoding="utf-8")


CHANGES = {
    "an own caution": ({"cautions": [{"subject": "demo-root", "topic": "pregnancy", "state": "avoid"}]}, True),
    "the basis of a caution": (
        {"cautions": [{"subject": "demo-root", "topic": "pregnancy", "basis": "memory"}]},
        True,
    ),
    "a constituent": ({"herbs": [{"id": "demo-root", "traits": ""}]}, True),
    "a law": ({"controls": [{"subject": "demo-root", "instrument": "demo-law", "jurisdiction": "demoland"}]}, True),
    "a name": ({"herbs": [{"id": "demo-root", "name_en": "another"}]}, False),
    "a flavour": ({"herbs": [{"id": "demo-root", "flavors": "sweet"}]}, False),
    "prose": ({"cautions": [{"subject": "demo-root", "topic": "pregnancy", "detail": "Otherwise said."}]}, False),
    "another herb": ({"herbs": [{"id": "demo-leaf", "toxicity": "slight"}]}, False),
}


@pytest.mark.parametrize("what", CHANGES)
def test_it_lapses_when_a_fact_in_its_scope_changes_and_only_then(what: str, tmp_path: Path) -> None:
    """A change of the herb's safety facts lets the sign-offs of the herb and of its form lapse; nothing else does."""
    changed, lapses = CHANGES[what]
    before, now = load(little(tmp_path / "before")), load(little(tmp_path / "now", **changed))
    for subject in ("demo-root", "demo-root.zhi"):
        same = scope_digest(before.facts, subject, "safety") == scope_digest(now.facts, subject, "safety")
        assert same is not lapses


def test_a_form_lapses_with_what_it_takes_from_its_herb(little_package: Path) -> None:
    """An inherited caution changes: the form's sign-off has lapsed, as the herb's has, and can be given anew."""
    signed(load(little_package), "demo-root", "demo-root.zhi", "demo-leaf")
    cautions = little_package / "herbs/cautions.csv"
    text = cautions.read_text(encoding="utf-8")
    cautions.write_text(text.replace("demo-root,pregnancy,,contraindicated", "demo-root,pregnancy,,avoid"), "utf-8")
    assert states(little_package) == {
        ("demo-leaf", "Office A"): "stands",
        ("demo-root", "Office A"): "lapsed",
        ("demo-root.zhi", "Office A"): "lapsed",
    }
    signed(load(little_package), "demo-root")
    assert [one.state for one in standing(load(little_package), ["demo-root"]).signoffs] in (
        ["lapsed", "stands"],
        ["stands", "lapsed"],
    )


def test_a_moved_row_and_a_column_more_change_nothing(little_package: Path) -> None:
    """Rows in another order, and a file without its empty columns, leave every sign-off standing."""
    signed(load(little_package), "demo-root", "demo-leaf", "demo-root.zhi")
    path = little_package / "herbs/cautions.csv"
    header, *rows = path.read_text(encoding="utf-8").strip().split("\n")
    assert header.split(",")[5] == "detail"
    cut = [",".join(line.split(",")[:5] + line.split(",")[6:]) for line in (header, *reversed(rows))]
    path.write_text("\n".join([*cut, ""]), encoding="utf-8")
    assert set(states(little_package).values()) == {"stands"}


def test_safety_takes_two_different_people(little_package: Path) -> None:
    """From 1.0 a release is refused until two people signed; one name in two spellings is one person; 0.x goes out."""
    every = list(load(little_package))
    assert not errors(little_package, "0.9.0")
    assert len(errors(little_package, "1.0.0")) == len(every)
    signed(load(little_package), *every)
    signed(load(little_package), *every, by="OFFICE  Ａ")
    assert len(errors(little_package, "1.0.0")) == len(every)
    signed(load(little_package), *every[:-1], by="Office B")
    assert [problem.record for problem in errors(little_package, "1.0.0")] == every[-1:]
    assert load(little_package).signed_off == f"safety signed off for {len(every) - 1} of {len(every)} subjects"
    signed(load(little_package), every[-1], by="Office B")
    assert not errors(little_package, "1.0.0")
    assert load(little_package).signed_off == "safety signed off"


def test_teaching_does_not_vouch_for_safety(little_package: Path) -> None:
    """Sign-offs for another scope count for nothing in a release."""
    for by in ("Office A", "Office B"):
        signed(load(little_package), "demo-leaf", by=by, scope="teaching")
    assert "demo-leaf" in standing(load(little_package)).missing
    assert load(little_package).signed_off == "not signed off"


def test_a_sign_off_is_withdrawn_by_a_row_more(little_package: Path) -> None:
    """Withdrawing keeps the old row, counts no longer, and cannot be undone for the same facts by the same person."""
    signed(load(little_package), "demo-leaf")
    before = (little_package / "record/signoffs.csv").read_text(encoding="utf-8").splitlines()
    withdraw(load(little_package), ["demo-leaf"], "safety", by="office a", role="r", on=ON, reason="misread")
    after = (little_package / "record/signoffs.csv").read_text(encoding="utf-8").splitlines()
    assert set(before) < set(after) and len(after) == len(before) + 1
    assert states(little_package) == {("demo-leaf", "Office A"): "withdrawn"}
    with pytest.raises(SignOffError, match="withdrew"):
        signed(load(little_package), "demo-leaf")
    signed(load(little_package), "demo-leaf", by="Office B")
    assert states(little_package)["demo-leaf", "Office B"] == "stands"


@pytest.mark.parametrize(
    ("subjects", "by", "said"),
    [(["demo-leef"], "A", "Did you mean demo-leaf"), (["demo-leaf"], " ", "--by"), (["demo-leaf"], "A|B", "“|”")],
)
def test_what_cannot_be_signed_writes_nothing(subjects: list[str], by: str, said: str, little_package: Path) -> None:
    """An unknown subject, no name, or a name that cannot stand in a key is said, and no row is written."""
    before = (little_package / "record/signoffs.csv").read_bytes()
    with pytest.raises(SignOffError) as error:
        sign(load(little_package), subjects, "safety", by=by, role="r", on=ON)
    assert said in str(error.value)
    assert (little_package / "record/signoffs.csv").read_bytes() == before


def test_a_row_taken_out_is_an_error_against_the_older_package(tmp_path: Path) -> None:
    """Sign-offs are only added: one that is gone or was changed is named."""
    old, new = little(tmp_path / "old"), little(tmp_path / "new")
    signed(load(old), "demo-leaf", "demo-root")
    assert [problem.rule for problem in errors(new, "", old)] == ["sign-off-gone"] * 2
    assert not errors(old, "", new)


def test_the_shipped_package_carries_none() -> None:
    """Nobody has vouched for the shipped data, and they say so."""
    shipped = load()
    assert not len(shipped.package.tables["signoffs"])
    assert shipped.signed_off == "not signed off"
