"""Verifying an archive: every file that is not what was released is named, and nothing unsafe is followed."""

import gzip
import io
import shutil
import subprocess
import sys
import tarfile
import zipfile
from collections.abc import Callable, Mapping
from hashlib import sha256
from pathlib import Path

import pytest

from materia_data.change.archive import write_archive
from materia_data.change.sums import sums_text
from materia_data.change.verify import verify

EPOCH = 1_764_028_800
FILES = {"datapackage/a.csv": b"id\n1\n", "datapackage/herbs/b.csv": "名\n半夏\n".encode(), "CHANGES.md": b"# new\n"}


def sums(files: Mapping[str, bytes]) -> bytes:
    return sums_text({name: sha256(content).hexdigest() for name, content in files.items()}).encode()


def archive(folder: Path, files: Mapping[str, bytes], said: Mapping[str, bytes] = FILES) -> Path:
    """An archive with the files, and the checksums of `said`."""
    path = folder / "demo-0.1.0.tar.gz"
    write_archive(path, "demo-0.1.0", {**files, "SHA256SUMS": sums(said)}, EPOCH)
    return path


def found(path: Path) -> set[tuple[str, str]]:
    return {(one.file, one.kind) for one in verify(path).findings}


def test_an_archive_as_it_was_released(tmp_path: Path) -> None:
    """Nothing is wrong with it, and every file was looked at."""
    result = verify(archive(tmp_path, FILES))
    assert result.findings == () and result.files == len(FILES)


def test_what_differs_is_missing_or_extra_is_named(tmp_path: Path) -> None:
    """Each such file is named, and no other."""
    files = {**FILES, "datapackage/a.csv": b"id\n2\n", "more.csv": b""}
    del files["CHANGES.md"]
    top = "demo-0.1.0/"
    assert found(archive(tmp_path, files)) == {
        (f"{top}datapackage/a.csv", "differs"),
        (f"{top}CHANGES.md", "missing"),
        (f"{top}more.csv", "extra"),
    }


def _tar(path: Path, *members: tuple[tarfile.TarInfo, bytes]) -> Path:
    with tarfile.open(path, "w:gz") as made:
        for info, content in members:
            info.size = len(content)
            made.addfile(info, io.BytesIO(content))
    return path


def _sums_member(files: Mapping[str, bytes]) -> tuple[tarfile.TarInfo, bytes]:
    return tarfile.TarInfo("demo/SHA256SUMS"), sums(files)


UNSAFE = ("../evil", "demo/../../evil", "/etc/evil", "demo/./a", "demo//a", "demo\\..\\evil", "c:/evil", "demo/a\nb")


@pytest.mark.parametrize("name", UNSAFE)
def test_a_path_out_of_the_folder(name: str, tmp_path: Path) -> None:
    """It is told as unsafe in a tar and in a zip, and nothing is written anywhere."""
    made = _tar(tmp_path / "a.tar.gz", _sums_member({}), (tarfile.TarInfo(name), b"x"))
    assert found(made) == {(name, "unsafe")}
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as zipped:
        zipped.writestr("demo/SHA256SUMS", b"")
        zipped.writestr(zipfile.ZipInfo(name), b"x")
    assert found(tmp_path / "a.zip") == {(name, "unsafe")}
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["a.tar.gz", "a.zip"]


@pytest.mark.parametrize("kind", [tarfile.SYMTYPE, tarfile.LNKTYPE, tarfile.FIFOTYPE, tarfile.CHRTYPE])
def test_a_link_or_a_device(kind: bytes, tmp_path: Path) -> None:
    """It is told as unsafe, even under a name that the checksums name."""
    info = tarfile.TarInfo("demo/a")
    info.type, info.linkname = kind, "/etc/passwd"
    assert ("demo/a", "unsafe") in found(_tar(tmp_path / "a.tar.gz", _sums_member({"a": b""}), (info, b"")))


def test_a_link_in_a_zip_or_a_folder(tmp_path: Path) -> None:
    """Links in a zip and in a release folder are unsafe too."""
    info = zipfile.ZipInfo("demo/a")
    info.external_attr = 0o120777 << 16
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as zipped:
        zipped.writestr("demo/SHA256SUMS", b"")
        zipped.writestr(info, "/etc/passwd")
    assert found(tmp_path / "a.zip") == {("demo/a", "unsafe")}
    folder = tmp_path / "folder"
    folder.mkdir()
    (folder / "SHA256SUMS").write_bytes(b"")
    (folder / "a").symlink_to("/etc/passwd")
    assert found(folder) == {("a", "unsafe")}


