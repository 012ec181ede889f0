"""What a school's layers say on a page: what they loosen stands first of all, the rest before the sources."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from materia_data import layer_lines
from materia_exporters.monographs.markdown import plain

if TYPE_CHECKING:
    from materia_exporters.monographs.words import Words


def loosened_lines(words: "Words", subjects: Sequence[str], items: Sequence[str] = ()) -> list[str]:
    """A line for each safety fact that a layer weakens or hides. items: what a formula holds."""
    lines = [line for line in layer_lines(words.materia, subjects, items) if line.loosens]
    said = [f"- **loosened by a layer** · {plain(line.text)}" for line in lines]
    return [*said, ""] if said else []


def said_lines(words: "Words", subjects: Sequence[str]) -> list[str]:
    """A line for each record of which a layer says something, or adds it."""
    return [f"- {plain(line.text)}" for line in layer_lines(words.materia, subjects) if not line.loosens]


def named_layers(words: "Words") -> str:
    """`With the layer second-school, Second School.`, or nothing without one."""
    named = [f"{layer.id}, {plain(layer.title)}" for layer in words.materia.layers]
    return f" With the layer{'s' if len(named) > 1 else ''} {'; '.join(named)}." if named else ""
