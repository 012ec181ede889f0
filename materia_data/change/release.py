"""Releasing: checked data become a folder of archives with checksums, whole or not at all, the same bytes anywhere."""

import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from materia_data.change.archive import write_archive
from materia_data.change.changelog import entry, with_entry
from materia_data.change.diff import Diff, diff
from materia_data.change.sums import FILE as SUMS
from materia_data.change.sums import file_sha256, sums_text
from materia_data.change.verify import verify
from materia_data.change.versions import VersionError, open_version
from materia_data.change.write import CannotWrite, lock, write_all, write_whole
from materia_data.check.ledger import unreadable_safety
from materia_data.check.run import check
from materia_data.exporting.listing import Exporter
from materia_data.exporting.place import begin, recover, settle
from materia_data.exporting.run import TIME_LIMIT, CannotExport, Output, export
from materia_data.materia import Materia, load
from materia_data.problem import Problem
from materia_data.read.descriptor import FILE, released
from materia_data.read.digest import digest
from materia_data.read.pending import place
from materia_data.read.schema import table_schemas

NAME = "materia-data"
CHANGES = "CHANGES.md"
_VERSION = re.compile(r"(0|[1-9][0-9]{0,8})\.(0|[1-9][0-9]{0,8})\.(0|[1-9][0-9]{0,8})")
_STANDS = re.compile(r'"version": "[^"]*",\n(?:  "released": "[0-9a-f]{64}",\n)?')
_EARLIEST = date(1980, 1, 1)


class ReleaseError(ValueError):
    """Nothing was released: says why, and what to do. problems: errors of the check, if it was those."""

    def __init__(self, message: str, problems: Sequence[Problem] = ()) -> None:
        super().__init__(message)
        self.problems = tuple(problems)


@dataclass(frozen=True, slots=True)
class Release:
    """What was released, or would be.

    since: the last release, empty for the first; bump: the step that the changes call for, why: what calls for it;
    signed_off: in words; changelog: the entry; folder: where it stands, files: what stands there, both empty if nothing
    was written; state: released, finished (what a stopped run had begun), or planned.
    """

    version: str
    since: str
    on: str
    bump: str
    why: str
    signed_off: str
    changelog: str
    state: str
    folder: str
    files: tuple[str, ...]


def release(
    materia: Materia,
    version: str,
    *,
    out: Path,
    changelog: Path,
    on: date,
    exporters: Sequence[Exporter],
    since: str = "",
    write: bool = True,
    timeout: float = TIME_LIMIT,
    step: Callable[[str], None] = lambda said: None,
) -> Release:
    """Check the data, compare them with the last release, and make `out/VERSION`; then set the data version.

    since: the last release as `open_version` takes it, by default the newest in `out`; on: the day of the release,
    which everything made is dated by; exporters: those to run; write: false to tell what would be done; step: told of
    each step. Raises ReleaseError or CannotWrite: nothing was released.
    """
    new = _version(version)
    if on < _EARLIEST:
        raise ReleaseError(f"{on} is before 1980, the earliest day that an archive can hold.")
    out, root = out.absolute(), materia.package.root.resolve()
    if out.resolve().is_relative_to(root):
        raise ReleaseError(f"{out} is inside the data package. Name a folder outside of it.")
    with ExitStack() as held:
        if write:
            try:
                out.mkdir(parents=True, exist_ok=True)
            except OSError as error:
                raise CannotWrite(f"{out} cannot be made: {(error.strerror or str(error)).lower()}.") from None
            held.enter_context(lock(out))
            try:
                recover(out, version)
            except OSError as error:
                raise CannotWrite(f"{out} cannot be written to: {(error.strerror or str(error)).lower()}.") from None
        if (out / version).exists():
            return _finished(materia, version, out / version, changelog, write)
        old = _last(materia, new, since, out, held)
        found = diff(old, materia) if old else None
        if found and old:
            _large_enough(found, _version(old.package.version), new)
        step("checking")
        _checked(materia, old, version, on)
        text = entry(old, materia, version, on, found)
        told = Release(
            version, old.package.version if old else "", on.isoformat(), found.bump if found else "none",
            found.why if found else "it is the first release", materia.signed_off, text, "planned", "", (),
        )  # fmt: skip
        if not write:
            return told
        _make(materia, told, out, on, exporters, timeout, step)
        return _settled(materia, told, out / version, changelog, "released")


def _version(text: str) -> tuple[int, int, int]:
    found = _VERSION.fullmatch(text)
    if not found:
        raise ReleaseError(f"{text} is no version. Write it as three whole numbers, such as 0.2.0.")
    return int(found[1]), int(found[2]), int(found[3])


