"""Labels for the drawers of a teaching collection: one line a medicinal or form, and one for each of its cautions.

An exporter is a function that writes files into the folder it is given, and nowhere else. It needs three things: the
same data give the same bytes, every caution is carried, the release is stated. A test of all three is two lines:

    def test_contract(tmp_path):
        materia_data.testing.exporter_keeps_contract("bench-labels", tmp_path)
"""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from materia_data import TEACHING

if TYPE_CHECKING:
    from materia_data import Materia


def export(materia: "Materia", out: Path, options: Mapping[str, str]) -> None:
    """Write labels.txt. `materia` is the loaded package, `out` an empty folder, `options` what the caller set."""
    lines = [f"Bench labels, release {materia.release_id}. {TEACHING}"]
    for subject in materia:
        lines += ["", *_label(materia, subject)]
    (out / "labels.txt").write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


export.summary = "labels for the drawers of a teaching collection"  # type: ignore[attr-defined]


def _label(materia: "Materia", subject: str) -> list[str]:
    record = materia[subject]
    named = f"{record.name_hans} ({subject})"
    lines = [f"{named} {record.pinyin}, {record.name_en}"]
    for fact in materia.facts.of(subject, "toxicity"):
        lines.append(f"  {named}: toxicity {fact.value}")
    for fact in materia.facts.of(subject, "caution"):
        about = " ".join(value for _, value in fact.qualifiers)
        lines.append(f"  {named}: {fact.value}, {about}")
    return lines if len(lines) > 1 else [*lines, f"  {named}: cautions not checked, which is no finding of safety"]
