"""A report of problems as text, JSON, SARIF 2.1.0, or workflow annotations."""

import json
import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date

from materia_data.problem import SEVERITIES, Problem
from materia_data.read.table import layer_of

FORMATS = ("text", "json", "sarif", "github")
_GITHUB = {"error": "error", "warning": "warning", "note": "notice"}
_INVISIBLE = re.compile(r"[\x00-\x1f\x7f-\x9f\u00ad\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]")


@dataclass(frozen=True, slots=True)
class Report:
    """What a check found. problems: in file and line order; rules, subjects, checks: how many were looked at; on: the
    day dates were judged by."""

    problems: Sequence[Problem]
    rules: int
    subjects: int
    on: date
    release_id: str
    checks: int = 0

    def summary(self) -> dict[str, int]:
        """errors, warnings, notes, rules, subjects."""
        tally = dict.fromkeys(SEVERITIES, 0)
        for problem in self.problems:
            tally[problem.severity] += 1
        return {
            "errors": tally["error"],
            "warnings": tally["warning"],
            "notes": tally["note"],
            "rules": self.rules,
            "subjects": self.subjects,
        }

    def failed(self, strict: bool = False) -> bool:
        """Whether anything is wrong: an error, or under strict a warning too."""
        summary = self.summary()
        return bool(summary["errors"] or (strict and summary["warnings"]))


def render(report: Report, form: str, *, colour: bool = False, notes: bool = True) -> str:
    """The report in one of FORMATS, ending in a line feed. Control and direction characters in data are shown as
    escapes."""
    return {"text": _text, "json": _json, "sarif": _sarif, "github": _github}[form](report, colour, notes)


def visible(text: str) -> str:
    """The text with control, direction and zero-width characters as escapes, so that a terminal shows what is there."""
    return _INVISIBLE.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def _text(report: Report, colour: bool, notes: bool) -> str:
    out: list[str] = []
    for problem in report.problems:
        if problem.severity == "note" and not notes:
            continue
        place = f"{problem.file}:{problem.line}" if problem.line else problem.file
        mark = {"error": "31", "warning": "33", "note": "36"}[problem.severity]
        severity = f"\x1b[{mark}m{problem.severity}\x1b[0m" if colour else problem.severity
        cell = f"{problem.column} = {problem.value}" if problem.column and problem.value else problem.column
        where = visible("  ".join(filter(None, (place, problem.record, cell))))
        out.append(f"{where}  {severity}  {problem.rule}")
        out.append(f"  {visible(problem.message)}")
        if problem.tip:
            out.append(f"  tip: {visible(problem.tip)}")
        if problem.source:
            out.append(f"  source: {visible(problem.source)}")
    summary = report.summary()
    counted = [
        _count(summary["errors"], "error"),
        _count(summary["warnings"], "warning"),
        _count(summary["notes"], "note"),
    ]
    hidden = "" if notes or not summary["notes"] else " (--notes shows them)"
    out.append(
        f"{', '.join(counted)}{hidden} · {_count(summary['rules'], 'rule')} and {_count(report.checks, 'check')} over "
        f"{_count(summary['subjects'], 'subject')}, "
        f"dates judged on {report.on.isoformat()}"
    )
    return "\n".join(out) + "\n"


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def _json(report: Report, colour: bool, notes: bool) -> str:
    document = {
        "release": report.release_id,
        "on": report.on.isoformat(),
        "problems": [asdict(problem) for problem in report.problems],
        "summary": report.summary(),
    }
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _sarif(report: Report, colour: bool, notes: bool) -> str:
    rules = sorted({problem.rule for problem in report.problems})
    results = []
    for problem in report.problems:
        uri = problem.file.replace(":", "%3A")
        location: dict[str, object] = {"artifactLocation": {"uri": uri, "uriBaseId": "DATA"}}
        if problem.line:
            location["region"] = {"startLine": problem.line}
        text = f"{problem.record} {problem.column}: {problem.message}" if problem.record else problem.message
        results.append(
            {
                "ruleId": problem.rule,
                "ruleIndex": rules.index(problem.rule),
                "level": problem.severity,
                "message": {"text": f"{text} Tip: {problem.tip}" if problem.tip else text},
                "locations": [
                    {
                        "physicalLocation": location,
                        "logicalLocations": [
                            {
                                "name": problem.column or problem.file,
                                "fullyQualifiedName": problem.record or problem.file,
                            }
                        ],
                    }
                ],
            }
        )
    document = {
        "$schema": "https://json.schemastore.org/sarif-2.1.0.json",
        "version": "2.1.0",
        "runs": [
            {
                "tool": {"driver": {"name": "materia", "rules": [{"id": rule} for rule in rules]}},
                "originalUriBaseIds": {"DATA": {"description": {"text": "the folder of the data package"}}},
                "results": results,
            }
        ],
    }
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _github(report: Report, colour: bool, notes: bool) -> str:
    """Workflow commands; `%`, CR and LF are escaped, in properties `:` and `,` too, so that data cannot add a
    command."""

    def data(text: str) -> str:
        return visible(text.replace("\n", " ").replace("\r", " ")).replace("%", "%25")

    def property_(text: str) -> str:
        return data(text).replace(":", "%3A").replace(",", "%2C")

    out = []
    for problem in report.problems:
        title = property_(f"{problem.rule} {problem.record} {problem.column}".strip())
        line = f",line={problem.line}" if problem.line else ""
        tip = f" Tip: {problem.tip}" if problem.tip else ""
        place = "" if layer_of(problem.file) else "datapackage/"
        out.append(
            f"::{_GITHUB[problem.severity]} file={property_(place + problem.file)}{line},title={title}"
            f"::{data(problem.message + tip)}"
        )
    return "\n".join(out) + "\n" if out else ""
