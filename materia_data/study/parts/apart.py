"""Told apart: contrasts on record between two or more of the sheet, and mix-ups that would hurt."""

from collections.abc import Iterable

from materia_data.study.document import Line, Run, Runs, Section, joined
from materia_data.study.selection import Selection
from materia_data.study.watch import family
from materia_data.study.writer import Writer, clause, sentence

_IN_THE_TABLE = frozenset({"nature", "flavor", "channel", "dose"})


def apart(writer: Writer, chosen: Selection) -> list[Section]:
    """Two sections: what tells them apart, and what must not be taken for one of them."""
    writer.section = "Told apart"
    everyone = {one for subject in chosen.chosen for one in family(writer.facts, subject)}
    told = tuple(_contrasts(writer, everyone))
    mixed = tuple(_confusions(writer, everyone))
    return [
        Section("apart", "Told apart", "", told, columns=2),
        Section("mix-ups", "Not to be mixed up", "", mixed, columns=2),
    ]


def _contrasts(writer: Writer, everyone: set[str]) -> Iterable[Line]:
    tables = writer.facts.package.tables
    contrasts, points = tables["contrasts"], tables["contrast_points"]
    for number in range(len(contrasts)):
        row = contrasts.row(number)
        mine = [points.row(at) for at in points.rows_of("contrast").get(row["id"], ())]
        subjects = list(dict.fromkeys(point["subject"] for point in mine))
        if len(everyone.intersection(subjects)) < 2:
            continue
        head: Runs = joined([writer.name(one, short=True, strong=True) for one in subjects], " · ")
        runs: list[Run] = [*head, Run(" "), Run(sentence(row["shared"]))]
        for place, subject in enumerate(subjects):
            said = [point for point in mine if point["subject"] == subject]
            said = [point for point in said if point["axis"] not in _IN_THE_TABLE] or said
            runs += [Run(" "), *writer.name(subject, short=True, strong=True), Run(": ")]
            for at, point in enumerate(said):
                last = place == len(subjects) - 1 and at == 0
                asked = last and point["axis"] not in ("safety", "dose") and not _dangerous(writer, subject)
                text = clause(point["point"])
                runs += [Run("; ")] if at else []
                runs.append(writer.ask(text, "l") if asked else Run(text))
            runs.append(Run("."))
        yield Line(tuple(runs))


def _confusions(writer: Writer, everyone: set[str]) -> Iterable[Line]:
    rows = writer.facts.package.tables["confusions"]
    for number in range(len(rows)):
        row = rows.row(number)
        if not row["harm"] or not everyone & {row["a"], row["b"]}:
            continue
        mine, other = (row["a"], row["b"]) if row["a"] in everyone else (row["b"], row["a"])
        runs = [*writer.name(mine, short=True, strong=True), Run(" not "), *writer.name(other, short=True), Run(": ")]
        yield Line((*runs, Run(sentence(row["harm"])), Run(f" {sentence(row['tell_apart'])}".rstrip())))


def _dangerous(writer: Writer, subject: str) -> bool:
    return subject in writer.facts.number and writer.dangerous(subject)
