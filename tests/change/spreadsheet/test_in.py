"""Spreadsheets that come back: verdicts, and what is put into the package."""

import csv
import json
import shutil
import sys
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from materia_data import load
from materia_data.check.run import check
from materia_data.cli import main
from materia_data.exporting.trial import small_package
from materia_data.places import schema_root
from tests.change.spreadsheet.hands import Desk, the, verdicts
from tests.little import little

COLLATED = {"source": "demo-book", "locator": "page 3", "basis": "collated"}


def cells_of(package: Path, file: str) -> dict[str, dict[str, str]]:
    """The rows of a file by the value of their first column, read with the csv library."""
    with (package / file).open(encoding="utf-8", newline="") as source:
        return {next(iter(row.values())): row for row in csv.DictReader(source)}


@pytest.mark.parametrize("by", ["table", "category"])
def test_untouched_means_byte_identical(by: str, little_package: Path) -> None:
    """A spreadsheet that openpyxl opened and saved changes no byte of the package, not even with apply."""
    desk = Desk(little_package, by, whole=True)
    before = desk.bytes()
    with desk.open():
        pass
    back = desk.bring_in(apply=True)
    assert not back.cells and not back.damages and not back.beside and back.settled and back.untouched > 200
    assert desk.bytes() == before


@pytest.mark.parametrize("by", ["table", "category"])
def test_accepted_cells_are_written_and_no_other_byte(by: str, little_package: Path) -> None:
    """Each accepted cell stands in its file; every other line is as it was, odd quotes too."""
    path = little_package / "teaching/aids.csv"
    path.write_text(path.read_text(encoding="utf-8") + '"demo-seed-aid",demo-seed,image,"Sweet."\n', encoding="utf-8")
    desk = Desk(little_package, by)
    before = desk.bytes()
    with desk.open() as book:
        sheet = book.book["aids" if by == "table" else "clear-heat"]
        (cell,) = (cell for row in sheet.iter_rows() for cell in row if str(cell.value).startswith("A leaf in"))
        cell.value = "=A leaf, cool @ heart"
        cell.data_type = "s"
    back = desk.bring_in(apply=True)
    assert verdicts(back) == {("aids", "demo-leaf-aid", "text"): "accepted"} and back.settled
    assert back.written == ("teaching/aids.csv",)
    changed = [name for name, data in desk.bytes().items() if data != before[name]]
    assert changed == [str(path)]
    lines = path.read_text(encoding="utf-8").split("\n")
    assert lines[1:] == ['demo-leaf-aid,demo-leaf,image,"=A leaf, cool @ heart"',
                         '"demo-seed-aid",demo-seed,image,"Sweet."', ""]  # fmt: skip


