"""The verdicts: what the check and the safety comparison say of the package once the corrections are in it."""

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from materia_data.change.spreadsheet.claims import CLAIM, is_fact, unclaimed
from materia_data.change.spreadsheet.edits import Edit, Edited, edited
from materia_data.change.spreadsheet.returned import Cell
from materia_data.check.ledger import unrecorded_loosenings
from materia_data.check.run import check, today
from materia_data.materia import Materia
from materia_data.problem import Problem

_Stage = Callable[[Materia], Sequence[Problem]]
VERDICTS = ("accepted", "refused", "needs-source", "both-changed", "loosens-safety", "other-type")
_SAFETY = frozenset({"safety-loosened", "safety-lost"})
_LINE = re.compile(r"\bline \d+|:\d+\b")


class Verdict(NamedTuple):
    """What becomes of a cell. rule: the check, rule or kind of damage that speaks, or empty; reason: why; tip: what to
    do."""

    verdict: str
    rule: str = ""
    reason: str = ""
    tip: str = ""


def judge(
    materia: Materia, edits: Sequence[Edit], decided: Mapping[Cell, Verdict], day: date | None = None
) -> dict[Cell, Verdict]:
    """A verdict for every cell of the edits; those decided before, for damage or because both sides changed, stay out.

    The real check runs over the package with the corrections in it, and the safety comparison against the package as it
    stands; a cell is refused for an error that is new. What is refused is taken out and the rest checked again, until
    nothing new is wrong, so that what is accepted is sound together. day: the day to judge dates by.
    """
    judging = _Judging(materia, edits, decided, day or today())
    judging.settle()
    return judging.verdicts


