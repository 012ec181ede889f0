"""`materia study sheet|cards|schedule`: files that appear whole, and messages that say what to install or to ask."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from materia_data.cli import main
from materia_data.study import fonts


def said(capsys: pytest.CaptureFixture[str]) -> str:
    return capsys.readouterr().err


def test_files_are_written_as_their_endings_say(
    little_package: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """--out may be given several times; nothing but the files is left beside them."""
    out = tmp_path / "out"
    out.mkdir()
    data = ["--data", str(little_package)]
    names = [str(out / name) for name in ("s.md", "s.html", "s.pdf")]
    assert (
        main(["study", "sheet", "demo-unit", *data, "--blanks", "--key", *(w for n in names for w in ("--out", n))])
        == 0
    )
    names = [str(out / name) for name in ("c.csv", "c.html", "c.pdf")]
    assert main(["study", "cards", "demo-unit", *data, *(w for n in names for w in ("--out", n))]) == 0
    dates = ["--begins", "2027-02-01", "--exam", "2027-06-01", "--out", str(out / "d.csv")]
    assert main(["study", "schedule", "demo-course", *data, *dates]) == 0
    assert sorted(path.name for path in out.iterdir()) == [
        "c.csv",
        "c.html",
        "c.pdf",
        "d.csv",
        "s.html",
        "s.md",
        "s.pdf",
    ]
    assert (out / "s.pdf").read_bytes().startswith(b"%PDF-1.7") and not capsys.readouterr().out
    assert (out / "d.csv").stat().st_mode & 0o777 == (little_package / "datapackage.json").stat().st_mode & 0o777


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["sheet", "demo-unti"], "Did you mean demo-unit?"),
        (["sheet", "nature:very-hot"], "nothing to hand out"),
        (["sheet", "demo-unit", "--out", "sheet.docx"], "ends in none of .md, .html, .pdf"),
        (["sheet", "demo-unit", "--out", "no/such/folder.md"], "cannot be written"),
        (["sheet", "demo-unit", "--course", "demo-curse"], "Did you mean demo-course?"),
        (["cards", "demo-unti"], "Did you mean demo-unit?"),
        (["schedule", "demo-course", "--begins", "1 May", "--exam", "2027-06-01"], "Write it as 2027-02-01"),
        (["schedul"], "Did you mean schedule?"),
    ],
)
def test_trouble_is_one_message_and_code_2(
    words: list[str], says: str, little_package: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """What cannot be done says why and what is near, on stderr, without a traceback, and writes nothing."""
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.iterdir())
    assert main(["study", *words, *(["--data", str(little_package)] if len(words) > 1 else [])]) == 2
    captured = capsys.readouterr()
    assert says in captured.err and "Traceback" not in captured.err and not captured.out
    assert sorted(tmp_path.iterdir()) == before


def test_without_the_typeface_the_package_is_named(
    little_package: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """No Noto Sans CJK in any known folder: the message names the apt package, and an old file stays."""
    monkeypatch.setattr(fonts, "_FOLDERS", ())
    monkeypatch.setattr(shutil, "which", lambda name: None)
    old = tmp_path / "sheet.pdf"
    old.write_text("old")
    assert main(["study", "sheet", "demo-unit", "--data", str(little_package), "--out", str(old)]) == 2
    assert "apt-get install fonts-noto-cjk" in said(capsys) and old.read_text() == "old"


def test_without_typst_the_pip_command_is_named(
    little_package: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """No typst: the message says how to get it, and Markdown and HTML are written all the same."""
    monkeypatch.setitem(sys.modules, "typst", None)
    data = ["--data", str(little_package)]
    assert main(["study", "cards", "demo-unit", *data, "--out", str(tmp_path / "c.pdf")]) == 2
    assert 'pip install "materia-data[study]"' in said(capsys)
    assert main(["study", "sheet", "demo-unit", *data, "--out", str(tmp_path / "s.html")]) == 0


def test_json_has_the_sheet_section_by_section(little_package: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--format json prints one document, with safety before what is shared."""
    assert main(["study", "sheet", "demo-unit", "--data", str(little_package), "--format", "json"]) == 0
    document = json.loads(capsys.readouterr().out)
    ids = [section["id"] for section in document["sections"]]
    assert ids.index("safety") < ids.index("members") and document["members"] == ["demo-leaf"]


def test_a_sheet_loads_no_printer_until_it_prints(little_package: Path) -> None:
    """Markdown on the screen loads no typst."""
    words = ["study", "sheet", "demo-unit", "--data", str(little_package)]
    code = (
        f"import sys; from materia_data.cli import main; main({words!r});"
        "print([name for name in ('typst', 'pandas', 'pyarrow', 'mkdocs') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.rstrip().endswith("[]")
