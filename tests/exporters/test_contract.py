"""The exporters that come with the package keep the contract that outsiders are held to, and the contract can fail."""

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

import pytest

from materia_data import Materia
from materia_data.exporting.trial import ODD_TEXTS, odd_package, small_package
from materia_data.materia import load
from materia_data.read.structure import check_structure
from materia_data.testing import Caution, cautions_of, exporter_keeps_contract
from tests.exporters.outputs import cautions_in_jsonld, cautions_in_monographs, cautions_in_parquet

READERS: dict[str, Callable[[Path], Iterable[Caution]]] = {
    "jsonld": cautions_in_jsonld,
    "monographs": cautions_in_monographs,
    "parquet": cautions_in_parquet,
}


@pytest.mark.parametrize("name", READERS)
def test_built_in_exporters_keep_the_contract(name: str, tmp_path: Path) -> None:
    """Each is run by name, in processes of its own, and read back with another library than it was written with."""
    exporter_keeps_contract(name, tmp_path, read_back=READERS[name])


def test_the_packages_tried_are_valid_and_odd(tmp_path: Path) -> None:
    """Odd is not broken: the reader finds nothing wrong with either package."""
    for make in (small_package, odd_package):
        package = load(make(tmp_path / make.__name__)).package
        assert [*package.problems, *check_structure(package)] == []
    names = package.tables["herbs"].columns["name_en"]
    assert set(names) <= set(ODD_TEXTS) and len(set(names)) > 3


def _good(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    lines = [f"{one.subject} {one.state} {one.topic} {one.target}" for one in sorted(cautions_of(materia), key=str)]
    (out / "list.txt").write_text("\n".join([materia.release_id, *lines]), encoding="utf-8")


def _forgets_the_release(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    _good(materia, out, options)
    text = (out / "list.txt").read_text(encoding="utf-8")
    (out / "list.txt").write_text(text.replace(materia.release_id, ""), encoding="utf-8")


def _forgets_one_caution(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    _good(materia, out, options)
    lines = (out / "list.txt").read_text(encoding="utf-8").split("\n")
    (out / "list.txt").write_text("\n".join(lines[:-1]), encoding="utf-8")


def _softens_one_caution(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    _good(materia, out, options)
    text = (out / "list.txt").read_text(encoding="utf-8")
    (out / "list.txt").write_text(text.replace("contraindicated", "caution", 1), encoding="utf-8")


def _names_the_folder(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    _good(materia, out, options)
    (out / "where.txt").write_text(str(out), encoding="utf-8")


def _writes_beside(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    _good(materia, out, options)
    (out.parent / "extra.txt").write_text("x", encoding="utf-8")


def _writes_into_the_data(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    _good(materia, out, options)
    (materia.package.root / "cache.bin").write_bytes(b"x")


def _writes_a_link(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    _good(materia, out, options)
    (out / "data").symlink_to(materia.package.root)


def _writes_raw_html(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    _good(materia, out, options)
    names = materia.package.tables["herbs"].columns["name_en"]
    (out / "index.html").write_text(f"<ul>{''.join(f'<li>{name}</li>' for name in names)}</ul>", encoding="utf-8")


def _writes_raw_markdown(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    _good(materia, out, options)
    (out / "index.md").write_text("\n".join(materia.package.tables["herbs"].columns["name_en"]), encoding="utf-8")


def _writes_nothing(materia: Materia, out: Path, options: Mapping[str, str]) -> None:
    pass


BROKEN = {
    _forgets_the_release: "states the release",
    _forgets_one_caution: "no line carries 1 of",
    _softens_one_caution: "no line carries 1 of",
    _names_the_folder: "where.txt is not the same twice",
    _writes_beside: "outside of its folder",
    _writes_into_the_data: "changed the data",
    _writes_a_link: "no plain file",
    _writes_raw_html: "came alive",
    _writes_raw_markdown: "comes alive",
    _writes_nothing: "wrote no file",
}


def _with_summary(function: Any) -> Any:
    function.summary = "a list for a test"
    return function


def test_a_plain_list_keeps_the_contract(tmp_path: Path) -> None:
    """A function is enough: it needs no installation to be tried."""
    exporter_keeps_contract(_with_summary(_good), tmp_path)


@pytest.mark.parametrize("broken", BROKEN, ids=lambda function: function.__name__.lstrip("_"))
def test_each_broken_word_is_found_and_named(broken: Any, tmp_path: Path) -> None:
    """The same list, broken in one way, fails with a sentence that says how."""
    with pytest.raises(AssertionError, match=BROKEN[broken]):
        exporter_keeps_contract(_with_summary(broken), tmp_path)


def test_a_reader_that_finds_too_much_fails_too(tmp_path: Path) -> None:
    """A caution that does not hold is as wrong as one that is missing."""

    def one_more(out: Path) -> set[Caution]:
        lines = (out / "list.txt").read_text(encoding="utf-8").split("\n")[1:]
        found = {Caution(parts[0], parts[2], parts[3], parts[1]) for parts in (line.split(" ") for line in lines)}
        return found | {Caution("gan-cao", "driving", "", "contraindicated")}

    with pytest.raises(AssertionError, match="states, though it does not hold"):
        exporter_keeps_contract(_with_summary(_good), tmp_path, read_back=one_more)
