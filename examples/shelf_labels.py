"""Labels for the shelves of a teaching dispensary: `python examples/shelf_labels.py examples/shelf.csv`.

The list has the columns shelf and name (any name on record). A name that may mean several medicinals, or none on
record, gets no label but a line that says so: a guess on a shelf is how accidents begin.
"""

import csv
import sys
from pathlib import Path

from materia_data import TEACHING, Fact, Materia, load

STRICT = ("contraindicated", "avoid", "caution", "none-stated")


def labels(materia: Materia, shelves: list[dict[str, str]]) -> str:
    """The labels as text, in the order of the list, the release and the teaching line at the end."""
    lines = [_label(materia, shelf["shelf"], shelf["name"]) for shelf in shelves]
    return "\n".join([*lines, f"release {materia.release_id}. {TEACHING}"]) + "\n"


def _label(materia: Materia, shelf: str, name: str) -> str:
    found = [candidate for candidate in materia.resolve(name) if candidate.score == 1]
    if len(found) != 1:
        meant = ", ".join(candidate.id for candidate in found)
        return f"{shelf}  {name}: NO LABEL. " + (f"It may mean {meant}.\n" if found else "No such name on record.\n")
    subject = materia.facts.default_form(found[0].id)
    record = materia[subject]
    lines = [f"{shelf}  {record.name_hans} {record.pinyin}, {record.name_en}"]
    lines += [f"    {fact.predicate.upper()}: {fact.value}" for fact in _marks(materia, subject)]
    cautions = sorted(materia.facts.of(subject, "caution"), key=lambda fact: STRICT.index(fact.value))
    lines += [f"    {fact.value}: {', '.join(value for _, value in fact.qualifiers)}" for fact in cautions]
    if not cautions:
        lines.append("    cautions not checked")
    return "\n".join(lines) + "\n"


def _marks(materia: Materia, subject: str) -> list[Fact]:
    """What stands in capitals: toxicity where there is a grade, controls, a status that is not current."""
    herb = materia.facts.herb_of(subject)
    marks = [fact for fact in materia.facts.of(herb, "status") if fact.value != "current"]
    marks += [fact for fact in materia.facts.of(subject, "toxicity") if fact.value not in ("none", "unmarked")]
    return marks + materia.facts.of(subject, "control")


if __name__ == "__main__":
    with Path(sys.argv[1]).open(encoding="utf-8", newline="") as file:
        sys.stdout.write(labels(load(), list(csv.DictReader(file))))
