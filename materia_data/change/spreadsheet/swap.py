"""Writing whole or not at all: one file, or several files of a package together, whatever moment the run dies at.

One file is made beside the old one and renamed over it. For several, the folder is made anew beside the old one, its
untouched files as links to the old ones, and the two change places in one step (`renameat2` with RENAME_EXCHANGE on
Linux). Where the system has no such step the old folder stands aside for a moment under a name of its own, and the next
run puts back what a run that died there left.
"""

import ctypes
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from materia_data.change.spreadsheet.trouble import SpreadsheetError

_HERE, _EXCHANGE = -100, 2


def write_file(path: Path, data: bytes) -> None:
    """Write one file whole or not at all. OSError: the old one, if any, is as it was."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".new", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        if path.exists():
            shutil.copymode(path, name)
        else:
            Path(name).chmod(0o666 & ~_umask())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    flush(path.parent)


def write_together(root: Path, files: Mapping[str, bytes]) -> None:
    """Write files of the package in the folder `root`, by path inside it: all of them or none. Raises OSError.

    To be called inside `alone(root)`. Files that are there already are replaced; nothing else changes.
    """
    root = root.resolve()
    if len(files) == 1:
        ((path, data),) = files.items()
        write_file(root / path, data)
        return
    if not files:
        return
    made = Path(tempfile.mkdtemp(prefix=f".{root.name}.new-", dir=root.parent))
    new = made / root.name
    try:
        _copy(root, new)
        for path, data in files.items():
            _fresh(root / path, new / path, data)
        for folder, _, _ in os.walk(new):
            flush(Path(folder))
        _exchange(new, root, made / "old")
        flush(root.parent)
    finally:
        shutil.rmtree(made, ignore_errors=True)


def recover(root: Path) -> None:
    """Put back, or clear away, what a run that died left beside the folder."""
    root = Path(os.path.abspath(root))  # noqa: PTH100 - resolve() would follow a folder that is gone for a moment
    for left in root.parent.glob(f".{root.name}.new-*"):
        aside = left / "old"
        if not root.exists() and aside.is_dir():
            aside.rename(root)
        shutil.rmtree(left, ignore_errors=True)


@contextmanager
def alone(root: Path) -> Iterator[None]:
    """Keep every other run from writing into the folder. SpreadsheetError: another is at it."""
    try:
        import fcntl
    except ImportError:
        recover(root)
        yield
        return
    handle = os.open(root, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise SpreadsheetError(
                f"another run is writing into {root}. Nothing was written; run it again when the other is done."
            ) from None
        if not os.path.samestat(os.fstat(handle), root.stat()):
            raise SpreadsheetError(f"another run has just written into {root}. Nothing was written; run it again.")
        recover(root)
        yield
    finally:
        os.close(handle)


def flush(path: Path) -> None:
    """Have a folder's entries on disk."""
    if os.name == "nt":
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _copy(old: Path, new: Path) -> None:
    """The same folder again, its files being links to the old ones where the system can, else copies."""

    def link(source: str, target: str) -> str:
        try:
            os.link(source, target, follow_symlinks=False)
        except OSError:
            shutil.copy2(source, target, follow_symlinks=False)
        return target

    shutil.copytree(old, new, symlinks=True, copy_function=link)


def _fresh(old: Path, new: Path, data: bytes) -> None:
    """Put a file of its own in the place of a link to the old one."""
    new.parent.mkdir(parents=True, exist_ok=True)
    new.unlink(missing_ok=True)
    with new.open("wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
    if old.exists():
        shutil.copymode(old, new)


def _exchange(new: Path, root: Path, aside: Path) -> None:
    if _exchanged(new, root):
        return
    root.rename(aside)
    try:
        new.rename(root)
    except OSError:
        aside.rename(root)
        raise


def _exchanged(one: Path, other: Path) -> bool:
    """Whether the system let the two folders change places in one step."""
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):
        return False
    done: int = rename(_HERE, os.fsencode(one), _HERE, os.fsencode(other), _EXCHANGE)
    return done == 0


def _umask() -> int:
    with suppress(OSError, ValueError), Path("/proc/self/status").open(encoding="ascii") as status:
        for line in status:
            if line.startswith("Umask:"):
                return int(line.split()[1], 8)
    return 0o022
