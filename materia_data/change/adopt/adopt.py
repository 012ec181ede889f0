"""Adopt a school's own spreadsheet or CSV: mapped, asked about, and what differs from the base as a layer."""

import re
from pathlib import Path

from materia_data.change.adopt.desk import Desk
from materia_data.change.adopt.headings import heading_row, row_above_names
from materia_data.change.adopt.identity import Identifier
from materia_data.change.adopt.lexicon import Lexicon
from materia_data.change.adopt.mapping import Decisions, read_mapping
from materia_data.change.adopt.outcome import outcome
from materia_data.change.adopt.result import Adopted
from materia_data.change.adopt.rows import keep_sheet, take
from materia_data.change.adopt.sheets import Sheet, read_sheets
from materia_data.change.adopt.trouble import AdoptError
from materia_data.materia import Materia

_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_LONGEST = 40


def adopt(materia: Materia, path: Path, *, mapping: Path | None = None, id: str = "", title: str = "") -> Adopted:
    """Read the file and say what of it goes where.

    mapping: a mapping file of an earlier run, whose decisions and answers stand; id, title: of the layer (default: of
    the mapping, else made from the file's name). Nothing is written. Raises AdoptError for what cannot be read.
    """
    decisions = read_mapping(mapping) if mapping else Decisions()
    id = id or decisions.id or _made_id(path)
    if not _ID.fullmatch(id) or len(id) > _LONGEST:
        raise AdoptError(
            f"{id} is no id. Take small letters a to z, digits and hyphens, a letter first: second-school."
        )
    identifier = Identifier(Lexicon(materia))
    desk = Desk(identifier, decisions, id)
    for sheet in read_sheets(path):
        row = _heading_row(identifier, sheet, decisions)
        if row is None:
            keep_sheet(desk, sheet)
        else:
            take(desk, sheet, row)
    if not desk.headed:
        raise AdoptError(
            f"{path}: no row of headings was found in the first rows of any sheet. Put "
            "headings over the columns, one of them for the names (Name, Pinyin, 药名 …), in the first 25 lines."
        )
    if not desk.subjects and not desk.unnamed and not desk.maybe:
        raise AdoptError(f"{path}: no medicinal was recognized in it. Is there a column with their names?")
    if not desk.subjects and not desk.maybe:
        names = ", ".join(sorted(desk.unnamed)[:3])
        raise AdoptError(
            f"{path}: no medicinal was recognized in it; the names begin with {names}. Is it the right column?"
        )
    return outcome(desk, path.name, title or decisions.title or f"{path.stem} as a layer")


def _heading_row(identifier: Identifier, sheet: Sheet, decisions: Decisions) -> int | None:
    told = decisions.headings.get(sheet.name)
    if told == 0:
        return None
    if told is not None and told in sheet.rows:
        return told
    known = heading_row(sheet, identifier.lexicon.fold)
    return row_above_names(sheet, lambda text: identifier.text(text).stated) if known is None else known


def _made_id(path: Path) -> str:
    words = re.findall(r"[a-z0-9]+", path.stem.casefold())
    made = "-".join(words)[:_LONGEST].strip("-")
    return made if _ID.fullmatch(made) else f"school-{made}".strip("-")[:_LONGEST]
