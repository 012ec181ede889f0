"""Running exporters: each in its own process with a time limit, its output checked and put into place whole."""

import json
import os
import shutil
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from materia_data.exporting.listing import GROUP, Exporter
from materia_data.exporting.manifest import describe, not_ours, write_manifest
from materia_data.exporting.place import begin, hold, recover, settle
from materia_data.materia import Materia
from materia_data.read.digest import digest

TIME_LIMIT = 600.0
EPOCH = "315532800"
_AT_ONCE = 2
_TAIL = 16 * 1024


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
    done: Callable[[Output], None] = lambda output: None,
) -> list[Output]:
    """Run the exporters, each into `out/NAME/`, and say what came of each, in the order given.

    timeout: for each exporter [s]; options: by exporter's name; done: called as each ends. Raises CannotExport.
    """
    out = out.absolute()
    root = materia.package.root.resolve()
    if out.resolve().is_relative_to(root):
        raise CannotExport(f"{out} is inside the data package. Name a folder outside of it.")
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CannotExport(f"{out} cannot be made: {error.strerror}. Name a folder that can be written to.") from None
    try:
        with hold(out):
            return _export_all(materia, chosen, out, timeout, options or {}, done)
    except BlockingIOError:
        message = f"another export is running in {out}. Wait until it is done, or name another folder."
        raise CannotExport(message) from None


def _export_all(
    materia: Materia,
    chosen: Sequence[Exporter],
    out: Path,
    timeout: float,
    options: Mapping[str, Mapping[str, str]],
    done: Callable[[Output], None],
) -> list[Output]:
    about = describe(materia)
    running: set[subprocess.Popen[bytes]] = set()

    def one(exporter: Exporter) -> Output:
        output = _export_one(materia, exporter, out, timeout, options.get(exporter.name, {}), about, running)
        done(output)
        return output

    pool = ThreadPoolExecutor(max_workers=_AT_ONCE)
    try:
        waiting = [pool.submit(one, exporter) for exporter in chosen]
        return [each.result() for each in waiting]
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        for process in list(running):
            _stop(process)
        raise
    finally:
        pool.shutdown()


def _export_one(
    materia: Materia,
    exporter: Exporter,
    out: Path,
    timeout: float,
    options: Mapping[str, str],
    about: Mapping[str, Any],
    running: set[subprocess.Popen[bytes]],
) -> Output:
    folder = out / exporter.name

    def ended(message: str = "", log: str = "", files: int = 0, size: int = 0) -> Output:
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
        return ended(f"refused: {exporter.refused}")
    try:
        recover(out, exporter.name)
        if reason := not_ours(folder, exporter.name):
            return ended(f"{folder} {reason}. Move it away, or name another folder.")
        work = begin(out, exporter.name)
        try:
            made = work / "out"
            made.mkdir()
            message, log = _run(exporter, materia, made, work / "answer.json", timeout, options, running)
            if not message and not materia.release_id.endswith(digest(materia.package.root)[:8]):
                message = "the data changed while it was exported; run it again"
            if message:
                return ended(message, log)
            manifest = write_manifest(made, exporter, dict(about))
            settle(made, out, exporter.name)
        finally:
            shutil.rmtree(work, ignore_errors=True)
    except (OSError, ValueError) as error:
        return ended(f"{error}")
    return ended(log=log, files=len(manifest["files"]), size=sum(file["bytes"] for file in manifest["files"]))


def _run(
    exporter: Exporter,
    materia: Materia,
    made: Path,
    answer: Path,
    timeout: float,
    options: Mapping[str, str],
    running: set[subprocess.Popen[bytes]],
) -> tuple[str, str]:
    """Run the exporter in its own process. Returns what went wrong, or "", and the end of what it printed."""
    order = {
        "point": [exporter.name, exporter.value, GROUP],
        "data": str(materia.package.root.resolve()),
        "out": str(made),
        "options": dict(options),
        "answer": str(answer),
    }
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "materia_data.exporting.child"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env=_environment(),
        start_new_session=True,
    )
    assert process.stdin is not None and process.stdout is not None
    running.add(process)
    tail = bytearray()
    reader = threading.Thread(target=_keep_tail, args=(process.stdout, tail), daemon=True)
    reader.start()
    late = False
    try:
        process.stdin.write(json.dumps(order).encode() + b"\n")
        process.stdin.flush()
        process.wait(timeout)
    except BrokenPipeError:
        process.wait()
    except subprocess.TimeoutExpired:
        late = True
    finally:
        _stop(process)
        running.discard(process)
    reader.join(1)
    log = bytes(tail[-_TAIL:]).decode("utf-8", "replace").strip()
    if late:
        return f"it took longer than {timeout:g} s and was stopped", log
    return _said(process.returncode, answer, materia), log


def _said(code: int, answer: Path, materia: Materia) -> str:
    """What went wrong, as the process told it."""
    try:
        result = json.loads(answer.read_bytes())
    except (OSError, ValueError):
        result = None
    if isinstance(result, dict) and isinstance(result.get("error"), str):
        return str(result["error"])
    if code < 0:
        return f"its process was ended by {_signal(-code)}"
    if code or not isinstance(result, dict):
        return f"its process left with exit code {code} before it was done"
    if result.get("release") != materia.release_id:
        return "the data changed while it was exported; run it again"
    return ""


def _environment() -> dict[str, str]:
    """What makes the same input give the same bytes: a date, an order, a time zone."""
    fixed = {"SOURCE_DATE_EPOCH": EPOCH, "PYTHONHASHSEED": "0", "TZ": "UTC", "PYTHONUTF8": "1"}
    paths = [str(Path(path).absolute()) for path in os.environ.get("PYTHONPATH", "").split(os.pathsep) if path]
    return {**os.environ, **fixed, **({"PYTHONPATH": os.pathsep.join(paths)} if paths else {})}


def _keep_tail(stream: IO[bytes], tail: bytearray) -> None:
    while block := os.read(stream.fileno(), 65536):
        tail += block
        del tail[:-_TAIL]


def _stop(process: subprocess.Popen[bytes]) -> None:
    """End the process and whatever it started."""
    if os.name == "nt":
        process.kill()
    else:
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    process.wait()
    if process.stdin is not None:
        with suppress(OSError):
            process.stdin.close()


def _signal(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"
