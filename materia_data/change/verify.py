"""Whether a released archive, a wheel or a release folder holds exactly the files that its checksums name."""

import base64
import binascii
import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from materia_data.change.archive import UnsafeArchive, read_archive
from materia_data.change.sums import FILE, file_sha256, read_sums

_RECORD = "RECORD"
_ARCHIVES = (".tar.gz", ".tgz", ".zip", ".whl")


@dataclass(frozen=True, slots=True)
class Finding:
    """What is wrong with one file. kind: differs, missing, extra, unsafe (a link, or a path out of the folder), or
    unreadable (then of the archive as a whole)."""

    file: str
    kind: str
    message: str


@dataclass(frozen=True, slots=True)
class Verified:
    """What was found. files: how many were compared; findings: what is wrong, none if all is as it was released."""

    archive: str
    files: int
    findings: tuple[Finding, ...]


def verify(path: Path) -> Verified:
    """Compare every file with the checksums that came with it; nothing is unpacked or run.

    path: a `.tar.gz` or `.zip` with SHA256SUMS, a wheel, which has its RECORD, or a release folder, whose archives are
    looked into as well. A SHA256SUMS beside an archive is asked for the archive itself. Raises FileNotFoundError.
    """
    if path.is_dir():
        return _folder(path)
    if not path.is_file():
        raise FileNotFoundError(f"There is no file or folder {path}.")
    files, findings = _archive(path)
    beside = path.parent / FILE
    if beside.is_file():
        named = _sums(beside.read_bytes(), FILE, findings)
        if path.name in named and named[path.name] != file_sha256(path):
            findings.append(Finding(path.name, "differs", f"it is not the file that {FILE} beside it names"))
    return Verified(str(path), files, tuple(findings))


def _folder(path: Path) -> Verified:
    findings: list[Finding] = []
    if not (path / FILE).is_file():
        missing = Finding(FILE, "missing", "the folder has no checksums, so nothing can be compared")
        return Verified(str(path), 0, (missing,))
    named = _sums((path / FILE).read_bytes(), FILE, findings)
    found: dict[str, str] = {}
    for file in sorted(path.rglob("*")):
        name = file.relative_to(path).as_posix()
        if file.is_symlink() or not (file.is_dir() or file.is_file()):
            findings.append(Finding(name, "unsafe", "it is a link or a special file"))
        elif file.is_file() and name != FILE:
            found[name] = file_sha256(file)
    findings += _compared(named, found)
    files = len(found)
    for name in found:
        if name.endswith(_ARCHIVES):
            inside, wrong = _archive(path / name)
            files += inside
            findings += [Finding(f"{name}: {one.file}", one.kind, one.message) for one in wrong]
    return Verified(str(path), files, tuple(findings))


def _archive(path: Path) -> tuple[int, list[Finding]]:
    """How many files the archive holds beside its checksums, and what is wrong with them."""
    findings: list[Finding] = []
    found: dict[str, str] = {}
    sums: dict[str, bytes] = {}
    try:
        for member in read_archive(path, frozenset({FILE, _RECORD})):
            if member.unsafe:
                findings.append(Finding(member.name, "unsafe", member.unsafe))
            else:
                found[member.name] = member.digest
                if member.content or member.name.rpartition("/")[2] in (FILE, _RECORD):
                    sums[member.name] = member.content
    except UnsafeArchive as error:
        return len(found), [*findings, Finding(path.name, "unreadable", str(error))]
    wheel = path.suffix == ".whl"
    wanted = [name for name in sums if (name.endswith(f".dist-info/{_RECORD}") if wheel else name.endswith(f"/{FILE}"))]
    top = min(wanted, key=lambda name: (name.count("/"), name), default="")
    if not top:
        missing = Finding(_RECORD if wheel else FILE, "missing", "without checksums nothing can be compared")
        return len(found), [*findings, missing]
    del found[top]
    if wheel:
        named = _record(sums[top], top, findings)
    else:
        folder = top.removesuffix(FILE)
        named = {f"{folder}{name}": digest for name, digest in _sums(sums[top], top, findings).items()}
    return len(found), [*findings, *_compared(named, found)]


def _sums(raw: bytes, name: str, findings: list[Finding]) -> dict[str, str]:
    try:
        return read_sums(raw)
    except ValueError as error:
        findings.append(Finding(name, "unreadable", str(error)))
        return {}


def _record(raw: bytes, name: str, findings: list[Finding]) -> dict[str, str]:
    """A wheel's RECORD, itself left out. Source: https://packaging.python.org/specifications/binary-distribution-format/"""
    named = {}
    try:
        for file, digest, _ in csv.reader(raw.decode("utf-8").splitlines()):
            kind, _, text = digest.partition("=")
            if file == name:
                continue
            if kind != "sha256":
                raise ValueError(f"{file} has no sha256 digest")
            named[file] = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)).hex()
    except (ValueError, binascii.Error, csv.Error) as error:
        findings.append(Finding(name, "unreadable", f"it is no list of files: {error}"))
    return named


def _compared(named: Mapping[str, str], found: Mapping[str, str]) -> Iterator[Finding]:
    for name in sorted(named.keys() | found.keys()):
        if name not in found:
            yield Finding(name, "missing", "the checksums name it, and it is not there")
        elif name not in named:
            yield Finding(name, "extra", "the checksums do not name it")
        elif named[name] != found[name]:
            yield Finding(name, "differs", "its bytes are not those that were released")
