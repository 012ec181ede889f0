"""Monographs: a Markdown page for each medicinal and each formula, in the order a teacher speaks, and an index."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from materia_data import explain, explain_all
from materia_exporters.monographs.formula import formula_page
from materia_exporters.monographs.index import index_page
from materia_exporters.monographs.markdown import file_name
from materia_exporters.monographs.medicinal import medicinal_page
from materia_exporters.monographs.words import Words

if TYPE_CHECKING:
    from materia_data import Materia


def export(materia: "Materia", out: Path, options: Mapping[str, str]) -> None:
    """Write index.md, medicinals/ID.md and formulas/ID.md. A form is told of on the page of its herb."""
    words = Words(materia)
    of_kind = {
        kind: [subject for subject in materia.facts.subjects if materia.facts.kind(subject) == kind]
        for kind in ("herbs", "formulas")
    }
    explained = {one.id: one.properties for one in explain_all(materia).subjects}
    explained |= {one.id: one.properties for one in explain(materia, of_kind["herbs"]).subjects}
    _write(out / "index.md", index_page(words))
    for herb in of_kind["herbs"]:
        _write(out / "medicinals" / file_name(herb), medicinal_page(words, herb, explained))
    for formula in of_kind["formulas"]:
        _write(out / "formulas" / file_name(formula), formula_page(words, formula))


export.summary = "a Markdown page for each medicinal and formula, in teaching order"  # type: ignore[attr-defined]


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="\n")
