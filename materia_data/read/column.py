"""The values of one column, each judged once however often it stands there."""

from collections import Counter

from materia_data.read.cells import Finding, bad_texts, value_finding
from materia_data.read.known import Known
from materia_data.read.schema import Field
from materia_data.read.shown import shown
from materia_data.read.table import Table

_DROPS_MEMBERS = ("forms", "traits")


def column_findings(table: Table, field: Field, known: Known) -> dict[str, list[Finding]]:
    """What is wrong with each value of the column that is not sound, the empty one among them."""
    values = set(table.columns[field.name])
    wrong: dict[str, list[Finding]] = {}
    if "" in values:
        values.discard("")
        if field.required:
            tip = f"Fill it, as in this example: {field.example.removesuffix('.')}."
            wrong[""] = [Finding("missing-value", f"{field.name} is empty.", tip, "")]
    if not values:
        return wrong
    wrong |= {value: [finding] for value, finding in bad_texts(values).items()}
    values.difference_update(wrong)
    if field.is_list:
        return wrong | _lists(values, field, known, drops=(table.schema.name, field.name) == _DROPS_MEMBERS)
    return wrong | {value: [finding] for value, finding in _values(values, field, known).items()}


def _values(values: set[str], field: Field, known: Known) -> dict[str, Finding]:
    if field.allows_none:
        values = values - {"-"}
    wrong: dict[str, Finding] = {}
    if field.refers and known.judges(field.refers):
        wrong = {value: known.finding(value, field.refers) for value in sorted(known.unknown(values, field.refers))}
    if not field.prose:
        for value in values.difference(wrong):
            if finding := value_finding(value, field):
                wrong[value] = finding
    return wrong


def _lists(values: set[str], field: Field, known: Known, *, drops: bool) -> dict[str, list[Finding]]:
    """The same for values that are lists. drops: a member may be `-name`, which drops an inherited one."""
    split = {value: value.split(";") for value in values}
    members = {member for parts in split.values() for member in parts if member}
    means = {member: member[1:] if drops and len(member) > 1 and member[0] == "-" else member for member in members}
    wrong = bad_texts(members)
    judged = _values({meant for member, meant in means.items() if member not in wrong}, field, known)
    wrong |= {member: judged[meant] for member, meant in means.items() if meant in judged and member not in wrong}
    found: dict[str, list[Finding]] = {}
    for value, parts in split.items():
        findings = [wrong[member] for member in dict.fromkeys(parts) if member in wrong] if wrong else []
        findings += _shape(value, parts, alone="-" if field.allows_none and not drops else "")
        if findings:
            found[value] = findings
    return found


def _shape(value: str, parts: list[str], *, alone: str) -> list[Finding]:
    """What is wrong with the list itself. alone: a member that suffers none beside it."""
    findings = []
    if "" in parts:
        message = f"The list “{shown(value)}” has an empty member."
        findings.append(Finding("empty-member", message, "Take out the “;” too many.", value))
    if len(set(parts)) < len(parts):
        twice = sorted(part for part, times in Counter(parts).items() if part and times > 1)
        for part in twice:
            message = f"“{shown(part)}” stands in the list more than once."
            findings.append(Finding("repeated-member", message, "Name it once.", value))
    if alone and len(parts) > 1 and alone in parts:
        message, tip = "“-” states that there is none, and others stand beside it.", "Write “-” alone, or take it out."
        findings.append(Finding("none-with-others", message, tip, value))
    return findings