_TEXT = st.tuples(st.sampled_from("=+-@'ā木🌿 "), st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"])))


@settings(max_examples=3, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(texts=st.lists(_TEXT, min_size=30, max_size=60))
def test_any_text_goes_out_and_comes_back_as_it_was(texts: list[tuple[str, str]], tmp_path: Path) -> None:
    """Whatever a cell begins with and holds, it leaves and returns the same, through openpyxl too."""
    shutil.rmtree(tmp_path / "one", ignore_errors=True)
    rows = [
        {"id": f"aid-{number}", "subject": "demo-leaf", "text": "".join(text).strip() or "x"}
        for number, text in enumerate(texts)
    ]
    desk = Desk(little(tmp_path / "one" / "package", aids=rows), "category")
    with desk.open():
        pass
    assert not desk.bring_in().cells


def test_a_cell_that_breaks_a_rule_is_refused_by_its_name(little_package: Path) -> None:
    """An unknown term, a range that runs backwards and a reference to nothing are refused as the check says; what
    stands beside them is accepted."""
    desk = Desk(little_package)
    with desk.open() as book:
        book.set("herbs", "demo-leaf", "nature", "cooll")
        book.set("herbs", "demo-leaf", "note", "A leaf.")
        book.set("doses", "demo-seed|decoction|day|adult|", "min", "20")
        book.set("forms", "demo-root.zhi", "herb", "demo-rot")
    back = desk.bring_in(apply=True)
    assert {(cell.column, cell.verdict, cell.rule) for cell in back.cells} == {
        ("nature", "refused", "unknown-term"),
        ("note", "accepted", ""),
        ("min", "refused", "dose-range-order"),
        ("herb", "refused", "dangling-reference"),
    }
    nature = the(back, "nature")
    assert "cool" in nature.tip and (nature.sheet, nature.cell) == ("herbs", "O3") and not back.settled
    assert cells_of(little_package, "herbs/herbs.csv")["demo-leaf"]["note"] == "A leaf."
    assert cells_of(little_package, "herbs/herbs.csv")["demo-leaf"]["nature"] == "cool"


def test_what_is_accepted_is_sound_together(little_package: Path) -> None:
    """After apply the check finds no error that it did not find before, though some corrections were refused."""
    desk = Desk(little_package)
    with desk.open() as book:
        book.add("herbs", id="demo-bark", name_hans="示例皮", name_hant="示例皮", pinyin="shì lì pí",
                 name_en="demo bark", category="clear-heat", status="current", nature="colld",
                 basis="common-practice")  # fmt: skip
        book.add("aids", id="demo-bark-aid", subject="demo-bark", kind="image", text="Bark.")
        book.set("contrasts", "demo-contrast", "shared", "Both bite.")
    back = desk.bring_in(apply=True)
    assert {cell.verdict for cell in back.cells if cell.record.startswith("demo-bark")} == {"refused"}
    assert the(back, "shared").verdict == "accepted"
    assert [p for p in check(load(little_package)).problems if p.severity == "error"] == []


def test_an_error_that_stood_before_is_nobodys_fault(tmp_path: Path) -> None:
    """A package with an error of its own takes corrections; the error is not laid at the door of the cell beside it."""
    package = little(tmp_path / "package", herbs=[{"id": "demo-leaf", "nature": "cooll"}])
    desk = Desk(package)
    with desk.open() as book:
        book.set("herbs", "demo-leaf", "note", "A leaf.")
    assert verdicts(desk.bring_in()) == {("herbs", "demo-leaf", "note"): "accepted"}


def test_an_error_far_from_its_cause_is_traced_by_trying(tmp_path: Path) -> None:
    """Taking out a term breaks the rows that use it; the row taken out is refused, the other corrections are not."""
    desk = Desk(little(tmp_path / "package"))
    with desk.open() as book:
        book.remove("indications", "cough")
        book.set("contrasts", "demo-contrast", "shared", "Both bite.")
        book.set("aids", "demo-leaf-aid", "text", "A leaf.")
    assert verdicts(desk.bring_in()) == {
        ("indications", "cough", ""): "refused",
        ("contrasts", "demo-contrast", "shared"): "accepted",
        ("aids", "demo-leaf-aid", "text"): "accepted",
    }


def test_a_new_value_needs_a_source_of_its_own(tmp_path: Path) -> None:
    """Where the row says that it was read in a source, a new value alone claims too much; with a new source or another
    basis in the same row it is accepted. Prose is nobody's word."""
    package = little(tmp_path / "package", herbs=[{"id": "demo-seed", **COLLATED}])
    desk = Desk(package)
    with desk.open() as book:
        book.set("herbs", "demo-seed", "flavors", "sweet;bland")
        book.set("herbs", "demo-seed", "note", "A seed.")
    back = desk.bring_in(apply=True)
    assert the(back, "flavors").verdict == "needs-source" and the(back, "note").verdict == "accepted"
    assert "demo-book, page 3" in the(back, "flavors").reason and "same row" in the(back, "flavors").reason
    assert cells_of(package, "herbs/herbs.csv")["demo-seed"]["flavors"] == "sweet"
    with desk.open() as book:
        book.set("herbs", "demo-seed", "locator", "page 4")
    assert the(desk.bring_in(), "flavors").verdict == "accepted"
    with desk.open() as book:
        book.set("herbs", "demo-seed", "locator", "page 3")
        for column, value in (("basis", "common-practice"), ("source", ""), ("locator", "")):
            book.set("herbs", "demo-seed", column, value)
    assert set(verdicts(desk.bring_in()).values()) == {"accepted"}


def test_a_citation_that_speaks_for_the_cell_is_changed_with_it(tmp_path: Path) -> None:
    """A citation without a value of its own would vouch for the new value; changed beside it, all is well."""
    citation = {"about_table": "herbs", "record": "demo-seed", "column": "flavors", "source": "demo-book"}
    cited = [{**citation, "locator": "page 3", "basis": "collated"}]
    desk = Desk(little(tmp_path / "package", citations=cited))
    with desk.open() as book:
        book.set("herbs", "demo-seed", "flavors", "sweet;bland")
    assert the(desk.bring_in(), "flavors").verdict == "needs-source"
    with desk.open() as book:
        mark = next(cell.value for cell in book.book["citations"]["A"] if str(cell.value).startswith("herbs|demo-seed"))
        book.remove("citations", mark)
    assert set(verdicts(desk.bring_in()).values()) == {"accepted"}


def test_a_source_waits_for_the_value_that_it_was_given_for(little_package: Path) -> None:
    """A source that came with a refused value would else vouch for the old one."""
    desk = Desk(little_package)
    with desk.open() as book:
        book.set("herbs", "demo-seed", "nature", "warmish")
        for column, value in COLLATED.items():
            book.set("herbs", "demo-seed", column, value)
    back = desk.bring_in(apply=True)
    assert {cell.verdict for cell in back.cells} == {"refused"} and not back.written
    assert the(back, "basis").rule == "row-waits"


def test_a_source_waits_for_a_value_that_cannot_be_read_or_is_contested(little_package: Path) -> None:
    """So it does if the value came back as a number, or the package says a third thing."""
    desk = Desk(little_package)
    with desk.open() as book:
        for record in ("demo-seed", "demo-kelp"):
            for column, value in COLLATED.items():
                book.set("herbs", record, column, value)
        book.set("herbs", "demo-seed", "nature", 5)
        book.set("herbs", "demo-kelp", "nature", "cool")
    path = little_package / "herbs/herbs.csv"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(",cold,salty", ",very-cold,salty"), encoding="utf-8")
    back = desk.bring_in(apply=True)
    assert verdicts(back)["herbs", "demo-seed", "nature"] == "other-type"
    assert verdicts(back)["herbs", "demo-kelp", "nature"] == "both-changed"
    assert {cell.rule for cell in back.cells if cell.column in COLLATED} == {"row-waits"} and not back.written


def test_changed_on_both_sides(little_package: Path) -> None:
    """Where the package has moved on since, the other cells are taken over and the contested one is not."""
    desk = Desk(little_package)
    with desk.open() as book:
        book.set("contrasts", "demo-contrast", "shared", "Both bite.")
        book.set("aids", "demo-leaf-aid", "text", "A leaf.")
        book.set("pairs", "demo-pair", "effect", "Together they go.")
    for file, old, new in (
        ("relations/contrasts.csv", "Both are pungent.", "Both smell."),
        ("relations/pairs.csv", "Together they clear heat without chilling the center.", "Together they go."),
    ):
        path = little_package / file
        path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    back = desk.bring_in(apply=True)
    assert (the(back, "shared").verdict, the(back, "shared").now) == ("both-changed", "Both smell.")
    assert the(back, "text").verdict == "accepted" and back.written == ("teaching/aids.csv",)
    assert the(back, "effect").reason == "The package says so already."
    assert [damage.kind for damage in back.damages] == ["other-release"] and "left with release" in back.damages[0].what


def test_loosening_safety_needs_the_ledger(little_package: Path) -> None:
    """A weaker caution, a lost one and a higher dose loosen safety; named in loosenings they are accepted; tightening
    needs nothing."""
    desk = Desk(little_package)
    with desk.open() as book:
        book.set("cautions", "demo-root|pregnancy|", "state", "caution")
        book.remove("cautions", "demo-kelp|condition|thyroid-disease")
        book.set("doses", "demo-seed|decoction|day|adult|", "max", "30")
        book.set("cautions", "demo-leaf|pregnancy|", "state", "avoid")
    back = desk.bring_in(apply=True)
    loose = {cell.record.split("|")[0] for cell in back.cells if cell.verdict == "loosens-safety"}
    assert loose == {"demo-root", "demo-kelp", "demo-seed"}
    assert verdicts(back)["cautions", "demo-leaf|pregnancy|", "state"] == "accepted"
    tip = next(cell.tip for cell in back.cells if cell.record.startswith("demo-root"))
    subject, predicate, qualifiers, was, now, *_ = next(csv.reader([tip.partition("loosenings.csv: ")[2]]))
    desk.file.unlink()
    desk = Desk(little_package)
    with desk.open() as book:
        book.set("cautions", "demo-root|pregnancy|", "state", "caution")
        book.add("loosenings", subject=subject, predicate=predicate, qualifiers=qualifiers, was=was, now=now,
                 reason="The standard was revised.", source="demo-standard", by="editor",
                 on_date="2026-01-01")  # fmt: skip
    assert set(verdicts(desk.bring_in()).values()) == {"accepted"}


def test_new_rows_are_judged_whole(little_package: Path) -> None:
    """A sound new row goes into its sorted place; one with a wrong cell stays out, each cell saying why."""
    desk = Desk(little_package)
    with desk.open() as book:
        book.add("names", subject="demo-kelp", name="demo weed", lang="en", kind="trade")
        book.add("names", subject="demo-kelp", name="demo wrack", lang="en", kind="nickname")
        book.add("names", subject="demo-root", name="示例根块", lang="zh-Hans", kind="trade")
    back = desk.bring_in(apply=True)
    by_name = {cell.after: cell for cell in back.cells}
    assert by_name["demo weed"].verdict == "accepted"
    assert (by_name["nickname"].verdict, by_name["nickname"].rule) == ("refused", "unknown-term")
    assert by_name["demo wrack"].rule == "row-waits" and "kind" in by_name["demo wrack"].reason
    assert by_name["示例根块"].rule == "duplicate-key"
    lines = (little_package / "herbs/names.csv").read_text(encoding="utf-8").split("\n")
    assert lines[1] == "demo-kelp,demo weed,en,trade," and len(lines) == 5


def test_a_copied_row_with_another_key_is_a_new_row(little_package: Path) -> None:
    """Copying a row to begin another one is how people add; a row whose mark was wiped out is known by its key."""
    desk = Desk(little_package)
    with desk.open() as book:
        sheet, row = book.book["names"], book.row("names", "demo-leaf|demo mint|en")
        for at in range(1, sheet.max_column + 1):
            sheet.cell(sheet.max_row + (at == 1), at).value = sheet.cell(row, at).value
        sheet.cell(sheet.max_row, book.column("names", "name")).value = "demo leafmint"
        sheet.cell(row, 1).value = None
    back = desk.bring_in()
    assert {cell.record for cell in back.cells} == {"demo-leaf|demo leafmint|en"} and not back.damages
    assert {cell.verdict for cell in back.cells} == {"accepted"}


def test_whole_rows_may_be_sorted_and_columns_moved(little_package: Path) -> None:
    """Rows are known by their mark and columns by their header, so another order is no change."""
    desk = Desk(little_package)
    with desk.open() as book:
        sheet = book.book["channels"]
        rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=2, max_row=13)]
        for number, values in enumerate(reversed(rows), 2):
            for at, value in enumerate(values, 1):
                sheet.cell(number, at).value = value
        for row in range(1, 14):
            a, b = sheet.cell(row, 4), sheet.cell(row, 5)
            a.value, b.value = b.value, a.value
    back = desk.bring_in()
    assert not back.cells and not back.damages