class _Judging:
    def __init__(self, materia: Materia, edits: Sequence[Edit], decided: Mapping[Cell, Verdict], day: date) -> None:
        self._materia, self._edits, self._day = materia, edits, day
        cells = [cell for edit in edits for cell in edit.cells.values()]
        self._pending = {cell for cell in cells if cell not in decided}
        self._stood: dict[_Stage, Counter[tuple[str, ...]]] = {}
        self.verdicts = {cell: decided[cell] for cell in cells if cell in decided}

    def settle(self) -> None:
        while True:
            self._settle_claims()
            if not self._pending:
                return
            made = edited(self._materia.package, self._edits, self._pending)
            candidate = Materia(made.package)
            for stage in (self._structure, self._safety, self._all):
                problems, warnings = self._new(stage, candidate)
                if problems:
                    self._blame(made, problems, stage)
                    break
            else:
                break
        for edit in self._edits:
            for cell in edit.cells.values():
                if cell in self._pending:
                    self.verdicts[cell] = Verdict("accepted", *_warned(made, edit, cell, warnings))

    def _structure(self, materia: Materia) -> Sequence[Problem]:
        """What is wrong with cells, keys and references: quick, and it spares the longer stages what it finds."""
        return check(materia, on=self._day, structure_only=True).problems

    def _safety(self, materia: Materia) -> Sequence[Problem]:
        """Weakenings and losses against the package as it stands that no row of the ledger names."""
        return [] if materia is self._materia else unrecorded_loosenings(self._materia, materia)

    def _all(self, materia: Materia) -> Sequence[Problem]:
        """The whole check."""
        return check(materia, on=self._day).problems

    def _new(self, stage: _Stage, candidate: Materia) -> tuple[list[Problem], list[Problem]]:
        """The errors of the stage that the package as it stands has not, and all warnings."""
        problems = stage(candidate)
        errors = [problem for problem in problems if problem.severity == "error"]
        warnings = [problem for problem in problems if problem.severity == "warning"]
        if errors and stage not in self._stood:
            before = (problem for problem in stage(self._materia) if problem.severity == "error")
            self._stood[stage] = Counter(map(_likeness, before))
        left = Counter(self._stood.get(stage, ()))
        new = []
        for problem in errors:
            if left[_likeness(problem)]:
                left[_likeness(problem)] -= 1
            else:
                new.append(problem)
        return new, warnings

    def _settle_claims(self) -> None:
        """Take out what needs a source, and what must not stand without what was taken out of its row."""
        while True:
            before = len(self._pending)
            found = unclaimed(self._materia.package, self._edits, self._pending)
            for cell, reason in found.items():
                self._out(cell, Verdict("needs-source", "source-for-new-value", reason))
            for edit in self._edits:
                self._held_back(edit)
            if len(self._pending) == before:
                return

    def _held_back(self, edit: Edit) -> None:
        """A new row goes in whole or not at all; a source goes in only with the values that it was given for."""
        waiting = [cell for cell in edit.cells.values() if cell in self._pending]
        out = [cell for cell in edit.cells.values() if cell not in self._pending]
        if not waiting or not out:
            return
        if edit.kind != "new":
            table = self._materia.package.tables[edit.table]
            out = [cell for cell in out if is_fact(table, cell.column)]
            waiting = [cell for cell in waiting if cell.column in CLAIM] if out else []
        for cell in waiting:
            first = out[0]
            why = self.verdicts[first].verdict.replace("-", " ") if first in self.verdicts else "not taken over"
            reason = f"Waits for {first.column} in the same row, which is not taken over ({why})."
            self._out(cell, Verdict("refused", "row-waits", reason, f"Settle {first.column} first."))

    def _blame(self, made: Edited, problems: list[Problem], stage: _Stage) -> None:
        """Take out the cells that new errors stand at; if none stands at a changed row, those that make them."""
        hit = False
        for problem in problems:
            edit = made.rows.get((problem.file, problem.record))
            if edit:
                hit = self._refuse(edit, problem) or hit
        if hit:
            return
        for problem in problems:
            named = [edit for edit in self._alive() if _names(problem, edit)]
            if len(named) == 1:
                hit = self._refuse(named[0], problem) or hit
        if hit:
            return
        for edit, problem in self._makers([], self._alive(), stage):
            hit = self._refuse(edit, problem) or hit
        if not hit:
            for edit in self._alive():
                self._refuse(edit, problems[0])

    def _makers(self, sound: list[Edit], some: list[Edit], stage: _Stage) -> list[tuple[Edit, Problem]]:
        """The edits among some that bring in new errors beside those that are sound, found by halving."""
        made = edited(self._materia.package, [*sound, *some], self._pending)
        problems, _ = self._new(stage, Materia(made.package))
        if not problems:
            return []
        if len(some) == 1:
            return [(some[0], problems[0])]
        half = len(some) // 2
        found = self._makers(sound, some[:half], stage)
        bad = {edit for edit, _ in found}
        sound = [*sound, *(edit for edit in some[:half] if edit not in bad)]
        return [*found, *self._makers(sound, some[half:], stage)]

    def _alive(self) -> list[Edit]:
        return [edit for edit in self._edits if any(cell in self._pending for cell in edit.cells.values())]

    def _refuse(self, edit: Edit, problem: Problem) -> bool:
        """Take out the cell that the problem names, else those of the row that could have made it."""
        waiting = [cell for cell in edit.cells.values() if cell in self._pending]
        cells = [cell for cell in waiting if cell.column == problem.column]
        cells = cells or [cell for cell in waiting if cell.column not in CLAIM] or waiting
        verdict = "loosens-safety" if problem.rule in _SAFETY else "refused"
        for cell in cells:
            self._out(cell, Verdict(verdict, problem.rule, problem.message, problem.tip))
        return bool(cells)

    def _out(self, cell: Cell, verdict: Verdict) -> None:
        self._pending.discard(cell)
        self.verdicts.setdefault(cell, verdict)


def _likeness(problem: Problem) -> tuple[str, ...]:
    """What makes two problems the same; lines move when rows come and go."""
    return problem.file, problem.record, problem.column, problem.rule, problem.value, _LINE.sub("", problem.message)


def _names(problem: Problem, edit: Edit) -> bool:
    """Whether the problem speaks of the subject of the edit's row."""
    subject = edit.record.split("|")[0]
    text = f"{problem.record} {problem.value} {problem.message}"
    return bool(subject) and re.search(rf"(?<![\w.-]){re.escape(subject)}(?![\w-])", text) is not None


def _warned(made: Edited, edit: Edit, cell: Cell, warnings: Sequence[Problem]) -> tuple[str, str, str]:
    """What the check warns of at the cell, if anything."""
    here = (problem for problem in warnings if problem.column == cell.column)
    first = next((problem for problem in here if made.rows.get((problem.file, problem.record)) is edit), None)
    return (first.rule, first.message, first.tip) if first else ("", "", "")
