"""Cautions: what was not asked, what was not read, and sources that disagree on what may hurt."""

from collections.abc import Iterable, Iterator, Mapping

from materia_data.check.registry import check
from materia_data.check.rows import Row, rows
from materia_data.facts.facts import Facts
from materia_data.problem import Problem
from materia_data.read.package import Package
from materia_data.read.table import Table

_ASKED = ("pregnancy", "lactation", "children")
_DECIDING = ("standard", "law", "textbook")
_STATES = ("none-stated", "caution", "avoid", "contraindicated")
_WORDS = (
    ("禁用", "contraindicated"),
    ("忌用", "avoid"),
    ("忌服", "avoid"),
    ("不宜", "avoid"),
    ("慎用", "caution"),
)  # what a state is in the words of the Chinese Pharmacopoeia
_STATUSES = ("current", "restricted", "withdrawn")
_HIGHER_IS_LOOSER = {("doses", "max"), ("doses", "max_days")}
_LOWER_IS_LOOSER = {("handling", "minutes_min")}
_HERBS = ("demo-kelp", "demo-leaf", "demo-root", "demo-seed")


@check(
    id="not-checked",
    scope="package",
    severity="note",
    why="Nothing recorded means that nobody looked, not that it is safe.",
    passes=[
        {"cautions": [{"subject": herb, "topic": topic, "state": "caution"} for herb in _HERBS for topic in _ASKED]}
        | {"topics": [{"id": "children", "name_hans": "儿童", "name_hant": "兒童", "pinyin": "ér tóng"}]}
    ],
    fails=[{"cautions": [{"subject": herb, "topic": "lactation", "state": "caution"} for herb in _HERBS[1:]]}],
)
def not_checked(package: Package) -> Iterator[Problem]:
    """Yield a note for each of pregnancy, lactation and children, with how many medicinals have no row about it."""
    herbs = package.tables["herbs"].columns["id"]
    cautions = package.tables["cautions"]
    told = set(zip(cautions.columns["subject"], cautions.columns["topic"], strict=True))
    for topic in _ASKED:
        missing = [herb for herb in herbs if (herb, topic) not in told]
        if missing:
            message = f"{topic}: {len(missing)} of {len(herbs)} not checked"
            tip = f"Look them up in the current standard, beginning with {', '.join(missing[:3])}."
            yield Problem(cautions.file, 0, "topic", "", topic, "", "", message, tip)


@check(
    id="none-stated-without-reading",
    scope="cautions",
    severity="error",
    why="Only who has read the source can say that it states nothing.",
    safety=True,
    passes=[
        {"state": "none-stated", "basis": "collated", "source": "demo-standard", "locator": "p. 1"},
        {"state": "caution", "basis": "memory"},
    ],
    fails=[{"state": "none-stated", "basis": "memory"}, {"state": "none-stated", "basis": "common-practice"}],
)
def none_stated_without_reading(cautions: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each row that says a source states nothing, and does not say that it was read."""
    for caution in cautions:
        if caution.state == "none-stated" and caution.basis != "collated":
            tip = (
                "Open the source and write collated with its locator, or delete the row: not checked is the "
                "honest state."
            )
            yield caution.problem("state", f"The row says none-stated on {caution.basis or 'no basis'}.", tip=tip)


@check(
    id="sources-disagree-on-safety",
    scope="facts",
    severity="error",
    why="Where sources disagree on what may hurt, the stricter one stands until someone decides otherwise by name.",
    safety=True,
    passes=[
        {
            "citations": [
                {
                    "about_table": "herbs",
                    "record": "demo-root",
                    "column": "toxicity",
                    "source": "demo-book",
                    "stated": "slight",
                }
            ]
        },
        {
            "citations": [
                {
                    "about_table": "herbs",
                    "record": "demo-root",
                    "column": "toxicity",
                    "source": "demo-classic",
                    "stated": "very-toxic",
                }
            ]
        },
    ],
    fails=[
        {
            "citations": [
                {
                    "about_table": "herbs",
                    "record": "demo-root",
                    "column": "toxicity",
                    "source": "demo-book",
                    "stated": "very-toxic",
                }
            ]
        },
        {
            "citations": [
                {
                    "about_table": "cautions",
                    "record": "demo-leaf|pregnancy|",
                    "column": "state",
                    "source": "demo-law",
                    "stated": "avoid",
                }
            ]
        },
        {
            "citations": [
                {
                    "about_table": "cautions",
                    "record": "demo-leaf|pregnancy|",
                    "column": "state",
                    "source": "demo-law",
                    "stated": "孕妇禁用",
                }
            ]
        },
        {
            "citations": [
                {
                    "about_table": "doses",
                    "record": "demo-leaf|decoction|day|adult|",
                    "column": "max",
                    "source": "demo-standard",
                    "stated": "6",
                }
            ]
        },
    ],
)
def sources_disagree_on_safety(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each safety cell that is looser than a standard, law or textbook cited for it."""
    package = facts.package
    kinds = dict(zip(*(package.tables["sources"].columns[column] for column in ("id", "kind")), strict=True))
    grades = facts.vocabularies["toxicities"]
    ranks = {id: rank for id in grades.ids if (rank := grades.rank(id)) is not None}
    by_key: dict[str, dict[str, int]] = {}
    for citation in rows(package.tables["citations"]):
        if citation.value or not citation.stated or kinds.get(citation.source) not in _DECIDING:
            continue
        table = package.tables.get(citation.about_table)
        if (
            table is None
            or citation.column not in table.columns
            or not _about_safety(citation.about_table, citation.column)
        ):
            continue
        if citation.about_table not in by_key:
            by_key[citation.about_table] = {table.key(row): row for row in range(len(table))}
        row = by_key[citation.about_table].get(citation.record)
        if row is not None and _looser(table, row, citation, ranks):
            chosen = table.columns[citation.column][row] or "nothing"
            message = f"{citation.source} states {citation.stated} ({citation.where}); {chosen} is looser."
            yield table.problem(
                row,
                citation.column,
                "",
                message,
                tip=f"Write {citation.stated}, or record an exception with the reason.",
            )


def _about_safety(table: str, column: str) -> bool:
    return (
        (table, column) in _HIGHER_IS_LOOSER | _LOWER_IS_LOOSER
        or column in ("toxicity", "status")
        or (table, column) == ("cautions", "state")
    )


def _looser(table: Table, row: int, citation: Row, ranks: Mapping[str, float]) -> bool:
    chosen, stated, cell = table.columns[citation.column][row], citation.stated, (citation.about_table, citation.column)
    if cell in _HIGHER_IS_LOOSER | _LOWER_IS_LOOSER:
        ours, theirs = _number(chosen), _number(stated)
        if theirs is None:
            return False
        return ours is None or (ours > theirs if cell in _HIGHER_IS_LOOSER else ours < theirs)
    if citation.column == "toxicity":
        return stated in ranks and ranks[stated] > 0 and ranks.get(chosen, -1.0) < ranks[stated]
    if citation.column == "state":
        stated = next((state for word, state in _WORDS if word in stated), stated)
    order = _STATES if citation.column == "state" else _STATUSES
    return stated in order and chosen in order and order.index(chosen) < order.index(stated)


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None