def test_the_verdict_stands_beside_the_cell_in_words_and_with_a_note(little_package: Path) -> None:
    """In the copy each changed cell has its word to the right, with a note, and a list of all comes first."""
    desk = Desk(little_package)
    with desk.open() as book:
        book.set("herbs", "demo-leaf", "nature", "cooll")
        book.set("herbs", "demo-kelp", "note", "Kelp.")
        book.set("cautions", "demo-root|pregnancy|", "state", "caution")
    back = desk.bring_in()
    assert Path(back.beside).name == "corrections.verdicts.xlsx"
    copy = openpyxl.load_workbook(back.beside)
    assert copy.sheetnames == ["verdicts", "cautions", "herbs"]
    for table, value, word in (("herbs", "cooll", "REFUSED"), ("herbs", "Kelp.", "ACCEPTED"),
                               ("cautions", "caution", "LOOSENS SAFETY")):  # fmt: skip
        cell = next(
            c for row in copy[table].iter_rows() for c in row if c.value == value and c.offset(0, 1).value == word
        )
        beside = cell.offset(0, 1)
        assert beside.comment and beside.fill.fgColor.rgb not in ("00000000", None)
        assert word.capitalize() in beside.comment.text
    listed = [cell.value for cell in copy["verdicts"]["A"]]
    assert {"REFUSED", "ACCEPTED", "LOOSENS SAFETY"} <= set(listed)
    assert main(["spreadsheet", "in", back.beside, "--data", str(little_package)]) == 2


