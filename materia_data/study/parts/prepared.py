"""Prepared forms and what changes; cooking and taking, with the reason of each instruction."""

from materia_data.study.document import Line, Run, Section
from materia_data.study.selection import Selection
from materia_data.study.watch import family
from materia_data.study.writer import Writer, clause, reason, sentence
from materia_data.teach.words import cell_row, row_of

_FORCES = ("required", "usual", "optional")


def prepared(writer: Writer, chosen: Selection) -> list[Section]:
    """Two sections: forms, and cooking."""
    writer.section = "Prepared forms"
    lines = []
    for herb in chosen.chosen:
        for form in family(writer.facts, herb)[1:]:
            row = row_of(writer.facts, "forms", form)
            method = writer.term("methods", row["method"]) if row["method"] else row["kind"]
            runs = [*writer.name(form, mark=True, strong=True), Run(f" ({method}): ", "small")]
            changes = clause(row["changes"])
            asked = changes and row["kind"] == "prepared" and not writer.dangerous(form)
            runs.append(writer.ask(changes, "l") if asked else Run(changes or "change not stated"))
            lines.append(Line((*runs, Run(f". {sentence(row['reason'])}".rstrip()))))
    forms = Section("forms", writer.section, "", tuple(lines), columns=2)
    writer.section = "Cooking and taking"
    return [forms, Section("cooking", writer.section, "", tuple(_cooking(writer, chosen)))]


def _cooking(writer: Writer, chosen: Selection) -> list[Line]:
    """A line an instruction; those with the same minutes and the same reason share it. `Ordinary` needs no line."""
    facts = writer.facts
    found: dict[tuple[str, str], dict[tuple[str, str], dict[str, None]]] = {}
    for herb in chosen.chosen:
        for subject in family(facts, herb):
            for fact in facts.of(subject, "handling"):
                if not fact.stated or fact.value == "ordinary" or (subject != herb and fact.inherited_from):
                    continue
                row = cell_row(facts, fact)
                minutes = "–".join(filter(None, (row["minutes_min"], row["minutes_max"])))
                why = clause(row["reason"] or row["detail"])
                same = found.setdefault((fact.value, row["force"]), {})
                same.setdefault((minutes, why), {})[subject] = None
    lines = []
    for (handling, force), parts in sorted(found.items(), key=lambda item: (_FORCES.index(item[0][1]), item[0][0])):
        label = writer.term("handlings", handling)
        runs = [Run(label[:1].upper() + label[1:], "strong"), Run(f", {force}: ")]
        for place, ((minutes, why), who) in enumerate(parts.items()):
            runs += [Run("; ")] if place else []
            runs += [*writer.names(who), Run(f" {minutes} min" if minutes else "")]
            runs += [Run(", because "), Run(reason(why)) if place else writer.ask(reason(why), "l")] if why else []
        lines.append(Line((*runs, Run("."))))
    return lines
