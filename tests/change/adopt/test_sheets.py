"""Reading files as schools send them: encodings and separators, and files that cannot be read."""

import io
import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook

from materia_data.change.adopt.adopt import adopt
from materia_data.change.adopt.sheets import read_sheets
from materia_data.change.adopt.trouble import AdoptError
from materia_data.materia import Materia

SIMPLE = [
    ["药名", "性味", "用量(g)", "孕妇"],
    ["麻黄", "辛、微苦，温", "2～10", "慎用"],
    ["黄芪", "甘，微温", "9-30", ""],
]
TRADITIONAL = [["藥名", "歸經", "劑量", "備註"], ["當歸", "肝、心、脾經", "6-12克", "濕盛中滿者慎用"]]


def _text(rows: list[list[str]], separator: str) -> str:
    return "".join(separator.join(f'"{cell}"' if separator in cell else cell for cell in row) + "\r\n" for row in rows)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize(
    ("encoding", "rows", "named"),
    [
        ("utf-8", SIMPLE, "UTF-8"),
        ("utf-8-sig", SIMPLE, "UTF-8 with a mark"),
        ("gbk", SIMPLE, "GBK"),
        ("gb18030", TRADITIONAL, "GBK"),
        ("big5", TRADITIONAL, "Big5"),
        ("utf-16", SIMPLE, "UTF-16"),
        ("utf-16-le", SIMPLE, "UTF-16"),
        ("utf-16-be", TRADITIONAL, "UTF-16"),
    ],
)
def test_any_common_encoding_and_separator_is_read(
    tmp_path: Path, encoding: str, separator: str, rows: list[list[str]], named: str
) -> None:
    """The same cells come back whatever the file is written in (Python's own codecs write it)."""
    path = tmp_path / "sheet.csv"
    path.write_bytes(_text(rows, separator).encode(encoding))
    (sheet,) = read_sheets(path)
    cells = [[cell.text for cell in sheet.rows[number]] for number in sorted(sheet.rows)]
    assert [cell for row in cells for cell in row if cell] == [
        cell.replace("，", ",").replace("～", "~").replace("（", "(").strip() for row in rows for cell in row if cell
    ]
    assert sheet.read_as.startswith(named)


def test_a_spreadsheet_keeps_its_row_numbers_and_names_what_was_damaged(tmp_path: Path) -> None:
    """Merged cells speak for all their rows; a date, a formula and a note are told, not taken for text."""
    from datetime import datetime

    from openpyxl.comments import Comment

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append([])
    sheet.append(["Category", "Herb", "Dose"])
    sheet.append(["Tonics", "黄芪", datetime(2024, 9, 3)])
    sheet.append([None, "党参", "=1+1"])
    sheet.merge_cells("A3:A4")
    sheet["B4"].comment = Comment("ask the supplier", "a teacher")
    book.save(tmp_path / "sheet.xlsx")
    (read,) = read_sheets(tmp_path / "sheet.xlsx")
    assert sorted(read.rows) == [2, 3, 4]
    assert read.rows[4][0].text == "Tonics"
    assert "date" in read.rows[3][2].damage and "formula" in read.rows[4][2].damage
    assert read.notes == ((4, 2, "ask the supplier"),)


def _zip(**files: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in files.items():
            archive.writestr(name.replace("__", "/").replace("_DOT_", "."), data)
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("empty.csv", b"", "is empty"),
        ("blank.csv", b" \n\n", "is empty"),
        ("commas.csv", b",,,\n,,,\n", "is empty"),
        ("old.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "old kind"),
        ("book.ods", _zip(mimetype=b"application/vnd.oasis.opendocument.spreadsheet"), "OpenDocument"),
        ("paper.pdf", b"%PDF-1.7\n", "is a PDF"),
        ("paper.csv", b"%PDF-1.7\n", "is a PDF"),
        ("web.xls", b"<html><table>", "web page"),
        ("macro.xlsm", _zip(xl__vbaProject_DOT_bin=b"x", xl__worksheets__sheet1_DOT_xml=b"x"), "macros"),
        ("words.docx", _zip(word__document_DOT_xml=b"x"), "not a spreadsheet"),
        ("broken.xlsx", b"PK\x03\x04broken", "damaged"),
        ("bad.xlsx", _zip(xl__worksheets__sheet1_DOT_xml=b"x"), "cannot be opened"),
        ("named.xlsx", "药名,用量\n".encode(), "not what its name says"),
        ("image.csv", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + bytes(range(256)), "Save it as"),
        ("big.csv", b"a,b\n" * (3 * 1024 * 1024), "larger than 10 MB"),
        ("prose.csv", b"Dear colleague,\nplease find the list.\n", "no row of headings"),
        ("bare.csv", "麻黄,辛,温\n桂枝,辛,温\n".encode(), "no row of headings"),
        ("fruit.csv", b"Name,Dose\nBicycle,3 g\nTractor,9 g\n", "no medicinal was recognized"),
    ],
)
def test_what_cannot_be_adopted_is_told_in_one_message(
    tmp_path: Path, shipped: Materia, name: str, data: bytes, said: str
) -> None:
    """Each wrong kind of file gets a sentence that names the file and says what to do."""
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(AdoptError, match=said) as error:
        adopt(shipped, path)
    assert name in str(error.value) and "\n" not in str(error.value)


def test_a_missing_file_names_its_neighbours(tmp_path: Path, shipped: Materia) -> None:
    """A slip in the name is answered with the sheets that are there."""
    (tmp_path / "shelf.csv").write_text("x", encoding="utf-8")
    with pytest.raises(AdoptError, match=r"shelf\.csv"):
        adopt(shipped, tmp_path / "shlef.csv")
