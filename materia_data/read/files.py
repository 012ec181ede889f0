"""Files of a package as bytes: plain files inside the folder only, never more than a set size."""

import os
import stat
from pathlib import Path

from materia_data.problem import Problem
from materia_data.read.pending import FOLDER, pending, place, waiting_files

TABLE_BYTES = 16 * 1024 * 1024
RULE_BYTES = 256 * 1024
_MOST_FILES = 1000
_DEEPEST = 4
_FLAGS = (
    os.O_RDONLY
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_BINARY", 0)
)


def list_files(root: Path) -> tuple[list[str], list[Problem]]:
    """Paths of the plain files under the folder, with `/`, in order; and a problem for everything that is neither
    file nor folder.

    Links are not followed, neither to files nor to folders.
    """
    found: list[str] = []
    problems: list[Problem] = []
    waiting = [("", 0)]
    while waiting:
        inside, depth = waiting.pop()
        try:
            entries = list(os.scandir(os.path.join(root, inside)))  # noqa: PTH118 - a third of the time of pathlib
        except OSError as error:
            problems.append(
                file_problem(
                    inside or ".", "unreadable-file", _cannot_open(error), "Let the reader open it, or take it out."
                )
            )
            continue
        for entry in entries:
            path = f"{inside}/{entry.name}" if inside else entry.name
            if path == FOLDER:
                if pending(root):
                    problems.append(_unfinished())
            elif entry.is_dir(follow_symlinks=False):
                if depth < _DEEPEST:
                    waiting.append((path, depth + 1))
                else:
                    problems.append(
                        file_problem(
                            path, "unknown-file", "This folder lies too deep to belong to a package.", "Take it out."
                        )
                    )
            elif entry.is_file(follow_symlinks=False):
                found.append(path)
            else:
                problems.append(not_plain(path))
        if len(found) > _MOST_FILES:
            message = f"The folder holds more than {_MOST_FILES} files; the rest was not looked at."
            problems.append(file_problem(".", "too-many-files", message, "Point at the folder of the package itself."))
            break
    return sorted({*found, *waiting_files(root)}), problems


def read_file(root: Path, path: str, most: int) -> bytes | Problem:
    """The bytes of a plain file, or the problem that keeps it from being read. most: largest size allowed [bytes]."""
    try:
        handle = os.open(place(root, path), _FLAGS)
    except OSError as error:
        return file_problem(path, "unreadable-file", _cannot_open(error), "Let the reader open it, or restore it.")
    try:
        about = os.fstat(handle)
        if not stat.S_ISREG(about.st_mode):
            return not_plain(path)
        if about.st_size > most:
            return _oversized(path, most)
        parts = []
        left = most + 1
        while left > 0 and (part := os.read(handle, min(left, about.st_size + 1))):
            parts.append(part)
            left -= len(part)
        return b"".join(parts) if left > 0 else _oversized(path, most)
    except OSError as error:
        return file_problem(path, "unreadable-file", _cannot_open(error), "Let the reader open it, or restore it.")
    finally:
        os.close(handle)


def file_problem(
    path: str, rule: str, message: str, tip: str, *, line: int = 0, column: str = "", value: str = ""
) -> Problem:
    """An error about a whole file, or about one line of it that is no record."""
    return Problem(path, line, column, "", value, rule, "error", message, tip)


def not_plain(path: str) -> Problem:
    """The problem of a link, pipe, socket or device."""
    return file_problem(
        path,
        "not-a-plain-file",
        "This is a link or a device, not a file of its own.",
        "Put the file itself in its place.",
    )


def _oversized(path: str, most: int) -> Problem:
    size = f"{most // 2**20} MiB" if most >= 2**20 else f"{most // 1024} KiB"
    return file_problem(
        path,
        "oversized-file",
        f"The file is larger than {size} and was not read.",
        "Take out what does not belong in it.",
    )


def _unfinished() -> Problem:
    message = "A run that changed the data was stopped before it was done."
    return file_problem(FOLDER, "unfinished-write", message, "Run `materia tidy`, which finishes it or clears it away.")


def _cannot_open(error: OSError) -> str:
    return f"It cannot be opened: {(error.strerror or 'no reason given').lower()}."
