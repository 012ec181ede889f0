"""Putting a finished folder into place whole: whenever the process dies, the old output stands or can be put back.

In the folder OUT, the output NAME is made in `.NAME.new-…` and replaces the old one, which stands aside as `.NAME.old`
for that moment.
"""

import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def hold(out: Path) -> Iterator[None]:
    """Keep every other export out of the folder while this one runs. Raises BlockingIOError if one does."""
    try:
        import fcntl
    except ImportError:
        yield
        return
    handle = os.open(out, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    finally:
        os.close(handle)


def recover(out: Path, name: str) -> None:
    """Finish or undo what an export that died left in the folder."""
    final, aside = out / name, _aside(out, name)
    if aside.is_dir() and not final.exists():
        aside.rename(final)
    _discard(aside, out, name)
    for left in out.glob(f".{name}.new-*"):
        shutil.rmtree(left, ignore_errors=True)


def begin(out: Path, name: str) -> Path:
    """A new empty folder beside the output, to make it in."""
    return Path(tempfile.mkdtemp(prefix=f".{name}.new-", dir=out))


def settle(made: Path, out: Path, name: str) -> None:
    """Make the folder `made` the output `name`, in place of the old one. All is on disk before anything is moved."""
    for folder, _, files in os.walk(made):
        for file in files:
            _flush(Path(folder) / file)
        _flush(Path(folder))
    final, aside = out / name, _aside(out, name)
    if final.exists():
        final.rename(aside)
    try:
        made.rename(final)
    except OSError:
        if aside.is_dir():
            aside.rename(final)
        raise
    _flush(out)
    _discard(aside, out, name)


def files_in(folder: Path) -> list[str]:
    """Paths of the files in the folder, with `/`, sorted. Raises ValueError for what is no plain file or folder."""
    found = []
    for path in folder.rglob("*"):
        mode = path.lstat().st_mode
        if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):
            raise ValueError(f"{path.relative_to(folder).as_posix()} is a link or a special file")
        if stat.S_ISREG(mode):
            found.append(path.relative_to(folder).as_posix())
    return sorted(found)


def _aside(out: Path, name: str) -> Path:
    return out / f".{name}.old"


def _discard(aside: Path, out: Path, name: str) -> None:
    """Remove an old output. Under its own name it is always whole, so it first takes a name that is never put back."""
    if aside.is_dir():
        shutil.rmtree(aside.rename(begin(out, name) / "old").parent, ignore_errors=True)


def _flush(path: Path) -> None:
    if os.name == "nt":
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
