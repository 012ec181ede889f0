"""Files that are missing, unknown, empty, too large or no files at all."""

import os
from pathlib import Path

import pytest

from materia_data.places import data_root
from materia_data.read.package import read_package
from materia_data.read.schema import table_schemas
from tests.little import little
from tests.read.damage import change, only, place, verdict


def test_a_small_valid_package_has_no_problem(little_package: Path) -> None:
    """The package that other tests damage is sound."""
    assert verdict(little_package) == []


def test_the_shipped_package_has_no_problem() -> None:
    """What we ship passes its own reader."""
    assert verdict(data_root()) == []


def test_every_table_has_a_table_without_its_file(tmp_path: Path) -> None:
    """A folder without any table gives a package whose tables are all empty, and one problem a file."""
    package = read_package(tmp_path)
    assert all(len(table) == 0 for table in package.tables.values())
    assert {problem.file for problem in package.problems} == {schema.path for schema in table_schemas().values()}
    assert {problem.rule for problem in package.problems} == {"missing-file"}


def test_a_folder_that_is_not_there_is_one_problem(tmp_path: Path) -> None:
    """A wrong path is said once, not once a table."""
    assert place(only(tmp_path / "nowhere")) == (".", 0, "", "missing-folder")


def test_a_missing_table_is_said_and_its_references_are_not_judged(little_package: Path) -> None:
    """One missing vocabulary does not make every term unknown."""
    (little_package / "terms/flavors.csv").unlink()
    problem = only(little_package)
    assert place(problem) == ("terms/flavors.csv", 0, "", "missing-file")
    assert "id,broader,name_en" in problem.tip


def test_a_missing_descriptor_is_said(little_package: Path) -> None:
    """datapackage.json belongs to the package."""
    (little_package / "datapackage.json").unlink()
    assert place(only(little_package)) == ("datapackage.json", 0, "", "missing-file")


@pytest.mark.parametrize(
    ("name", "tip"),
    [("herbs/herb.csv", "herbs/herbs.csv"), ("notes.txt", "Take it out"), ("rules/old/softening.toml", "Take it out")],
)
def test_an_unknown_file_is_said_with_the_nearest_name(little_package: Path, name: str, tip: str) -> None:
    """A misspelled file name gets the right one as a tip."""
    (little_package / name).parent.mkdir(exist_ok=True, parents=True)
    (little_package / name).write_text("id\n")
    problem = only(little_package)
    assert place(problem) == (name, 0, "", "unknown-file")
    assert tip in problem.tip


def test_a_misspelled_table_is_both_missing_and_unknown(little_package: Path) -> None:
    """Both ends of a wrong name are said."""
    (little_package / "herbs/doses.csv").rename(little_package / "herbs/dose.csv")
    assert [place(problem) for problem in verdict(little_package)] == [
        ("herbs/dose.csv", 0, "", "unknown-file"),
        ("herbs/doses.csv", 0, "", "missing-file"),
    ]


@pytest.mark.parametrize("content", [b"", b"\n", b"\n\n\n", b"\xef\xbb\xbf"])
def test_an_empty_table_file_is_said_at_line_one(little_package: Path, content: bytes) -> None:
    """A file without a header is not a table without rows."""
    (little_package / "teaching/aids.csv").write_bytes(content)
    assert ("teaching/aids.csv", 1, "", "empty-file") in [place(problem) for problem in verdict(little_package)]


def test_a_table_with_a_header_alone_is_a_table_without_rows(little_package: Path) -> None:
    """No rows is no problem."""
    header = (little_package / "teaching/aids.csv").read_text(encoding="utf-8").split("\n")[0]
    (little_package / "teaching/aids.csv").write_text(header + "\n", encoding="utf-8")
    assert verdict(little_package) == []


@pytest.mark.parametrize("text", ["", "\n", "  \n\n"])
def test_an_empty_rule_file_is_said(tmp_path: Path, text: str) -> None:
    """A rule file without a rule cannot be meant."""
    problem = only(little(tmp_path, rules={"softening.toml": text}))
    assert place(problem) == ("rules/softening.toml", 1, "", "empty-file")


def test_rule_files_come_as_text_by_file_name(tmp_path: Path) -> None:
    """The reader hands rule files on unparsed."""
    package = read_package(little(tmp_path, rules={"b.toml": "# two\n", "a.toml": "# one\n"}))
    assert package.rules == {"a.toml": "# one\n", "b.toml": "# two\n"}
    assert package.problems == []


