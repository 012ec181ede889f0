"""The command `materia`: one ordered table of verbs, each in a thin module that loads when it is chosen."""

import sys
from importlib import import_module

VERBS = {
    "check": "structure, rules and safety of a data package",
    "explain": "why each nature, flavour, channel, caution and way of cooking",
    "show": "the whole record of a medicinal, form or formula, safety first",
    "standouts": "what a category shares, who breaks it and why, what is dangerous",
    "contrast": "what tells two to six apart; look-alikes; stand-ins",
    "match": "who matches a pattern, across categories",
    "formula": "a formula or a recipe looked at from every side",
    "name": "which subject a messy name means, and what it must not be taken for",
    "proof": "lines of notes or captions that contradict the data or leave out safety",
    "rules": "the rules with their measures and exceptions",
    "study": "teaching material made from facts: sheets, cards, quizzes, a schedule",
    "export": "run exporters: Parquet, JSON-LD, monographs, site",
    "diff": "what changed between two versions, with its effect on safety",
    "signoff": "who answers for what: list, add, let lapse",
    "release": "check, changelog, archives with checksums: whole or not at all",
    "verify": "whether an archive holds exactly what was released",
    "merge": "two changes of a table, by record and cell: git's merge driver",
    "adopt": "bring a school's own spreadsheet to the tables, as a layer",
    "spreadsheet": "tables out to colleagues as a spreadsheet, and back with a verdict a cell",
    "tidy": "write the files in their canonical form",
    "new": "begin a new record with every question asked",
}


def main(argv: list[str] | None = None) -> int:
    """Run one verb. Exit 0 nothing wrong, 1 problems found, 2 could not run, 130 interrupted."""
    words = list(sys.argv[1:] if argv is None else argv)
    if not words or words[0] in ("-h", "--help", "help"):
        sys.stdout.write(_help())
        return 0
    if words[0] in ("-V", "--version"):
        from materia_data import __version__

        sys.stdout.write(f"materia {__version__}\n")
        return 0
    verb, rest = words[0], words[1:]
    if verb not in VERBS:
        from materia_data.suggest import did_you_mean

        tip = did_you_mean(verb, VERBS) or "`materia --help` lists the verbs; options follow the verb."
        sys.stderr.write(f"materia: there is no verb {verb}. {tip}\n")
        return 2
    if verb == "study":
        return _study(rest)
    from materia_data.cli.door import through_the_door

    return through_the_door(import_module(f"materia_data.cli.{verb}"), verb, rest)


def pages() -> dict[str, str]:
    """The module behind each page of docs/verbs and each schema of results: `study-sheet` is `materia study sheet`."""
    from materia_data.cli.study import VERBS as WHATS

    own = {verb: f"materia_data.cli.{verb}" for verb in VERBS if verb != "study"}
    return own | {f"study-{what}": f"materia_data.cli.study.{what}" for what in WHATS}


def _study(words: list[str]) -> int:
    """Run `materia study WHAT`, each as if it were a verb of its own."""
    from materia_data.cli.door import through_the_door
    from materia_data.cli.study import VERBS as WHATS
    from materia_data.cli.study import summary
    from materia_data.suggest import did_you_mean

    if not words or words[0] in ("-h", "--help", "help"):
        sys.stdout.write(summary())
        return 0
    what, rest = words[0], words[1:]
    if what not in WHATS:
        tip = did_you_mean(what, WHATS) or f"It knows {', '.join(WHATS)}; options follow."
        sys.stderr.write(f"materia: study has nothing called {what}. {tip}\n")
        return 2
    return through_the_door(import_module(f"materia_data.cli.study.{what}"), f"study {what}", rest)


def _help() -> str:
    width = max(map(len, VERBS))
    lines = [f"  {verb.ljust(width)}  {says}" for verb, says in VERBS.items()]
    return (
        "materia VERB [options]   the Chinese materia medica as checked data\n\n"
        + "\n".join(lines)
        + "\n\n`materia VERB --help` tells more. "
        + "For teaching; local law, the current pharmacopoeia and licensed practice decide.\n"
    )
