"""Write files of a package together: whole or not at all, whatever moment the run dies at, and one run at a time."""

import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from materia_data.read.pending import FOLDER, READY, pending

_NEW = f"{FOLDER}/new"


class CannotWrite(Exception):
    """Nothing was changed, or what was changed is whole: says what stands in the way, and what to do."""


def write_all(root: Path, files: Mapping[str, str]) -> None:
    """Write the texts, by path inside the package, as UTF-8: all of them or none. Raises CannotWrite.

    They are made in `.materia-writing/new` and on disk before it is renamed to `ready`: until then the package is the
    old one, from then on the new one, for readers take what is ready first and the next run that writes finishes it.
    """
    with lock(root):
        finish(root)
        if not files:
            return
        try:
            for path, text in files.items():
                _replaceable(root / path)
                _write(root / _NEW / path, text)
            for folder, _, _ in os.walk(root / _NEW):
                flush(Path(folder))
            (root / _NEW).rename(root / READY)
            flush(root / FOLDER)
        except OSError as error:
            shutil.rmtree(root / FOLDER, ignore_errors=True)
            raise CannotWrite(f"{root} cannot be written to: {_why(error)}. Nothing was changed.") from None
        finish(root)


def write_whole(path: Path, text: str) -> None:
    """Write one text as UTF-8 beside the file, then put it in its place in one step. OSError: the file is as it was."""
    beside = path.with_name(path.name + ".new")
    try:
        _write(beside, text)
        beside.replace(path)
    except OSError:
        with suppress(OSError):
            beside.unlink()
        raise
    flush(path.parent)


def finish(root: Path) -> None:
    """Put in place what a run that died left ready, and drop what it had not. Raises CannotWrite."""
    try:
        if pending(root):
            for made in sorted((root / READY).rglob("*")):
                if made.is_file() and not made.is_symlink():
                    target = root / made.relative_to(root / READY)
                    target.parent.mkdir(parents=True, exist_ok=True)
                    made.replace(target)
                    flush(target.parent)
        if (root / FOLDER).is_dir() and not (root / FOLDER).is_symlink():
            shutil.rmtree(root / FOLDER)
            flush(root)
    except OSError as error:
        message = f"the change is whole in {root / FOLDER}, but cannot be put in its place: {_why(error)}"
        raise CannotWrite(f"{message}. Mend that, and run any verb that writes, such as `materia tidy`.") from None


@contextmanager
def lock(root: Path) -> Iterator[None]:
    """Keep every other run from writing to the folder while this one does. Raises CannotWrite if one does."""
    try:
        import fcntl
    except ImportError:
        yield
        return
    try:
        handle = os.open(root, os.O_RDONLY)
    except OSError as error:
        raise CannotWrite(f"{root} cannot be opened: {_why(error)}.") from None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    except BlockingIOError:
        raise CannotWrite(f"another run is writing to {root}. Wait until it is done, then run this again.") from None
    finally:
        os.close(handle)


def flush(path: Path) -> None:
    """Have what was done to the file or folder on disk."""
    if os.name == "nt":
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())


def _replaceable(target: Path) -> None:
    if target.parent.is_dir() and not os.access(target.parent, os.W_OK):
        raise PermissionError(13, f"the folder {target.parent.name} is read-only")


def _why(error: OSError) -> str:
    return (error.strerror or type(error).__name__).lower()
