"""What is wrong, where, why, and what to do about it: the one shape of every finding."""

from dataclasses import dataclass

SEVERITIES = ("error", "warning", "note")


@dataclass(frozen=True, slots=True)
class Problem:
    """One finding, in an editor's words.

    file: path inside the package, with `/`; line: from 1, the header included, 0 for a whole file; column: the
    column's name, or "";
    record: the key's values joined by `|`; value: the text found; rule: the check or rule that speaks; severity: one
    of SEVERITIES;
    message: what is; tip: what to do; source: where the rule's authority stands, or "".
    """

    file: str
    line: int
    column: str
    record: str
    value: str
    rule: str
    severity: str
    message: str
    tip: str = ""
    source: str = ""
