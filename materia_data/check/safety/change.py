"""One difference between two safety sets."""

from dataclasses import dataclass

EFFECTS = ("strengthened", "weakened", "removed", "gained", "none")
LOOSER = ("weakened", "removed")


@dataclass(frozen=True, slots=True)
class Change:
    """What an effective safety fact was and what it is now.

    subject: a herb, form or formula by its old id, or a rule or term; predicate: a safety predicate, or what of a rule
    or term changed (`strength`, `safety`, `over`, `when`, `expect`; `rule`: a safety rule reaches the subject;
    `exception`; `broader`, `rank`, `topic`); qualifiers: `key=value` pairs joined by `;` in the predicate's order; was,
    now: values, empty where there is none; effect: one of EFFECTS. file, table, record, line, column: the cell where
    the matter now stands, line 0 if the row is gone; inherited_from: the herb that the old fact came from, empty for
    the subject's own; stands_as: the subject that is now looked at in its place.
    """

    subject: str
    predicate: str
    qualifiers: str
    was: str
    now: str
    effect: str
    file: str = ""
    table: str = ""
    record: str = ""
    line: int = 0
    column: str = ""
    inherited_from: str = ""
    stands_as: str = ""

    @property
    def looser(self) -> bool:
        """Whether this is a weakening or a loss."""
        return self.effect in LOOSER


def joined(qualifiers: tuple[tuple[str, str], ...]) -> str:
    """Qualifiers as `record/loosenings` writes them."""
    return ";".join(f"{key}={value}" for key, value in qualifiers)
