"""A data package as it was: from a folder, a git revision, a wheel or a released archive."""

import subprocess
import tarfile
import zipfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory

from materia_data.materia import Materia, load

_DESCRIPTOR = "datapackage.json"
_LARGEST, _WHOLE = 16 * 1024 * 1024, 256 * 1024 * 1024
_SECONDS = 60


class VersionError(ValueError):
    """A version that cannot be opened: says which, why, and what may be named."""


@contextmanager
def open_version(name: str, *, beside: Path | None = None, layers: Sequence[str | Path] = ()) -> Iterator[Materia]:
    """The package that a name means, readable inside the `with`.

    name: a folder with datapackage.json or with a folder datapackage in it; a `.whl`, `.zip`, `.tar.gz` or `.tgz` that
    holds one; else a git revision of the repository that `beside` (else the current folder) stands in. Archives are
    read file by file: no link, no path out of the folder, no file over 16 MiB. layers: folders of layers to
    put over it. Raises VersionError, or LayerError as `load` does.
    """
    path = Path(name)
    if path.is_dir():
        root = path if (path / _DESCRIPTOR).is_file() else path / "datapackage"
        if not (root / _DESCRIPTOR).is_file():
            raise VersionError(f"{name} holds no {_DESCRIPTOR}. Name the folder of a data package.")
        yield load(root, layers)
        return
    with TemporaryDirectory(prefix="materia-") as temporary:
        root = Path(temporary)
        if path.is_file():
            _unpack(path, path.read_bytes(), root)
        else:
            _unpack_revision(name, beside or Path.cwd(), root)
        yield load(root, layers)


def _unpack(path: Path, raw: bytes, root: Path) -> None:
    if path.suffix in (".whl", ".zip"):
        members = _zipped(path, raw)
    elif path.name.endswith((".tar.gz", ".tgz", ".tar")):
        members = _tarred(path, raw)
    else:
        raise VersionError(f"{path} is no folder, wheel (.whl) or archive (.zip, .tar.gz) of a data package.")
    _write(path.name, members, root)


def _unpack_revision(revision: str, beside: Path, root: Path) -> None:
    folder = beside if beside.is_dir() else beside.parent
    if revision.startswith("-"):
        raise VersionError(f"{revision} is no revision.")
    top = _git(folder, "rev-parse", "--show-toplevel", missing=revision).decode().strip()
    tree = f"{revision}^{{tree}}"
    listed = _git(Path(top), "ls-tree", "-r", "--name-only", "-z", tree, missing=revision).decode("utf-8", "replace")
    found = sorted((name for name in listed.split("\0") if PurePosixPath(name).name == _DESCRIPTOR), key=len)
    if not found:
        raise VersionError(f"The revision {revision} holds no {_DESCRIPTOR}.")
    inside = found[0].removesuffix(_DESCRIPTOR)
    asked = ["archive", "--format=tar", revision, *([inside] if inside else [])]
    raw = _git(Path(top), *asked, missing=revision)
    _write(revision, _tarred(Path(revision), raw, plain=True), root)


def _git(folder: Path, *words: str, missing: str) -> bytes:
    try:
        done = subprocess.run(["git", *words], cwd=folder, capture_output=True, timeout=_SECONDS, check=False)
    except (OSError, subprocess.TimeoutExpired):
        raise VersionError(f"There is no folder or file {missing}, and git cannot be asked for a revision.") from None
    if done.returncode:
        raise VersionError(
            f"There is no folder or file {missing}, and no such git revision here. "
            "Name a folder, a wheel, an archive, or a revision such as v1.2.0 or HEAD."
        )
    return done.stdout


def _zipped(path: Path, raw: bytes) -> Iterator[tuple[str, bytes]]:
    try:
        with zipfile.ZipFile(BytesIO(raw)) as archive:
            whole = 0
            for info in archive.infolist():
                whole += info.file_size
                if info.is_dir() or info.external_attr >> 28 == 0xA:
                    continue
                if info.file_size > _LARGEST or whole > _WHOLE:
                    raise VersionError(f"{path}: {info.filename} is too large for a data package.")
                yield info.filename, archive.read(info)
    except (zipfile.BadZipFile, OSError, RuntimeError, NotImplementedError) as error:
        raise VersionError(f"{path} cannot be read as an archive: {error}.") from None


def _tarred(path: Path, raw: bytes, *, plain: bool = False) -> Iterator[tuple[str, bytes]]:
    try:
        with tarfile.open(fileobj=BytesIO(raw), mode="r:" if plain else "r:*") as archive:
            whole = 0
            for member in archive:
                whole += member.size
                if not member.isreg():
                    continue
                if member.size > _LARGEST or whole > _WHOLE:
                    raise VersionError(f"{path}: {member.name} is too large for a data package.")
                stream = archive.extractfile(member)
                yield member.name, stream.read() if stream else b""
    except (tarfile.TarError, OSError, EOFError) as error:
        raise VersionError(f"{path} cannot be read as an archive: {error}.") from None


def _write(name: str, members: Iterator[tuple[str, bytes]], root: Path) -> None:
    """Write what stands beside the first, topmost descriptor, below the root."""
    files = {PurePosixPath(member): content for member, content in members}
    tops = sorted((path for path in files if path.name == _DESCRIPTOR), key=lambda path: (len(path.parts), str(path)))
    if not tops:
        raise VersionError(f"{name} holds no {_DESCRIPTOR}.")
    top = tops[0].parent
    for path, content in files.items():
        if top in path.parents and ".." not in path.parts and not path.is_absolute():
            target = root / path.relative_to(top)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
