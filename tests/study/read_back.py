"""What stands on paper, read back by poppler's pdftotext; and what must stand there, read from the CSV files alone."""

import csv
import re
import subprocess
from collections.abc import Iterable, Sequence
from pathlib import Path

from materia_data.places import data_root

STATES = ("Contraindicated", "Avoid", "Caution", "None stated", "Not checked")
_WEIGHT = {"none-stated": 0, "caution": 1, "avoid": 2, "contraindicated": 3}
_DETAILED = {"internal-use", "overdose", "duration", "poisoning", "contact"}
Owed = tuple[str, str, str, str]


def pdf_text(pdf: bytes, folder: Path, *options: str) -> str:
    """The text of a PDF; options go to pdftotext."""
    file = folder / "read.pdf"
    file.write_bytes(pdf)
    return subprocess.run(
        ["pdftotext", *options, str(file), "-"], capture_output=True, check=True, text=True, encoding="utf-8"
    ).stdout


def rows(table: str, root: Path | None = None) -> list[dict[str, str]]:
    """A table as Python's csv reads it."""
    with ((root or data_root()) / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def owed(members: Sequence[str], root: Path | None = None) -> list[Owed]:
    """State, label, name and detail of each caution that a sheet of these owes: every row of a member, and each row of
    one of its forms that says more than the member's own row on the same matter."""
    labels = {
        name: {row["id"]: row["name_en"] for row in rows(f"terms/{name}", root)} for name in ("topics", "targets")
    }
    herbs, forms = rows("herbs/herbs", root), rows("herbs/forms", root)
    called = {row["id"]: row["name_hans"] for row in (*herbs, *forms)}
    parent = {row["id"]: row["herb"] for row in forms}
    held = {(row["subject"], row["topic"], row["target"]): row["state"] for row in rows("herbs/cautions", root)}
    found = []
    for row in rows("herbs/cautions", root):
        herb = parent.get(row["subject"], row["subject"])
        if herb not in members:
            continue
        above = held.get((herb, row["topic"], row["target"])) if herb != row["subject"] else None
        if above is not None and _WEIGHT[above] >= _WEIGHT[row["state"]]:
            continue
        label = labels["targets"][row["target"]] if row["target"] else labels["topics"][row["topic"]]
        bare = not row["target"] and row["topic"] in ("condition", "drug", "food")
        detail = row["detail"] if row["topic"] in _DETAILED or bare else ""
        found.append((row["state"], label, called[row["subject"]], detail))
    return found


def squeezed(text: str) -> str:
    """The text without any space, so that line breaks do not matter."""
    return re.sub(r"\s+", "", text)


def blocks(layout: str) -> dict[str, str]:
    """The words that stand beside each state word at the left margin, from `pdftotext -layout`."""
    section = layout.partition("Safety first")[2].partition("Shared, and why")[0].partition("Group by group")[0]
    found: dict[str, list[str]] = {}
    state = ""
    for line in section.splitlines():
        starts = next((word for word in STATES if re.match(rf"\W{{0,9}}{word}\b", line)), "")
        if re.match(r"materia-data, release|For teaching;", line):
            continue
        state = starts or state
        found.setdefault(state, []).append(line.replace(starts, "", 1) if starts else line)
    return {word: squeezed(" ".join(lines)) for word, lines in found.items()}


def missing(told: dict[str, str], cautions: Iterable[Owed]) -> list[Owed]:
    """The cautions that do not stand in the block of their state: name after label, and the detail after the name."""
    lost = []
    for state, label, name, detail in cautions:
        block = told.get(state.replace("-", " ").capitalize(), "")
        head = squeezed(label[:1].upper() + label[1:])
        found = [block[at.end() :] for at in re.finditer(rf"{re.escape(head)}(\(pattern\))?:", block)]
        if detail:
            said = re.escape(squeezed(detail.rstrip(".")))
            held = any(re.search(rf"{re.escape(name)}[^()]*\({said}\)", rest) for rest in found)
        else:
            held = any(name in rest.partition(".")[0].split(":")[0] for rest in found)
        if not held:
            lost.append((state, label, name, detail))
    return lost
