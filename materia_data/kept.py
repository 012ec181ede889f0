"""Facts, rules, measures and names of a package, kept on disk between runs so that no question rebuilds them all."""

from __future__ import annotations

import gc
import io
import os
import pickle
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import fields, is_dataclass, replace
from functools import partial
from hashlib import sha256
from pathlib import Path
from typing import Any

from materia_data import __version__
from materia_data.facts.facts import Facts
from materia_data.facts.predicates import Predicate, predicates
from materia_data.materia import Materia, load
from materia_data.read.digest import digest
from materia_data.read.package import Package
from materia_data.read.release import release_id
from materia_data.read.schema import TableSchema, table_schemas

_MOST = 8
_UNKEPT: dict[str, Any] = {"tables": {}, "rules": {}, "kept": None, "problems": ()}


def open_kept(root: Path | None = None, layers: Sequence[str | Path] = ()) -> Materia:
    """`load(root, layers)` with its facts, rules, measures and names at hand: read back if these very files were asked
    before.

    What is kept stands under `$XDG_CACHE_HOME/materia-data` (else `~/.cache/materia-data`), named by a digest of data
    and code, readable by its owner alone; a folder that belongs to somebody else, or a file that does not read back,
    is passed over. Nothing but time depends on it; what lies beneath a layer is not kept. Raises as `load` does.
    """
    from materia_data.places import data_root

    path = data_root() if root is None else Path(root)
    if not path.is_dir():
        return load(path, layers)
    data = digest(path)
    file = _folder() / f"{_key(path, data, layers)}.pickle"
    materia = _read(file, path)
    if materia is None:
        materia = load(path, layers)
        _write(file, materia)
    materia.__dict__["release_id"] = materia.package.named(release_id(path, data))
    return materia


def _folder() -> Path:
    base = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(base) if Path(base).is_absolute() else Path.home() / ".cache") / "materia-data"


def _key(root: Path, data: str, layers: Sequence[str | Path]) -> str:
    """Of the data and layers, where they stand, and the code that read them: a changed module makes another key."""
    here = Path(__file__).parent
    whole = sha256(f"{data}\0{root.resolve()}\0{__version__}\0{sys.version}".encode())
    whole.update((root / "datapackage.json").read_bytes() if (root / "datapackage.json").is_file() else b"")
    if layers:
        from materia_data.read.layers.layer import read_layers

        for layer in read_layers(layers):
            whole.update(f"{layer.id}\0{layer.digest}\0{layer.root.resolve()}\0".encode())
    for path in sorted([*here.rglob("*.py"), *_schema_files()]):
        stat = path.stat()
        whole.update(f"{path.name}\0{stat.st_size}\0{stat.st_mtime_ns}\0".encode())
    return whole.hexdigest()[:32]


def _schema_files() -> list[Path]:
    from materia_data.places import schema_root

    return list(schema_root().rglob("*.json"))


def _read(file: Path, root: Path) -> Materia | None:
    try:
        if _not_ours(file.parent) or _not_ours(file):
            return None
        with file.open("rb") as stream, _no_collecting():
            package, facts, measured, names, loosened = _Reader(stream).load()
    except Exception:  # whatever is wrong with what was kept, the files themselves are read instead
        return None
    if not (isinstance(package, Package) and isinstance(facts, Facts)):
        return None
    package.root = root
    materia = Materia(package, partial(_unpacked, names), partial(_unpacked, measured))
    materia.__dict__ |= {"facts": facts, "all_loosened": loosened}
    return materia


def _unpacked(kept: bytes) -> Any:
    """Names and measures are wanted by few: they stay as they were written until somebody asks."""
    with _no_collecting():
        return _Reader(io.BytesIO(kept)).load()


def _packed(thing: Any) -> bytes:
    stream = io.BytesIO()
    _Writer(stream, pickle.HIGHEST_PROTOCOL).dump(thing)
    return stream.getvalue()


def _write(file: Path, materia: Materia) -> None:
    facts = materia.facts
    measured, names, loosened = _packed(materia.measured), _packed(materia.names), materia.all_loosened
    package, beneath, layers = materia.package, materia.package.beneath, materia.package.layers
    facts.judges.clear()
    facts.truths.clear()
    for table in materia.package.tables.values():
        for column, cells in table.columns.items():
            table.columns[column] = [sys.intern(cell) for cell in cells]
    try:
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if _not_ours(file.parent):
            return
        package.beneath, package.layers = None, tuple(replace(layer, **_UNKEPT) for layer in layers)
        whole = _packed((package, facts, measured, names, loosened))
        handle, name = tempfile.mkstemp(dir=file.parent, suffix=".new")
        with os.fdopen(handle, "wb") as out:
            out.write(whole)
        Path(name).replace(file)
        for old in sorted(file.parent.glob("*.pickle"), key=lambda path: path.stat().st_mtime_ns)[:-_MOST]:
            old.unlink(missing_ok=True)
    except OSError:
        return
    finally:
        package.beneath, package.layers = beneath, layers


@contextmanager
def _no_collecting() -> Iterator[None]:
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _not_ours(path: Path) -> bool:
    """Whether somebody else could have put a file there, or written this one."""
    stat = path.stat()
    return hasattr(os, "getuid") and (stat.st_uid != os.getuid() or bool(stat.st_mode & 0o022))


class _Writer(pickle.Pickler):
    """Leaves out what the schemas declare: it is named, not written."""

    def persistent_id(self, thing: Any) -> tuple[str, str] | None:
        if isinstance(thing, TableSchema):
            return "schema", thing.name
        if isinstance(thing, Predicate):
            return "predicate", thing.name
        return ("predicates", "") if thing is predicates() else None

    def reducer_override(self, thing: Any) -> Any:
        """A frozen dataclass is made anew from its fields, which reads back twice as fast as setting its state."""
        kind = type(thing)
        if is_dataclass(kind) and kind.__dataclass_params__.frozen:  # type: ignore[attr-defined]
            return kind, tuple(getattr(thing, field.name) for field in fields(kind))
        return NotImplemented


class _Reader(pickle.Unpickler):
    def persistent_load(self, name: Any) -> Any:
        kind, called = name
        if kind == "predicates":
            return predicates()
        return table_schemas()[called] if kind == "schema" else predicates()[called]
