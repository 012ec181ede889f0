"""Citations: what a source is said to state must be sayable in the column it speaks of."""

from collections.abc import Iterator

from materia_data.check.registry import check
from materia_data.problem import Problem
from materia_data.read.package import Package
from materia_data.suggest import did_you_mean


@check(
    id="stated-in-another-form",
    scope="package",
    severity="error",
    why="A stated value is compared with the cell; a phrase in the source's own words can only differ.",
    passes=[
        {"citations": [{"about_table": "herbs", "record": "demo-leaf", "column": "nature", "stated": "cold"}]},
        {"citations": [{"about_table": "herbs", "record": "demo-leaf", "column": "flavors", "stated": "sweet;salty"}]},
    ],
    fails=[
        {"citations": [{"about_table": "herbs", "record": "demo-leaf", "column": "nature", "stated": "寒"}]},
        {"citations": [{"about_table": "herbs", "record": "demo-leaf", "column": "flavors", "stated": "sweet;mild"}]},
    ],
)
def stated_in_another_form(package: Package) -> Iterator[Problem]:
    """Yield a problem for each citation of a column of terms, ids or fixed words whose `stated` is none of them."""
    table = package.tables["citations"]
    known: dict[str, set[str]] = {}
    rows = zip(table.columns["about_table"], table.columns["column"], table.columns["stated"], strict=True)
    for row, (about, column, stated) in enumerate(rows):
        field = package.tables[about].schema.by_name.get(column) if about in package.tables else None
        if field is None or not stated:
            continue
        allowed = set(field.enum)
        for name in field.refers:
            if name not in known:
                known[name] = set(package.tables[name].columns["id"])
            allowed |= known[name]
        if not allowed:
            continue
        for part in stated.split(";") if field.is_list else [stated]:
            if part not in allowed and not (part == "-" and field.allows_none):
                message = f"{part} is no value of {about}.{column}."
                tip = did_you_mean(part, sorted(allowed)) or f"Write it as the column {column} would hold it."
                yield table.problem(row, "stated", "", message, tip=tip, value=part)
