"""Archives that are the same bytes wherever they are made, and are read without trusting what is in them."""

import gzip
import tarfile
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import IO, Any

_WHOLE, _MOST_FILES, _LONGEST = 2 * 1024**3, 100_000, 500
_FREE, _RATIO = 64 * 1024**2, 200
_KEPT = 16 * 1024**2
_BLOCK = 1 << 16


class UnsafeArchive(ValueError):
    """The archive cannot be read, or not safely, any further: says why."""


@dataclass(frozen=True, slots=True)
class Member:
    """One entry. name: as it stands in the archive, with `/`; digest: SHA-256 of its bytes, 64 hex digits; unsafe: why
    it must not be unpacked, then without a digest; content: its bytes, if they were asked for."""

    name: str
    digest: str
    unsafe: str = ""
    content: bytes = b""


def write_archive(target: Path, top: str, files: Mapping[str, bytes | Path], epoch: int) -> None:
    """A `.tar.gz` with the files under the folder `top`, in the order of their names.

    epoch: the time of everything in it [s since 1970]; owner and mode are fixed.
    """
    with (
        target.open("wb") as raw,
        gzip.GzipFile("", "wb", 9, raw, epoch) as packed,
        tarfile.open(fileobj=packed, mode="w", format=tarfile.PAX_FORMAT) as archive,
    ):
        for name in sorted(files):
            content = files[name]
            about = tarfile.TarInfo(f"{top}/{name}")
            about.mtime, about.mode = epoch, 0o644
            about.size = content.stat().st_size if isinstance(content, Path) else len(content)
            with content.open("rb") if isinstance(content, Path) else BytesIO(content) as stream:
                archive.addfile(about, stream)


def read_archive(path: Path, keep: frozenset[str]) -> Iterator[Member]:
    """Every file of a `.tar.gz`, `.zip` or wheel with its digest; nothing is unpacked.

    keep: last parts of the names whose bytes are wanted (at most 16 MiB each). A link, a device or a path that leads
    out of the folder is told in `unsafe`. Raises UnsafeArchive: damaged, or larger than any release: 2 GiB, 100,000
    files, or more than 200 times what is packed.
    """
    entries = _zipped(path) if zipfile.is_zipfile(path) else _tarred(path)
    seen: set[str] = set()
    try:
        for name, unsafe, stream in entries:
            if len(seen) >= _MOST_FILES:
                raise UnsafeArchive(f"it holds more than {_MOST_FILES} files")
            unsafe = unsafe or _astray(name) or ("it stands there twice" if name in seen else "")
            seen.add(name)
            if unsafe or stream is None:
                yield Member(name, "", unsafe or "it is no file")
                continue
            digest, content, wanted = sha256(), bytearray(), name.rpartition("/")[2] in keep
            while block := stream.read(_BLOCK):
                digest.update(block)
                if wanted:
                    content += block
                if len(content) > _KEPT:
                    raise UnsafeArchive(f"{name} is larger than {_KEPT // 2**20} MiB")
            yield Member(name, digest.hexdigest(), "", bytes(content))
    except (tarfile.TarError, zipfile.BadZipFile, zlib.error, OSError, EOFError, RuntimeError, NotImplementedError,
            UnicodeError, MemoryError, OverflowError) as error:  # fmt: skip
        raise UnsafeArchive(f"it is damaged: {str(error) or type(error).__name__}") from None


_Entry = tuple[str, str, Any]


def _tarred(path: Path) -> Iterator[_Entry]:
    with path.open("rb") as raw:
        limited: Any = _Limited(raw)
        with tarfile.open(fileobj=limited, mode="r|") as archive:
            for member in archive:
                if member.isdir():
                    continue
                unsafe = "" if member.isreg() and not member.issparse() else "it is a link or a special file"
                yield member.name, unsafe, None if unsafe else archive.extractfile(member)
        while limited.read(_BLOCK):
            pass


def _zipped(path: Path) -> Iterator[_Entry]:
    with zipfile.ZipFile(path) as archive:
        whole = 0
        for info in archive.infolist():
            if info.is_dir():
                continue
            whole += info.file_size
            _bounded(whole, path.stat().st_size)
            link = info.external_attr >> 28 not in (0, 8)
            if link:
                yield info.filename, "it is a link or a special file", None
                continue
            with archive.open(info) as stream:
                yield info.filename, "", stream


class _Limited:
    """What gzip unpacks, up to what a release can hold."""

    def __init__(self, raw: IO[bytes]) -> None:
        self._raw, self._stream, self._whole = raw, gzip.GzipFile(fileobj=raw, mode="rb"), 0

    def read(self, size: int) -> bytes:
        """Up to size bytes."""
        found = bytearray()
        while len(found) < size and (block := self._stream.read(min(_BLOCK, size - len(found)))):
            self._whole += len(block)
            _bounded(self._whole, self._raw.tell())
            found += block
        return bytes(found)


def _bounded(whole: int, packed: int) -> None:
    if whole > _WHOLE:
        raise UnsafeArchive(f"it unpacks to more than {_WHOLE // 2**30} GiB")
    if whole > _FREE and whole > _RATIO * max(packed, 1):
        raise UnsafeArchive(f"it unpacks to more than {_RATIO} times its size: it is made to fill the disk")


def _astray(name: str) -> str:
    parts = name.split("/")
    if name.startswith("/") or "\\" in name or ":" in parts[0] or any(part in ("", ".", "..") for part in parts):
        return "its path leads out of the folder"
    if len(name) > _LONGEST or not name.isprintable():
        return "its name is no file name"
    return ""
