"""Rule files for tests: a valid rule, with what a test changes."""

import json
from typing import Any

VALID: dict[str, Any] = {
    "id": "seaweed-salty-softens",
    "title": "Salty seaweeds soften hardness",
    "over": ["herbs"],
    "when": "trait:seaweed and flavor:salty",
    "expect": "action:soften-hardness",
    "strength": "must",
    "explains": "flavor:salty",
    "because": "Saltiness softens what is hard.",
    "basis": "common-practice",
    "safety": False,
    "holds": ["trait:seaweed and flavor:salty and action:soften-hardness"],
    "breaks": ["trait:seaweed and flavor:salty"],
}


def rule(without: str = "", **changes: Any) -> str:
    """The valid rule as TOML, some keys changed, one left out."""
    entries = {key: value for key, value in (VALID | changes).items() if key != without}
    return "[[rule]]\n" + "".join(
        f"{key} = {json.dumps(value, ensure_ascii=False)}\n" for key, value in entries.items()
    )