def test_one_name_twice(tmp_path: Path) -> None:
    """Of two files of one name, which unpackers differ on, the second is unsafe."""
    twice = [(tarfile.TarInfo("demo/a"), b"good"), (tarfile.TarInfo("demo/a"), b"evil")]
    assert found(_tar(tmp_path / "a.tar.gz", _sums_member({"a": b"good"}), *twice)) == {("demo/a", "unsafe")}


def _bomb(path: Path) -> Path:
    """128 MiB of zeros in 128 KiB."""
    block = bytes(1 << 20)
    info = tarfile.TarInfo("demo/zeros")
    info.size = 1 << 27
    with gzip.open(path, "wb", 9) as packed:
        packed.write(info.tobuf())
        for _ in range(1 << 7):
            packed.write(block)
    return path


def _zip_bomb(path: Path) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as zipped, zipped.open("demo/zeros", "w") as made:
        for _ in range(128):
            made.write(bytes(1 << 20))
    return path


@pytest.mark.parametrize("make", [_bomb, _zip_bomb])
def test_a_bomb_is_not_read_to_its_end(make: Callable[[Path], Path], tmp_path: Path) -> None:
    """What unpacks to hundreds of times its size is refused after a few megabytes."""
    path = make(tmp_path / ("a.zip" if make is _zip_bomb else "a.tar.gz"))
    (finding,) = verify(path).findings
    assert finding.kind == "unreadable" and "fill the disk" in finding.message


def test_damage_anywhere_is_found(tmp_path: Path) -> None:
    """Cut short, or with one byte changed in the middle, the archive is no longer whole; nothing is raised."""
    path = archive(tmp_path, FILES)
    raw = path.read_bytes()
    for at in range(0, len(raw), 7):
        path.write_bytes(raw[:at])
        assert verify(path).findings, at
    for at in range(12, len(raw), 7):
        path.write_bytes(raw[:at] + bytes([raw[at] ^ 0x55]) + raw[at + 1 :])
        assert verify(path).findings, at


@pytest.mark.parametrize("raw", [b"", b"no archive", b"PK\x05\x06" + bytes(18), b"\x1f\x8b"])
def test_no_archive(raw: bytes, tmp_path: Path) -> None:
    """What is no archive, or an empty one, is not whole."""
    (tmp_path / "a.tar.gz").write_bytes(raw)
    assert verify(tmp_path / "a.tar.gz").findings


def test_a_folder_and_the_archives_in_it(tmp_path: Path) -> None:
    """SHA256SUMS of a folder is compared, as `sha256sum -c` does, and archives are looked into."""
    path = archive(tmp_path, {**FILES, "more.csv": b""})
    (tmp_path / "SHA256SUMS").write_bytes(sums({path.name: path.read_bytes()}))
    done = subprocess.run(["sha256sum", "-c", "--strict", "SHA256SUMS"], cwd=tmp_path, capture_output=True, check=False)
    assert done.returncode == 0
    assert found(tmp_path) == {(f"{path.name}: demo-0.1.0/more.csv", "extra")}
    shutil.copy(archive(tmp_path, FILES), tmp_path / "copy")
    assert (path.name, "differs") in found(tmp_path) and ("copy", "extra") in found(tmp_path)
    assert (path.name, "differs") in found(path)


def test_a_wheel_is_compared_with_its_record(tmp_path: Path) -> None:
    """A wheel built by hatchling is whole by its RECORD; a changed, an added and a missing file are named."""
    (tmp_path / "demo_package").mkdir()
    (tmp_path / "demo_package/__init__.py").write_text("VALUE = 1\n", encoding="utf-8")
    (tmp_path / "pyproject.toml").write_text(
        '[build-system]\nrequires = ["hatchling"]\nbuild-backend = "hatchling.build"\n'
        '[project]\nname = "demo-package"\nversion = "1"\n', encoding="utf-8"
    )  # fmt: skip
    build = [sys.executable, "-P", "-m", "hatchling", "build", "-t", "wheel", "-d", "dist"]
    subprocess.run(build, cwd=tmp_path, check=True, capture_output=True)
    (wheel,) = (tmp_path / "dist").glob("*.whl")
    assert verify(wheel).findings == ()
    with zipfile.ZipFile(wheel) as old, zipfile.ZipFile(tmp_path / wheel.name, "w") as new:
        for name in old.namelist():
            if not name.endswith("/WHEEL"):
                new.writestr(name, old.read(name) + (b"x" if name.endswith("__init__.py") else b""))
        new.writestr("evil.py", b"")
    kinds = {(file.rpartition("/")[2], kind) for file, kind in found(tmp_path / wheel.name)}
    assert kinds == {("__init__.py", "differs"), ("evil.py", "extra"), ("WHEEL", "missing")}
