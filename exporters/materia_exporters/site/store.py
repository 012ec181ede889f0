"""What was made before: pages and lessons kept between exports, so that a changed cell costs only what shows it."""

import os
import pickle
import sqlite3
import sys
import zlib
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from materia_exporters.site.keys import digest

_MOST = 6
_TABLES = (
    "create table if not exists pages (path text primary key, inputs blob, shown blob, html blob)",
    "create table if not exists things (name text primary key, key blob, data blob)",
)


@dataclass(frozen=True, slots=True)
class Kept:
    """A page as it was: inputs, shown: digests of what it was made from and of what it shows."""

    inputs: bytes
    shown: bytes


class Store:
    """One file under `$XDG_CACHE_HOME/materia-data` (else `~/.cache/materia-data`), readable by its owner alone.

    Nothing but time depends on it: whatever is wrong with it, it is empty.
    """

    def __init__(self, root: Path, options: Mapping[str, Any]) -> None:
        self._db: sqlite3.Connection | None = None
        self.pages: dict[str, Kept] = {}
        with suppress(sqlite3.Error, OSError):
            file = _file(root, options)
            if file is not None:
                self._db = sqlite3.connect(file, timeout=0.1, isolation_level=None)
                self._db.execute("begin exclusive")
                for statement in _TABLES:
                    self._db.execute(statement)
                rows = self._db.execute("select path, inputs, shown from pages")
                self.pages = {path: Kept(inputs, shown) for path, inputs, shown in rows}
                return
        self._db = None

    def html(self, path: str) -> bytes:
        """The page itself. KeyError: there is none."""
        assert self._db is not None
        with suppress(sqlite3.Error, zlib.error):
            for (kept,) in self._db.execute("select html from pages where path = ?", (path,)):
                return zlib.decompress(kept)
        raise KeyError(path)

    def keep(self, path: str, made: Kept, html: bytes | None) -> None:
        """Keep a page, or only that it shows the same though it was made from something else."""
        if self._db is None:
            return
        with suppress(sqlite3.Error):
            if html is None:
                self._db.execute("update pages set inputs = ? where path = ?", (made.inputs, path))
            else:
                row = (path, made.inputs, made.shown, zlib.compress(html, 1))
                self._db.execute("insert or replace into pages values (?, ?, ?, ?)", row)

    def thing(self, name: str, key: bytes) -> Any:
        """What was kept under this name and key, or None."""
        if self._db is not None:
            with suppress(Exception):  # whatever is wrong with it, it is made anew
                for (data,) in self._db.execute("select data from things where name = ? and key = ?", (name, key)):
                    return pickle.loads(data)
        return None

    def keep_thing(self, name: str, key: bytes, thing: Any) -> None:
        if self._db is not None:
            with suppress(sqlite3.Error, pickle.PicklingError):
                data = pickle.dumps(thing, pickle.HIGHEST_PROTOCOL)
                self._db.execute("insert or replace into things values (?, ?, ?)", (name, key, data))

    def close(self, paths: Iterable[str]) -> None:
        """Forget every page but these, and let go of the file."""
        if self._db is None:
            return
        with suppress(sqlite3.Error):
            gone = [(path,) for path in self.pages.keys() - set(paths)]
            self._db.executemany("delete from pages where path = ?", gone)
            self._db.execute("commit")
        self._db.close()
        self._db = None


def _file(root: Path, options: Mapping[str, Any]) -> Path | None:
    """The file for these data, options and code; None where somebody else could write there."""
    base = os.environ.get("XDG_CACHE_HOME", "")
    folder = (Path(base) if Path(base).is_absolute() else Path.home() / ".cache") / "materia-data"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    name = digest(str(root.resolve()), repr(sorted(options.items())), sys.version, *_code()).hex()
    file = folder / f"site-{name}.sqlite"
    if _open_to_others(folder) or (file.exists() and _open_to_others(file)):
        return None
    file.touch(mode=0o600)
    os.utime(file)
    for old in sorted(folder.glob("site-*.sqlite"), key=lambda path: path.stat().st_mtime_ns)[:-_MOST]:
        old.unlink(missing_ok=True)
    return file


def _code() -> Iterable[str]:
    """The modules and templates that a page is made by: a changed one makes another file."""
    import materia_data

    for folder in (Path(__file__).parent, Path(materia_data.__file__).parent):
        for path in sorted(path for path in folder.rglob("*") if path.suffix in (".py", ".html", ".md", ".json")):
            stat = path.stat()
            yield f"{path.relative_to(folder)}\0{stat.st_size}\0{stat.st_mtime_ns}"


def _open_to_others(path: Path) -> bool:
    stat = path.stat()
    return hasattr(os, "getuid") and (stat.st_uid != os.getuid() or bool(stat.st_mode & 0o022))
