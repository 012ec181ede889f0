"""PDF by typst. Text goes in as JSON beside a fixed template, so that nothing in the data is read as mark-up; the same
sheet gives the same bytes."""

import json
import os
import tempfile
from dataclasses import asdict
from pathlib import Path
from typing import Any

from materia_data.study.cards import Cards
from materia_data.study.document import STATE_WORDS, STATES, counted
from materia_data.study.fonts import FAMILY, PrintError, font_folder
from materia_data.study.sheet import Sheet

PAPERS = {"a4": "a4", "letter": "us-letter"}
_DATED = 1577836800
_TEMPLATES = Path(__file__).parent / "typst"


def sheet_pdf(sheet: Sheet, *, key: bool = False, sheet_too: bool = True, paper: str = "a4") -> bytes:
    """The sheet, its key after it or alone. paper: a4 or letter. PrintError: typst or the typeface is not here."""
    depth = f", taught as {sheet.depth}" if sheet.depth else ""
    course = f" · course {sheet.course}" if sheet.course else ""
    return compiled("sheet", {
        "sheet": asdict(sheet), "title": sheet.title, "hans": sheet.name_hans, "key": key, "sheet-too": sheet_too,
        "about": f"{counted(len(sheet.members), 'member')}{depth}{course}",
        "foot": f"materia-data, release {sheet.release}, {sheet.signed}, {sheet.licence}",
    }, paper)  # fmt: skip


def cards_pdf(deck: Cards, *, paper: str = "a4") -> bytes:
    """Cards to cut, eight a leaf, a page of fronts and then their backs, to be printed on both sides and turned on the
    long edge. PrintError: typst or the typeface is not here, or a card holds more than fits at the smallest size."""
    foot = f"release {deck.release}, {deck.signed}, {deck.licence}"
    return compiled("cards", {"deck": asdict(deck), "title": deck.title, "foot": foot}, paper)


def compiled(template: str, data: dict[str, Any], paper: str) -> bytes:
    """A template of this room with its data as PDF/A-2b, tagged. Dated by SOURCE_DATE_EPOCH, else on a fixed day."""
    try:
        import typst
    except ImportError:
        raise PrintError(
            'a PDF needs typst: pip install "materia-data[study]". HTML and Markdown do without.'
        ) from None
    fonts = font_folder()
    given = data | {"paper": PAPERS[paper], "font": FAMILY, "words": STATE_WORDS, "states": STATES}
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "marks.typ").write_bytes((_TEMPLATES / "marks.typ").read_bytes())
        main = Path(folder) / f"{template}.typ"
        main.write_bytes((_TEMPLATES / main.name).read_bytes())
        (Path(folder) / f"{template}.json").write_text(json.dumps(given, ensure_ascii=False), encoding="utf-8")
        try:
            made: bytes = typst.compile(
                str(main), root=folder, font_paths=[str(fonts)], ignore_system_fonts=True,
                timestamp=int(epoch) if epoch.isdigit() else _DATED, pdf_standards=["a-2b"],
            )  # fmt: skip
        except typst.TypstError as error:
            said = str(error).removeprefix("panicked with: ").strip('"')
            raise PrintError(f"this cannot be printed: {said}. HTML and Markdown or CSV can be written.") from None
    return made