@pytest.mark.parametrize("library", ["xlsxwriter", "openpyxl"])
def test_a_missing_library_is_named_with_the_command(
    library: str, little_package: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without the library the message says what to install."""
    desk = Desk(little_package)
    for name in [name for name in sys.modules if name.split(".")[0] == library]:
        monkeypatch.setitem(sys.modules, name, None)
    way, file = ("out", "new.xlsx") if library == "xlsxwriter" else ("in", desk.file.name)
    words = ["spreadsheet", way, str(desk.file.with_name(file)), "--data", str(little_package)]
    assert main(words) == 2
    assert "pip install 'materia-data[spreadsheet]'" in capsys.readouterr().err


def test_exit_codes_and_report(little_package: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """0 untouched or accepted, 1 refused or questioned, 2 no spreadsheet; the JSON has a verdict a cell."""
    desk = Desk(little_package)
    words = ["spreadsheet", "in", str(desk.file), "--data", str(little_package)]
    assert main(words) == 0
    with desk.open() as book:
        book.set("herbs", "demo-kelp", "note", "Kelp.")
    assert main(words) == 0
    assert "--apply writes what is accepted" in capsys.readouterr().out
    with desk.open() as book:
        book.set("herbs", "demo-leaf", "nature", "cooll")
    assert main([*words, "--format", "json"]) == 1
    found = json.loads(capsys.readouterr().out)
    schema = json.loads((schema_root() / "results" / "spreadsheet.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema).validate(found)
    assert [(cell["column"], cell["verdict"]) for cell in found["cells"]] == [
        ("note", "accepted"),
        ("nature", "refused"),
    ]
    assert main(["spreadsheet", "in", str(desk.file.with_name("no.xlsx")), "--data", str(little_package)]) == 2
    assert main(["spreadsheet", "out", "x.xlsx", "--apply", "--data", str(little_package)]) == 2


def test_by_category_new_rows_go_under_their_header(little_package: Path) -> None:
    """In a sheet of a category the empty row under a header takes a new row of that table."""
    desk = Desk(little_package, "category")
    with desk.open() as book:
        sheet = book.book["warm-interior"]
        header = next(row for row in range(1, sheet.max_row) if sheet.cell(row, 1).value == "[handling]"
                      and sheet.cell(row + 1, 1).value is None)  # fmt: skip
        names = {sheet.cell(header, at).value: at for at in range(2, sheet.max_column + 1)}
        for column, value in (("subject", "demo-seed"), ("handling", "wrap"), ("force", "usual"),
                              ("basis", "common-practice")):  # fmt: skip
            sheet.cell(header + 1, names[column]).value = value
    back = desk.bring_in(apply=True)
    assert {cell.verdict for cell in back.cells} == {"accepted"} and back.written == ("herbs/handling.csv",)


def test_a_piece_of_the_curriculum_goes_out_by_category_and_comes_back(tmp_path: Path) -> None:
    """Medicinals and formulas cut out of the shipped data leave and return untouched."""
    desk = Desk(small_package(tmp_path / "package"), "category")
    back = desk.bring_in()
    assert not back.cells and not back.damages and back.untouched > 1000
