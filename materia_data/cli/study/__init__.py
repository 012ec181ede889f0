"""`materia study WHAT`: one ordered table, each in a thin module beside this one that loads when it is chosen.

To add one: a line here, a module with `register` and `run`, docs/verbs/study-WHAT.md, schemas/results/study-WHAT.json.
"""

VERBS: dict[str, str] = {
    # what is handed out
    "sheet": "a lesson sheet of a category, unit or pattern: Markdown, HTML, PDF; with blanks and key",
    "cards": "two-sided study cards: PDF to cut, CSV, HTML for the phone",
    # what is asked
    "items": "quiz items with one right answer: paper and key, CSV, QTI; by seed, kind, difficulty or blueprint",
    "check": "an existing quiz, CSV or QTI, read against the data",
    "coverage": "facts that no item and no sheet touches yet, by unit, safety first",
    # when it is gone over again
    "schedule": "dates for going over each unit again before the examination",
}


def summary() -> str:
    """What `materia study --help` prints."""
    width = max(map(len, VERBS), default=0)
    lines = [f"  {what.ljust(width)}  {says}" for what, says in VERBS.items()]
    return (
        "materia study WHAT [options]   teaching material made from facts\n\n"
        + "\n".join(lines)
        + "\n\n`materia study WHAT --help` tells more. "
        + "For teaching; local law, the current pharmacopoeia and licensed practice decide.\n"
    )
