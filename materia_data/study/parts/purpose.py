"""What the category is for, and how a teacher goes about it."""

from materia_data.study.document import Line, Run, Section
from materia_data.study.selection import Selection
from materia_data.study.writer import Writer, sentence
from materia_data.teach.words import row_of


def purpose(writer: Writer, chosen: Selection) -> Section:
    """Definition and strategy of the category or group; of a unit those of what most of it belongs to."""
    row = chosen.shelf
    lines = []
    if row.get("definition"):
        lines.append(Line((Run(sentence(row["definition"]), "strong"),)))
    if row.get("strategy"):
        lines.append(Line((Run(sentence(row["strategy"])),)))
    parent = row_of(writer.facts, "categories", row.get("category", ""))
    note = f"As part of: {parent['name_en']}" if parent else ""
    return Section("purpose", "What for", note if lines else "", tuple(lines))
