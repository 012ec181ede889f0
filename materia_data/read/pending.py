"""What a run that was killed left ready to be put in place: read as if it stood there already.

A change of several files is made whole in the folder `.materia-writing/new`, which becomes `.materia-writing/ready` in
one step; only then are the files put in their places. From that step on the package is the new one.
"""

import os
from pathlib import Path

FOLDER = ".materia-writing"
READY = f"{FOLDER}/ready"


def pending(root: Path) -> bool:
    """Whether a change is ready and not yet all in its place."""
    return all(_is_folder(root / name) for name in (FOLDER, READY))


def place(root: Path, path: str) -> Path:
    """Where the bytes of the package's file stand: with what is ready, else in their place."""
    if pending(root):
        ready = root / READY / path
        if os.path.lexists(ready):
            return ready
    return root / path


def waiting_files(root: Path) -> list[str]:
    """Paths inside the package of the files that are ready."""
    if not pending(root):
        return []
    ready = root / READY
    return [made.relative_to(ready).as_posix() for made in ready.rglob("*") if made.is_file() and not made.is_symlink()]


def _is_folder(path: Path) -> bool:
    return path.is_dir() and not path.is_symlink()