def test_a_rule_file_in_another_encoding_is_said_and_not_handed_on(tmp_path: Path) -> None:
    """Rules in GBK would be rules about other words."""
    folder = little(tmp_path, rules={"softening.toml": "# x\n"})
    (folder / "rules/softening.toml").write_bytes("# 软坚散结\n".encode("gbk"))
    assert place(only(folder)) == ("rules/softening.toml", 1, "", "not-utf-8")
    assert read_package(folder).rules == {}


def test_a_rule_file_may_have_256_kib_and_no_more(tmp_path: Path) -> None:
    """The limit of semantics.md §4."""
    folder = little(tmp_path, rules={"large.toml": "#" * (256 * 1024 - 1) + "\n"})
    assert verdict(folder) == []
    (folder / "rules/large.toml").write_text("#" * (256 * 1024) + "\n")
    problem = only(folder)
    assert place(problem) == ("rules/large.toml", 0, "", "oversized-file")
    assert "256 KiB" in problem.message


def test_a_table_of_more_than_16_mib_is_refused_unread(little_package: Path) -> None:
    """The limit of design.md §7."""
    with (little_package / "teaching/aids.csv").open("r+b") as file:
        file.truncate(16 * 1024 * 1024 + 1)
    problem = only(little_package)
    assert place(problem) == ("teaching/aids.csv", 0, "", "oversized-file")
    assert "16 MiB" in problem.message


@pytest.mark.parametrize("target", ["/etc/passwd", "herbs.csv", "nowhere"])
def test_a_link_is_refused_wherever_it_leads(little_package: Path, target: str) -> None:
    """Not even a link inside the package is followed."""
    (little_package / "herbs/aids.csv").symlink_to(target)
    assert place(only(little_package)) == ("herbs/aids.csv", 0, "", "not-a-plain-file")


def test_a_linked_table_is_refused_and_not_called_missing(little_package: Path, tmp_path: Path) -> None:
    """The problem is the link."""
    (little_package / "teaching/aids.csv").rename(tmp_path / "aids.csv")
    (little_package / "teaching/aids.csv").symlink_to(tmp_path / "aids.csv")
    assert place(only(little_package)) == ("teaching/aids.csv", 0, "", "not-a-plain-file")
    assert len(read_package(little_package).tables["aids"]) == 0


def test_a_linked_folder_is_not_entered(little_package: Path, tmp_path: Path) -> None:
    """A link in the place of a folder costs the folder's tables."""
    (little_package / "teaching").rename(tmp_path / "teaching")
    (little_package / "teaching").symlink_to(tmp_path / "teaching")
    found = [place(problem) for problem in verdict(little_package)]
    assert ("teaching", 0, "", "not-a-plain-file") in found
    assert ("teaching/units.csv", 0, "", "missing-file") in found


def test_a_pipe_is_refused_without_waiting_for_it(little_package: Path) -> None:
    """Opening a pipe would wait for a writer for ever."""
    (little_package / "teaching/aids.csv").unlink()
    os.mkfifo(little_package / "teaching/aids.csv")
    assert place(only(little_package)) == ("teaching/aids.csv", 0, "", "not-a-plain-file")


def test_a_folder_in_the_place_of_a_table_is_a_missing_file(little_package: Path) -> None:
    """A folder holds no rows."""
    (little_package / "teaching/aids.csv").unlink()
    (little_package / "teaching/aids.csv").mkdir()
    assert place(only(little_package)) == ("teaching/aids.csv", 0, "", "missing-file")


def test_a_folder_of_thousands_of_files_is_not_read_to_the_end(little_package: Path) -> None:
    """Somebody pointed at the wrong folder."""
    (little_package / "much").mkdir()
    for number in range(1001):
        (little_package / f"much/{number}.csv").touch()
    assert (".", 0, "", "too-many-files") in [place(problem) for problem in verdict(little_package)]


def test_folders_nested_without_end_are_not_followed(little_package: Path) -> None:
    """Five folders deep there is no table."""
    (little_package / "a/b/c/d/e/f").mkdir(parents=True)
    assert place(only(little_package))[3] == "unknown-file"


def test_schemas_in_the_descriptor_are_not_believed(little_package: Path) -> None:
    """The installed code's schemas judge the cells, whatever the package's own descriptor says."""
    change(little_package, "herbs/species.csv", "whole-herb,official", "whole-herb,invented")
    text = (little_package / "datapackage.json").read_text(encoding="utf-8").replace('"official"', '"invented"')
    (little_package / "datapackage.json").write_text(text, encoding="utf-8")
    assert {problem.rule for problem in verdict(little_package)} == {"outdated-descriptor", "unknown-term"}
