"""Running exporters: each in its own process with a time limit, its output checked and put into place whole."""

import shutil
import subprocess
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from materia_data.exporting.listing import Exporter
from materia_data.exporting.manifest import describe, not_ours, write_manifest
from materia_data.exporting.place import begin, hold, recover, settle
from materia_data.exporting.process import run_apart, stop
from materia_data.materia import Materia
from materia_data.read.layers.layer import read_layer
from materia_data.read.release import release_id

TIME_LIMIT = 600.0
_AT_ONCE = 2
_CHANGED = "the data changed while it was exported; run it again"


@dataclass(frozen=True, slots=True)
class Output:
    """What came of one exporter.

    state: written, or failed (then the old output stands as it was, and message says why); folder: where it stands;
    files, bytes: how many, without the manifest; log: the end of what the exporter printed.
    """

    name: str
    distribution: str
    version: str
    state: str
    folder: str
    files: int
    bytes: int
    release: str
    message: str
    log: str


class CannotExport(Exception):
    """Nothing was run: the folder cannot be used."""


def export(
    materia: Materia,
    chosen: Sequence[Exporter],
    out: Path,
    *,
    timeout: float = TIME_LIMIT,
    options: Mapping[str, Mapping[str, str]] | None = None,
    environment: Mapping[str, str] | None = None,
    done: Callable[[Output], None] = lambda output: None,
) -> list[Output]:
    """Run the exporters, each into `out/NAME/`, and say what came of each, in the order given.

    timeout: for each exporter [s]; options: by exporter's name; environment: variables to set
    for each; done: called as each ends. Raises CannotExport.
    """
    out = out.absolute()
    if out.resolve().is_relative_to(materia.package.root.resolve()):
        raise CannotExport(f"{out} is inside the data package. Name a folder outside of it.")
    for layer in materia.layers:
        if out.resolve().is_relative_to(layer.root.resolve()):
            raise CannotExport(f"{out} is inside the layer {layer.id}. Name a folder outside of it.")
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CannotExport(f"{out} cannot be made: {error.strerror}. Name a folder that can be written to.") from None
    try:
        with hold(out):
            return _export_all(materia, chosen, out, timeout, options or {}, environment or {}, done)
    except BlockingIOError:
        message = f"another export is running in {out}. Wait until it is done, or name another folder."
        raise CannotExport(message) from None


def _export_all(
    materia: Materia,
    chosen: Sequence[Exporter],
    out: Path,
    timeout: float,
    options: Mapping[str, Mapping[str, str]],
    environment: Mapping[str, str],
    done: Callable[[Output], None],
) -> list[Output]:
    about = describe(materia)
    running: set[subprocess.Popen[bytes]] = set()

    def one(exporter: Exporter) -> Output:
        mine = options.get(exporter.name, {})
        result = _export_one(materia, exporter, out, timeout, mine, environment, about, running)
        done(result)
        return result

    pool = ThreadPoolExecutor(max_workers=_AT_ONCE)
    try:
        waiting = [pool.submit(one, exporter) for exporter in chosen]
        return [each.result() for each in waiting]
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        for process in list(running):
            stop(process)
        raise
    finally:
        pool.shutdown()


def _export_one(
    materia: Materia,
    exporter: Exporter,
    out: Path,
    timeout: float,
    options: Mapping[str, str],
    environment: Mapping[str, str],
    about: Mapping[str, Any],
    running: set[subprocess.Popen[bytes]],
) -> Output:
    folder = out / exporter.name

    def output(message: str = "", log: str = "", files: int = 0, size: int = 0) -> Output:
        state = "failed" if message else "written"
        release = materia.release_id if not message else ""
        return Output(
            exporter.name,
            exporter.distribution,
            exporter.version,
            state,
            str(folder),
            files,
            size,
            release,
            message,
            log,
        )

    if exporter.refused:
        return output(f"refused: {exporter.refused}")
    try:
        recover(out, exporter.name)
        if reason := not_ours(folder, exporter.name):
            return output(f"{folder} {reason}. Move it away, or name another folder.")
        work = begin(out, exporter.name)
        try:
            made = work / "out"
            made.mkdir()
            ended = run_apart(
                exporter, materia.package.root.resolve(), made, work / "answer.json",
                timeout=timeout, options=options, environment=environment,
                layers=[layer.root.resolve() for layer in materia.layers], running=running,
            )  # fmt: skip
            if ended.message:
                return output(ended.message, ended.log)
            if ended.release != materia.release_id or materia.release_id != _release_now(materia):
                return output(_CHANGED, ended.log)
            manifest = write_manifest(made, exporter, dict(about))
            settle(made, out, exporter.name)
        finally:
            shutil.rmtree(work, ignore_errors=True)
    except (OSError, ValueError) as error:
        return output(f"{error}")
    return output(log=ended.log, files=len(manifest["files"]), size=sum(file["bytes"] for file in manifest["files"]))


def _release_now(materia: Materia) -> str:
    """The release that the files would give if they were read now."""
    package = materia.package
    now = replace(package, layers=tuple(read_layer(layer.root) for layer in package.layers))
    return now.named(release_id(package.root))
