"""The process that one exporter runs in: `python -m materia_data.exporting.child`.

Its order is one JSON object on the first line of stdin: point (name, value and group of the entry point), data and out
(folders), layers (folders, the lowest first), options, answer (the file to write the result to).
The result: {"release": …, "summary": …} or {"error": …}. If stdin closes, the host is gone, and so is this process.
"""

import json
import os
import sys
import threading
import traceback
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any


def main() -> int:
    """Exit 0 if the exporter returned, 1 if it did not."""
    order = json.loads(sys.stdin.buffer.readline())
    threading.Thread(target=_leave_with_the_host, args=(sys.stdin.fileno(),), daemon=True).start()
    result: dict[str, Any]
    try:
        result = _run(order)
    except Exception as error:
        traceback.print_exc()
        result = {"error": f"{type(error).__name__}: {error}".rstrip(": ")}
    answer = Path(order["answer"])
    answer.write_text(json.dumps(result), encoding="utf-8")
    return 1 if "error" in result else 0


def _run(order: dict[str, Any]) -> dict[str, Any]:
    from materia_data.materia import load

    export = EntryPoint(*order["point"]).load()
    if not callable(export):
        raise TypeError(f"{order['point'][1]} is not callable: an exporter is a function export(materia, out, options)")
    materia = load(order["data"], order["layers"])
    out = Path(order["out"])
    os.chdir(out)
    export(materia, out, order["options"])
    return {"release": materia.release_id, "summary": str(getattr(export, "summary", ""))}


def _leave_with_the_host(stdin: int) -> None:
    while os.read(stdin, 4096):
        pass
    os._exit(1)


if __name__ == "__main__":
    sys.exit(main())
