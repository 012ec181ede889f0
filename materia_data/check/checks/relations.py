"""Relations: each pair said once, of two medicinals, as strictly as its list says."""

from collections.abc import Iterable, Iterator

from materia_data.check.registry import check
from materia_data.check.rows import Row, rows
from materia_data.problem import Problem
from materia_data.read.package import Package

_VERSES = ("eighteen", "nineteen")


@check(
    id="opposed-to-itself",
    scope="antagonisms",
    severity="error",
    why="A medicinal opposed to itself would clash in every formula that holds it.",
    safety=True,
    passes=[{"a": "demo-leaf", "b": "demo-root.zhi"}],
    fails=[
        {"a": "demo-leaf", "b": "demo-leaf"},
        {"a": "demo-root", "b": "demo-root.zhi"},
        {"a": "demo-root.sheng", "b": "demo-root.zhi"},
    ],
)
def opposed_to_itself(antagonisms: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each antagonism of a medicinal with itself or between its own forms."""
    for pair in antagonisms:
        herb = pair.a.partition(".")[0]
        if herb and herb == pair.b.partition(".")[0]:
            yield pair.problem("b", f"{herb} is opposed to itself.", tip="Name the other medicinal.")


@check(
    id="pair-order",
    scope="package",
    severity="error",
    why="A pair that may stand either way round is recorded twice, and corrected once.",
    passes=[
        {"antagonisms": [{"a": "demo-leaf", "b": "demo-seed"}]},
        {"confusions": [{"a": "demo-alga", "b": "demo-seed", "kind": "look"}]},
    ],
    fails=[
        {"antagonisms": [{"a": "demo-seed", "b": "demo-leaf"}]},
        {"confusions": [{"a": "demo-seed", "b": "demo-alga", "kind": "look"}]},
    ],
)
def pair_order(package: Package) -> Iterator[Problem]:
    """Yield a problem for each antagonism and confusion whose a comes after its b."""
    for table in ("antagonisms", "confusions"):
        for pair in rows(package.tables[table]):
            if pair.a > pair.b:
                yield pair.problem(
                    "a", f"{pair.a} stands before {pair.b}, against the order of the letters.", tip="Swap a and b."
                )


@check(
    id="antagonism-state",
    scope="antagonisms",
    severity="error",
    why="What the verse itself names is the core of the rule; only what was read into it later may be milder.",
    safety=True,
    passes=[
        {"list": "eighteen", "reading": "stated", "state": "contraindicated"},
        {"list": "eighteen", "reading": "extended", "state": "avoid"},
        {"list": "pharmacopoeia", "reading": "stated", "state": "avoid"},
    ],
    fails=[
        {"list": "eighteen", "reading": "stated", "state": "avoid"},
        {"list": "nineteen", "reading": "stated", "state": "caution"},
        {"list": "nineteen", "reading": "extended", "state": "caution"},
    ],
)
def antagonism_state(antagonisms: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each pair of the two verses that is milder than contraindicated (stated) or avoid
    (extended)."""
    for pair in antagonisms:
        least = "contraindicated" if pair.reading == "stated" else "avoid"
        if pair.list in _VERSES and pair.state not in ("contraindicated", least):
            message = f"A pair {pair.reading} in the verse of the {pair.list} has the state {pair.state or 'nothing'}."
            yield pair.problem(
                "state", message, tip=f"Write {least}; what a standard says more mildly goes under list pharmacopoeia."
            )


@check(
    id="verse-line-missing",
    scope="antagonisms",
    severity="warning",
    why="The student learns the line of verse and must see which pairs it stands for.",
    passes=[{"list": "eighteen", "line": "an invented line"}, {"list": "other", "line": ""}],
    fails=[{"list": "eighteen", "line": ""}, {"list": "nineteen", "line": ""}],
)
def verse_line_missing(antagonisms: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each pair of the two verses that does not give the line it expands."""
    for pair in antagonisms:
        if pair.list in _VERSES and not pair.line_:
            tip = "Write the line of verse, or correct the list."
            yield pair.problem("line", f"The pair is of the {pair.list}, and its line of verse is missing.", tip=tip)
