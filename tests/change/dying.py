"""Runs that die: in a child process, just before its n-th operation on the file system, or by SIGKILL after a while."""

import os
import signal
import sys
import time
import traceback
from collections.abc import Callable
from pathlib import Path

_WATCHED = ("os.", "shutil.", "tempfile.", "open")
_DIED = 77


def operations(work: Callable[[], object], log: Path) -> list[str]:
    """What a whole run asks of the file system, in order."""

    def watched() -> None:
        names: list[str] = []
        sys.addaudithook(lambda event, arguments: names.append(event) if event.startswith(_WATCHED) else None)
        work()
        kept = list(names)
        log.write_text("\n".join(kept), encoding="utf-8")

    assert _wait(_fork(watched)) == 0
    return log.read_text(encoding="utf-8").split("\n")


def die_at(work: Callable[[], object], moment: int) -> None:
    """Run it in a child that ends just before its n-th operation, counted from 1."""

    def doomed() -> None:
        seen = 0

        def hook(event: str, arguments: object) -> None:
            nonlocal seen
            if event.startswith(_WATCHED):
                seen += 1
                if seen == moment:
                    os._exit(_DIED)

        sys.addaudithook(hook)
        work()

    assert _wait(_fork(doomed)) == _DIED


def kill_after(work: Callable[[], object], seconds: float) -> bool:
    """Run it in a child that is killed with SIGKILL after so long [s]; whether it was still running then."""
    child = _fork(work)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status)


def answer(work: Callable[[], str], path: Path) -> str:
    """What it returns when it runs in a child, which may change its own limits and rights."""
    assert _wait(_fork(lambda: path.write_text(work(), encoding="utf-8"))) == 0
    return path.read_text(encoding="utf-8")


def _fork(work: Callable[[], object]) -> int:
    child = os.fork()
    if child:
        return child
    code = 1
    try:
        work()
        code = 0
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(code)


def _wait(child: int) -> int:
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
