"""Running one exporter apart: in a process of its own, with a time limit, whatever it prints kept off our output."""

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from materia_data.exporting.listing import GROUP, Exporter

EPOCH = "315532800"  # 1980-01-01, the earliest day that a zip file can hold
_TAIL = 16 * 1024
_Process = subprocess.Popen[bytes]


@dataclass(frozen=True, slots=True)
class Ended:
    """How it ended. message: what went wrong, or ""; release: of the data it read; log: the end of what it printed."""

    message: str
    release: str
    log: str


def run_apart(
    exporter: Exporter,
    data: Path,
    out: Path,
    answer: Path,
    *,
    timeout: float,
    options: Mapping[str, str],
    layers: Sequence[Path] = (),
    environment: Mapping[str, str] | None = None,
    running: set[_Process] | None = None,
) -> Ended:
    """Run the exporter on a data package into the existing folder `out`.

    answer: a file outside `out` for its result; timeout: [s]; layers: folders of layers over the data;
    environment: variables to set beside the usual ones; running: holds the process while it runs, so
    that someone else can stop it.
    """
    point = [exporter.name, exporter.value, GROUP]
    order = {
        "point": point,
        "data": str(data),
        "layers": list(map(str, layers)),
        "out": str(out),
        "options": dict(options),
        "answer": str(answer),
    }
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "materia_data.exporting.child"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env=_environment(environment or {}),
        start_new_session=True,
    )
    assert process.stdin is not None and process.stdout is not None
    if running is not None:
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
        stop(process)
        if running is not None:
            running.discard(process)
    reader.join(1)
    log = bytes(tail).decode("utf-8", "replace").strip()
    if late:
        return Ended(f"it took longer than {timeout:g} s and was stopped", "", log)
    return _ended(process.returncode, answer, log)


def stop(process: _Process) -> None:
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


def _ended(code: int, answer: Path, log: str) -> Ended:
    result: Any = None
    with suppress(OSError, ValueError):
        result = json.loads(answer.read_bytes())
    if not isinstance(result, dict):
        result = {}
    if "error" in result:
        return Ended(str(result["error"]), "", log)
    if code < 0:
        return Ended(f"its process was ended by {_signal(-code)}", "", log)
    if code or "release" not in result:
        return Ended(f"its process left with exit code {code} before it was done", "", log)
    return Ended("", str(result["release"]), log)


def _environment(more: Mapping[str, str]) -> dict[str, str]:
    """What makes the same input give the same bytes: a date, an order, a time zone."""
    fixed = {"SOURCE_DATE_EPOCH": EPOCH, "PYTHONHASHSEED": "0", "TZ": "UTC", "PYTHONUTF8": "1"}
    paths = [str(Path(path).absolute()) for path in os.environ.get("PYTHONPATH", "").split(os.pathsep) if path]
    search = {"PYTHONPATH": os.pathsep.join(paths)} if paths else {}
    return {**os.environ, **fixed, **search, **more}


def _keep_tail(stream: IO[bytes], tail: bytearray) -> None:
    while block := os.read(stream.fileno(), 65536):
        tail += block
        del tail[:-_TAIL]


def _signal(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"