def _last(materia: Materia, new: tuple[int, int, int], since: str, out: Path, held: ExitStack) -> Materia | None:
    """The last release, or None if there was none."""
    root = materia.package.root
    stamp = released(root)
    name = since or _newest(out)
    if not name:
        if stamp:
            raise ReleaseError(
                f"the data were last released as {materia.package.version}, and {out} does not hold that release. "
                f"Name it with --since: a tag such as v{materia.package.version}, an archive, or a folder."
            )
        if new < _version(materia.package.version):
            raise ReleaseError(f"the data say that they are {materia.package.version}; a release is not lower.")
        return None
    try:
        old = held.enter_context(open_version(name, beside=root.resolve()))
    except VersionError as error:
        raise ReleaseError(f"the last release cannot be opened: {error}") from None
    if problem := unreadable_safety(old):
        raise ReleaseError(f"{name} cannot be compared with: {problem.file}: {problem.message}")
    if stamp and digest(old.package.root) != stamp:
        raise ReleaseError(
            f"{name} is not the last release: the data were last released as {materia.package.version}, and the files "
            f"there are others. Name the right one with --since, such as a tag v{materia.package.version}."
        )
    if new <= _version(old.package.version):
        raise ReleaseError(f"the last release is {old.package.version}; the next one is higher than that.")
    return old


def _newest(out: Path) -> str:
    """The data archive of the highest version in the folder of releases."""
    found = []
    for folder in out.iterdir() if out.is_dir() else ():
        archive = folder / f"{NAME}-{folder.name}.tar.gz"
        if _VERSION.fullmatch(folder.name) and archive.is_file():
            found.append((_version(folder.name), str(archive)))
    return max(found)[1] if found else ""


def _large_enough(found: Diff, old: tuple[int, int, int], new: tuple[int, int, int]) -> None:
    """From 1.0.0 a major step moves the first number, a minor one the second. Below it both move at least the
    second, for the first is not yet a promise. Source: https://semver.org, 4 and 8."""
    if found.bump == "none":
        raise ReleaseError(f"nothing changed since {found.old}, so there is nothing to release.")
    kept = {"major": 1 if old[0] else 2, "minor": 2, "patch": 3}[found.bump]
    if new[:kept] <= old[:kept]:
        least = (*old[: kept - 1], old[kept - 1] + 1, 0, 0)[:3]
        raise ReleaseError(
            f"{_dotted(new)} is too small a step after {_dotted(old)}: the changes are {found.bump} "
            f"({found.why.rstrip('.')}). Release at least {_dotted(least)}."
        )


def _dotted(version: Sequence[int]) -> str:
    return ".".join(map(str, version))


def _checked(materia: Materia, old: Materia | None, version: str, on: date) -> None:
    report = check(materia, against=old, on=on, release=version)
    errors = [problem for problem in report.problems if problem.severity == "error"]
    if errors:
        number = f"{len(errors)} error{'' if len(errors) == 1 else 's'}"
        raise ReleaseError(f"the check finds {number}; nothing was released.", errors)


def _make(
    materia: Materia,
    told: Release,
    out: Path,
    on: date,
    exporters: Sequence[Exporter],
    timeout: float,
    step: Callable[[str], None],
) -> None:
    """Everything in a folder of its own, then in one step to its place."""
    epoch = int(datetime(on.year, on.month, on.day, tzinfo=UTC).timestamp())
    try:
        work = begin(out, told.version)
    except OSError as error:
        raise CannotWrite(f"{out} cannot be written to: {(error.strerror or str(error)).lower()}.") from None
    try:
        made, staged = work / "out", work / "datapackage"
        made.mkdir()
        _stage(materia, told.version, staged)
        (made / CHANGES).write_text(told.changelog, encoding="utf-8", newline="\n")
        step("exporting")
        for name, folder in _exported(load(staged), exporters, work / "exports", epoch, timeout):
            _archive(made, f"{NAME}-{told.version}-{name}", {"": folder}, {}, epoch)
        step("packing")
        loose = {CHANGES: told.changelog.encode("utf-8")} | _licences(materia)
        _archive(made, f"{NAME}-{told.version}", {"datapackage/": staged}, loose, epoch)
        _wheel(materia.package.root.resolve().parent, staged, work / "checkout", made, epoch)
        digests = {path.name: file_sha256(path) for path in made.iterdir()}
        (made / SUMS).write_text(sums_text(digests), encoding="utf-8", newline="\n")
        settle(made, out, told.version)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise CannotWrite(f"{out} cannot be written to: {why}. Nothing was released.") from None
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _stage(materia: Materia, version: str, target: Path) -> None:
    """A copy of the data as they will be: the version set, and the digest of the files beside it."""
    root = materia.package.root
    names = [schema.path for schema in table_schemas().values()] + [f"rules/{name}" for name in materia.package.rules]
    for name in (FILE, *names):
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        (target / name).write_bytes(place(root, name).read_bytes())
    if digest(target) != digest(root):
        raise ReleaseError("the data changed while they were released; run it again.")
    text = (target / FILE).read_text(encoding="utf-8")
    said = f'"version": "{version}",\n  "released": "{digest(target)}",\n'
    (target / FILE).write_text(_STANDS.sub(said, text, count=1), encoding="utf-8", newline="\n")


