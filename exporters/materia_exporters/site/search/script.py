"""Values as a classic script, which loads from disk where a request would not."""

import json
from collections.abc import Iterable
from typing import Any


def script(name: str, values: Any) -> str:
    """A script that sets `MATERIA.name`, `MATERIA` being made if it is not there."""
    text = json.dumps(values, ensure_ascii=False, separators=(",", ":"))
    return f"(window.MATERIA=window.MATERIA||{{}}).{name}={text};\n"


def steps(numbers: Iterable[int]) -> list[int]:
    """Numbers, each as its distance from the one before, which packs smaller."""
    made, last = [], 0
    for number in numbers:
        made.append(number - last)
        last = number
    return made
