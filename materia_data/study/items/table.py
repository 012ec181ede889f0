"""Items as CSV: one line an item, columns in `COLUMNS`. A learning system imports stem, options and answer; the rest
tells where they come from. The answer is the letter of the right option; a claim is `subject|predicate|value|yes` or
`no`, what the option's being right or wrong rests on."""

import csv
import io
from string import ascii_uppercase

from materia_data.study.items.choose import Quiz
from materia_data.study.items.item import claim_text

COLUMNS = (
    "id", "version", "number", "kind", "stem", "a", "b", "c", "d", "answer", "why_a", "why_b", "why_c", "why_d",
    "claim_a", "claim_b", "claim_c", "claim_d", "about", "category", "difficulty", "safety", "facts", "release",
)  # fmt: skip
_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def quiz_csv(quiz: Quiz) -> str:
    """The quiz as CSV (UTF-8, comma, LF). Lists join with `;`; a cell that would pass for a formula begins with an
    apostrophe."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for version in quiz.versions:
        for number, item in enumerate(version.items, 1):
            texts = [option.text for option in item.options]
            whys = [option.why for option in item.options]
            row = [
                item.id, version.letter, str(number), item.kind, item.stem, *texts, ascii_uppercase[item.key], *whys,
                *(claim_text(option.claim) for option in item.options), ";".join(item.about), item.category,
                str(item.difficulty), "yes" if item.safety else "no", ";".join(item.facts), quiz.release,
            ]  # fmt: skip
            writer.writerow(f"'{cell}" if cell.startswith(_BEGINS_A_FORMULA) else cell for cell in row)
    return out.getvalue()
