"""Read a deep test run from standard input, show it, and keep its counts in benchmarks/deep.md. Used by `make deep`.

Keeps every line that tells how many cases a test tried (`sample: …`), and pytest's last line.
"""

import platform
import re
import sys
from pathlib import Path

from materia_data import __version__, load


def main() -> int:
    kept, last = [], ""
    for line in sys.stdin:
        sys.stdout.write(line)
        if found := re.search(r"sample: .*", line):
            kept.append(found[0])
        if re.search(r"\d+ (passed|failed|error)", line):
            last = line.strip("= \n")
    said = "\n".join(f"- {line}" for line in dict.fromkeys(kept))
    versions = f"materia-data {__version__}, data {load().release_id}; Python {platform.python_version()}"
    head = f"{versions}. Made by `make deep`."
    text = f"# The deep run\n\n{head}\n\n{said}\n\n{last}\n"
    (Path(__file__).parent / "deep.md").write_text(text, encoding="utf-8")
    return int(not last or "failed" in last or "error" in last)


if __name__ == "__main__":
    raise SystemExit(main())
