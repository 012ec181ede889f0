"""Items as CSV: one line an item, columns in `COLUMNS`. A learning system imports stem, options and answer; the rest
tells where they come from. The answer is the letter of the right option."""

import csv
import io
from string import ascii_uppercase

from materia_data.study.items.choose import Quiz

COLUMNS = (
    "id", "version", "number", "kind", "stem", "a", "b", "c", "d", "answer", "why_a", "why_b", "why_c", "why_d",
    "about", "category", "difficulty", "safety", "facts", "release",
)  # fmt: skip


def quiz_csv(quiz: Quiz) -> str:
    """The quiz as CSV (UTF-8, comma, LF). Lists join with `;`."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for version in quiz.versions:
        for number, item in enumerate(version.items, 1):
            texts = [option.text for option in item.options]
            whys = [option.why for option in item.options]
            writer.writerow(
                [item.id, version.letter, number, item.kind, item.stem, *texts, ascii_uppercase[item.key], *whys,
                 ";".join(item.about), item.category, item.difficulty, "yes" if item.safety else "no",
                 ";".join(item.facts), quiz.release]
            )  # fmt: skip
    return out.getvalue()
