"""The table of reasons: one row a value of nature, flavour or channel, with the rules that explain it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import pyarrow as pa

if TYPE_CHECKING:
    from materia_data import Explained

EXPLANATIONS = (
    "One row a value of nature, flavour or channel of a herb, and of a form the values that its own row states: "
    "whether a rule explains it, best reason first, or an exception stands for it. Unexplained: no reason is recorded."
)
_REASON = ("rule", "because", "measure", "base", "source", "basis")
_SCHEMA = pa.schema(
    [
        *((name, pa.string()) for name in ("subject", "predicate", "value", "verdict", "exception")),
        ("reasons", pa.list_(pa.struct([*((name, pa.string()) for name in _REASON), ("lift", pa.float64())]))),
    ]
)


def explanations(explained: Sequence["Explained"]) -> pa.Table:
    """The table, in the order of the subjects. `lift`: how many times more often the rule holds than anyway."""
    rows = [
        {
            "subject": one.id,
            "predicate": item.predicate,
            "value": item.value,
            "verdict": item.verdict,
            "exception": item.exception or None,
            "reasons": [{name: getattr(reason, name) for name in (*_REASON, "lift")} for reason in item.reasons],
        }
        for one in explained
        for item in one.properties
    ]
    return pa.Table.from_pylist(rows, schema=_SCHEMA)
