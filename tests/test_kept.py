"""What is kept between runs: the same answers as without it, and nothing taken from where it should not be."""

import os
import pickle
import shutil
from pathlib import Path

import pytest

from materia_data import kept, load
from materia_data.kept import open_kept
from materia_data.materia import Materia
from tests.little import little
from tests.ruletext import rule

RULE = rule(
    when="flavor:pungent",
    expect="nature:warm",
    explains="flavor:pungent",
    holds=["flavor:pungent and nature:warm"],
    breaks=["flavor:pungent"],
    strength="tends",
)


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty cache folder of our own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "materia-data"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    return little(tmp_path / "package", rules={"demo.toml": RULE})


def pickles(cache: Path) -> list[Path]:
    return sorted(cache.glob("*.pickle"))


def everything(materia: Materia) -> object:
    facts = {subject: materia.facts.of(subject) for subject in materia.facts.subjects}
    measures = [(rule.id, measure.sentence, measure.base_sentence, measure.lift) for rule, measure in materia.measured]
    return facts, measures, materia.release_id, list(materia), materia.match("flavor:pungent and nature:..cool")


class Refused:
    """Stands for what must not be read: unpickling it fails the test."""

    def __reduce__(self) -> tuple[object, tuple[str]]:
        return pytest.fail, ("what was kept by somebody else was read",)


def test_what_is_read_back_is_what_load_gives(cache: Path, data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Facts, measures, release, ids and matches, the first time and the second; the second builds nothing."""
    right = everything(load(data))
    assert everything(open_kept(data)) == right
    (file,) = pickles(cache)
    monkeypatch.setattr(kept, "load", lambda path: pytest.fail("the files were read again"))
    assert everything(open_kept(data)) == right
    assert pickles(cache) == [file]


def test_the_shipped_data_read_back_alike(cache: Path) -> None:
    """Every fact of the shipped package, too."""
    right = everything(load())
    assert everything(open_kept()) == right == everything(open_kept())


@pytest.mark.parametrize("name", ["herbs/herbs.csv", "rules/demo.toml", "datapackage.json"])
def test_a_changed_file_is_read_again(cache: Path, data: Path, name: str) -> None:
    """One byte more in a table, a rule file or the descriptor makes another key."""
    open_kept(data)
    path = data / name
    path.write_bytes(path.read_bytes() + (b"# more\n" if name.endswith("toml") else b"\n"))
    open_kept(data)
    assert len(pickles(cache)) == 2


def test_a_changed_cell_is_seen_at_once(cache: Path, data: Path) -> None:
    """A caution made stricter is never answered from before."""
    assert open_kept(data).match("caution:contraindicated[topic:pregnancy]") == [
        "demo-root",
        "demo-root.sheng",
        "demo-root.zhi",
    ]
    path = data / "herbs" / "cautions.csv"
    text = path.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if line.startswith("demo-leaf,pregnancy"))
    path.write_text(text.replace(line, line.replace("caution,", "contraindicated,", 1)), encoding="utf-8", newline="\n")
    assert "demo-leaf" in open_kept(data).match("caution:contraindicated[topic:pregnancy]")


def test_a_changed_module_makes_another_key(
    cache: Path, data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What other code kept is not read: the key holds size and time of every module and schema."""
    copy = tmp_path / "code" / "materia_data"
    shutil.copytree(Path(kept.__file__).parent, copy, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(kept, "__file__", str(copy / "kept.py"))
    open_kept(data)
    module = copy / "facts" / "inherit.py"
    module.write_text(module.read_text(encoding="utf-8") + "# changed\n", encoding="utf-8")
    open_kept(data)
    assert len(pickles(cache)) == 2
    os.utime(module, ns=(1, 1))
    open_kept(data)
    assert len(pickles(cache)) == 3


@pytest.mark.parametrize("bytes_", [b"", b"nonsense", b"\x80\x05.", pickle.dumps((1, 2)), pickle.dumps("text")])
def test_a_broken_file_is_passed_over_and_replaced(cache: Path, data: Path, bytes_: bytes) -> None:
    """Whatever is wrong with it, the data themselves are read."""
    right = everything(open_kept(data))
    (file,) = pickles(cache)
    file.write_bytes(bytes_)
    assert everything(open_kept(data)) == right
    assert file.read_bytes() != bytes_


def test_a_file_cut_short_is_passed_over(cache: Path, data: Path) -> None:
    """Half a file is no file."""
    right = everything(open_kept(data))
    (file,) = pickles(cache)
    file.write_bytes(file.read_bytes()[: file.stat().st_size // 2])
    assert everything(open_kept(data)) == right


@pytest.mark.parametrize("mode", [0o777, 0o770, 0o702])
def test_a_folder_that_others_may_write_is_not_read(cache: Path, data: Path, mode: int) -> None:
    """A file somebody else could have put there is never unpickled, and nothing is left there."""
    open_kept(data)
    (file,) = pickles(cache)
    file.write_bytes(pickle.dumps(Refused()))
    before = file.read_bytes()
    cache.chmod(mode)
    assert open_kept(data).match("nature:cold") == ["demo-kelp"]
    assert file.read_bytes() == before


@pytest.mark.parametrize("whose", ["folder", "file"])
def test_what_belongs_to_somebody_else_is_not_read(
    cache: Path, data: Path, monkeypatch: pytest.MonkeyPatch, whose: str
) -> None:
    """Nor a folder or a file of another owner, whatever its mode."""
    open_kept(data)
    (file,) = pickles(cache)
    file.write_bytes(pickle.dumps(Refused()))
    if os.getuid() == 0:
        os.chown(cache if whose == "folder" else file, 12345, -1)
    else:
        monkeypatch.setattr(os, "getuid", lambda: 12345)
    assert open_kept(data).match("nature:cold") == ["demo-kelp"]


def test_what_is_kept_is_for_its_owner_alone(cache: Path, data: Path) -> None:
    """Nobody else may read or write folder and file, and nothing half written is left."""
    open_kept(data)
    assert cache.stat().st_mode & 0o777 == 0o700
    assert [path.stat().st_mode & 0o777 for path in cache.iterdir()] == [0o600]


def test_no_more_than_eight_are_kept(cache: Path, data: Path) -> None:
    """The oldest go first."""
    path = data / "datapackage.json"
    for _ in range(10):
        path.write_bytes(path.read_bytes() + b"\n")
        open_kept(data)
    assert len(pickles(cache)) == 8


def test_a_folder_that_cannot_be_made_is_no_trouble(
    tmp_path: Path, data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where nothing can be kept, the data are read each time."""
    (tmp_path / "blocked").write_text("a file where the folder would be", encoding="utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "blocked"))
    assert open_kept(data).match("nature:cold") == open_kept(data).match("nature:cold") == ["demo-kelp"]


def test_a_package_that_is_not_there_is_told_as_load_tells_it(cache: Path, tmp_path: Path) -> None:
    """FileNotFoundError, and nothing is kept."""
    with pytest.raises(FileNotFoundError, match="There is no folder"):
        open_kept(tmp_path / "nowhere")
    assert pickles(cache) == []


def test_two_copies_of_the_same_data_do_not_answer_for_each_other(cache: Path, data: Path, tmp_path: Path) -> None:
    """A problem found in one copy must not name the files of the other."""
    shutil.copytree(data, tmp_path / "copy")
    first, second = open_kept(data), open_kept(tmp_path / "copy")
    assert (first.package.root, second.package.root) == (data, tmp_path / "copy")
    assert open_kept(tmp_path / "copy").package.root == tmp_path / "copy"