def _exported(
    data: Materia, exporters: Sequence[Exporter], folder: Path, epoch: int, timeout: float
) -> Iterator[tuple[str, Path]]:
    """Name and folder of each output. Raises ReleaseError if one failed."""
    dated = {"SOURCE_DATE_EPOCH": str(epoch)}
    try:
        outputs: list[Output] = export(data, exporters, folder, timeout=timeout, environment=dated)
    except CannotExport as error:
        raise ReleaseError(str(error)) from None
    for output in outputs:
        if output.state != "written":
            last = output.log.splitlines()[-1:] if output.log else []
            raise ReleaseError(f"the export {output.name} failed: {'; '.join([output.message, *last])}")
        yield output.name, Path(output.folder)


def _archive(made: Path, name: str, folders: Mapping[str, Path], loose: Mapping[str, bytes], epoch: int) -> None:
    files: dict[str, bytes | Path] = dict(loose)
    for inside, folder in folders.items():
        for path in folder.rglob("*"):
            if path.is_file():
                files[f"{inside}{path.relative_to(folder).as_posix()}"] = path
    digests = {path: _sha256(content) for path, content in files.items()}
    files[SUMS] = sums_text(digests).encode("utf-8")
    write_archive(made / f"{name}.tar.gz", name, files, epoch)


def _sha256(content: bytes | Path) -> str:
    from hashlib import sha256

    return file_sha256(content) if isinstance(content, Path) else sha256(content).hexdigest()


def _licences(materia: Materia) -> dict[str, bytes]:
    """The licence of the data, where it stands beside them."""
    path = materia.package.root.resolve().parent / "LICENSE-DATA"
    return {path.name: path.read_bytes()} if path.is_file() else {}


def _wheel(checkout: Path, data: Path, work: Path, made: Path, epoch: int) -> None:
    """The wheel of the code with these data in it, where the data stand in a checkout of the code; else nothing."""
    project = checkout / "pyproject.toml"
    if not project.is_file() or tomllib.loads(project.read_text(encoding="utf-8"))["project"]["name"] != NAME:
        return
    hidden = shutil.ignore_patterns(".*", "__pycache__", "*.pyc")
    for name in ("materia_data", "exporters/materia_exporters", "schemas"):
        shutil.copytree(checkout / name, work / name, ignore=hidden)
    shutil.copytree(data, work / "datapackage")
    for name in ("pyproject.toml", "README.md", "LICENSE", "LICENSE-DATA"):
        shutil.copy2(checkout / name, work / name)
    fixed = {"SOURCE_DATE_EPOCH": str(epoch), "TZ": "UTC", "PYTHONHASHSEED": "0"}
    command = [sys.executable, "-P", "-m", "hatchling", "build", "-t", "wheel", "-d", str(made)]
    done = subprocess.run(command, cwd=work, env=os.environ | fixed, capture_output=True, text=True, check=False)
    if done.returncode:
        missing = "No module named" in done.stderr
        tip = "Run: pip install hatchling" if missing else (done.stderr.strip().splitlines() or ["no reason given"])[-1]
        raise ReleaseError(f"the wheel cannot be built. {tip}")


def _finished(materia: Materia, version: str, folder: Path, changelog: Path, write: bool) -> Release:
    """Finish what a run began that was stopped after the folder was in its place; else say that it is released."""
    wrong = verify(folder).findings
    archive = folder / f"{NAME}-{version}.tar.gz"
    if wrong or not archive.is_file():
        raise ReleaseError(
            f"{folder} stands there and is not a whole release: see `materia verify {folder}`. Move it away."
        )
    with open_version(str(archive)) as made:
        same = digest(made.package.root) == digest(materia.package.root)
    if not same or (materia.package.version == version and released(materia.package.root)):
        raise ReleaseError(f"{version} is released already: {folder}. Take the next version.")
    text = (folder / CHANGES).read_text(encoding="utf-8")
    on = text.splitlines()[0].rpartition(", ")[2]
    told = Release(version, "", on, "none", "a stopped run had made it", materia.signed_off, text, "planned", "", ())
    return _settled(materia, told, folder, changelog, "finished") if write else told


def _settled(materia: Materia, told: Release, folder: Path, changelog: Path, state: str) -> Release:
    """The folder is in its place: say so in the changelog, then in the data, which is the last step."""
    root = materia.package.root
    files = tuple(sorted(path.name for path in folder.iterdir()))
    try:
        text = changelog.read_text(encoding="utf-8") if changelog.is_file() else ""
        write_whole(changelog, with_entry(text, told.changelog))
    except (OSError, UnicodeError) as error:
        why = (getattr(error, "strerror", "") or str(error)).lower()
        raise CannotWrite(
            f"{folder} is made, but {changelog} cannot be written to: {why}. Mend that and run this again: it goes on "
            "from there."
        ) from None
    stands = place(root, FILE).read_text(encoding="utf-8")
    said = f'"version": "{told.version}",\n  "released": "{digest(root)}",\n'
    write_all(root, {FILE: _STANDS.sub(said, stands, count=1)})
    return Release(
        told.version, told.since, told.on, told.bump, told.why, told.signed_off, told.changelog, state,
        str(folder), files,
    )  # fmt: skip
