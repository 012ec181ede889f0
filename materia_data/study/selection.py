"""What a sheet or a set of cards is about: the medicinals of a category, a group, a unit or a pattern, and how many of
them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from materia_data.facts.facts import Facts
from materia_data.facts.match import match
from materia_data.facts.pattern import PatternError, parse
from materia_data.materia import Materia
from materia_data.suggest import did_you_mean
from materia_data.teach.words import row_of

DEPTHS = ("core", "familiar", "aware", "all")
_HANDED_OUT = 24
_KINDS = ("herbs", "forms", "formulas")
_LAST = 1 << 30


class SelectionError(LookupError):
    """Nothing to hand out: says what was asked, why it gives nothing, and what is near."""


@dataclass(frozen=True, slots=True)
class Selection:
    """What was chosen.

    kind: category, group, unit or pattern; row: of the category, group or unit, else empty; of: herbs, forms or
    formulas; chosen: ids in the order of the course; left_out: those of lesser depth; formulas: taught beside
    medicinals in the same unit; whole: the pattern that all of them match; shelf: the category or group that most
    belong to; course, unit: where the course stands when this is taught; depth: how far down chosen goes, or empty.
    """

    asked: str
    kind: str
    row: dict[str, str]
    of: str
    chosen: tuple[str, ...]
    left_out: tuple[str, ...]
    formulas: tuple[str, ...]
    whole: str
    shelf: dict[str, str]
    course: str
    unit: str
    depth: str


def select(materia: Materia, asked: str, *, depth: str = "", course: str = "") -> Selection:
    """Choose. depth: core, familiar, aware (all that the course teaches) or all; left out, the widest with at most 24.

    course: whose order and depth to take; a unit's own by itself, else the first by id. Raises SelectionError.
    """
    facts = materia.facts
    kind, row, whole = _asked(facts, asked)
    if depth and depth not in DEPTHS:
        raise SelectionError(f"There is no depth {depth}. {did_you_mean(depth, DEPTHS)}".strip())
    course = _course(facts, course, row if kind == "unit" else {})
    taught = _taught(facts, course, row.get("id", "") if kind == "unit" else "")
    inside = [facts.subjects[number] for number in match(parse(whole, facts), facts).true]
    of = next((kind for kind in _KINDS if any(facts.kind(one) == kind for one in inside)), "")
    if not of:
        raise SelectionError(f"Nothing matches {asked}: there is nothing to hand out.")
    members = sorted((one for one in inside if facts.kind(one) == of), key=lambda one: (_place(taught, one), one))
    depth = depth or _widest(members, taught)
    reach = DEPTHS.index(depth)
    chosen = tuple(one for one in members if _depth(taught, one) <= reach)
    if not chosen:
        raise SelectionError(
            f"None of the {len(members)} in {asked} is taught as {depth} in {course or 'any course'}. "
            "Ask with --depth all."
        )
    formulas = [one for one in inside if facts.kind(one) == "formulas"] if of != "formulas" else []
    at_home = _at_home(facts, chosen, row)
    return Selection(
        asked, kind, row, of, chosen, tuple(one for one in members if one not in set(chosen)),
        tuple(sorted(formulas, key=lambda one: (_place(taught, one), one))), whole,
        row if kind in ("category", "group") else _shelf(facts, chosen), course,
        row["id"] if kind == "unit" else _when(taught, at_home or chosen), depth if len(chosen) < len(members) else "",
    )  # fmt: skip


def _asked(facts: Facts, asked: str) -> tuple[str, dict[str, str], str]:
    text = asked.strip()
    for table, kind, predicate in (
        ("categories", "category", "category"),
        ("groups", "group", "subgroup"),
        ("units", "unit", "taught-in"),
    ):
        rows = facts.package.tables[table]
        for number in range(len(rows)):
            row = rows.row(number)
            called = {row["id"], row.get("name_hans", ""), row.get("name_en", ""), row.get("title", "")} - {""}
            if text.casefold() in {one.casefold() for one in called}:
                return kind, row, f"{predicate}:{row['id']}"
    try:
        parse(text, facts)
    except PatternError as error:
        names = [id for table in ("categories", "groups", "units") for id in facts.package.tables[table].columns["id"]]
        said = f"\n{error}" if any(mark in text for mark in ":=[(") else ""
        near = did_you_mean(text, names) or "`materia match` and `materia standouts` tell what there is."
        raise SelectionError(f"{asked} is no category, group or unit, and no pattern. {near}{said}") from None
    return "pattern", {}, text


def _course(facts: Facts, course: str, unit: dict[str, str]) -> str:
    courses = sorted(set(facts.package.tables["units"].columns["course"]) - {""})
    if course and course not in courses:
        raise SelectionError(f"There is no course {course}. {did_you_mean(course, courses)}".strip())
    if course and unit and unit["course"] != course:
        raise SelectionError(f"The unit {unit['id']} belongs to the course {unit['course']}, not to {course}.")
    return course or unit.get("course", "") or (courses[0] if courses else "")


Taught = dict[str, tuple[int, int, str, int]]


def _taught(facts: Facts, course: str, only: str) -> Taught:
    """Where a course first teaches each: the unit's position, its own in the unit, the unit; and how deep at most."""
    units = facts.package.tables["units"]
    order = {
        units.columns["id"][n]: _whole(units.columns["position"][n]) for n in units.rows_of("course").get(course, ())
    }
    found: Taught = {}
    rows = facts.package.tables["unit_subjects"]
    for number in range(len(rows)):
        row = rows.row(number)
        if row["unit"] not in order or (only and row["unit"] != only):
            continue
        depth = DEPTHS.index(row["depth"]) if row["depth"] in DEPTHS else len(DEPTHS) - 1
        place = (order[row["unit"]], _whole(row["position"]), row["unit"])
        had = found.get(row["subject"])
        found[row["subject"]] = (*min(place, had[:3] if had else place), min(depth, had[3] if had else depth))
    return found


def _place(taught: Taught, subject: str) -> tuple[int, int]:
    return taught[subject][:2] if subject in taught else (_LAST, _LAST)


def _depth(taught: Taught, subject: str) -> int:
    return taught[subject][3] if subject in taught else len(DEPTHS) - 1


def _widest(members: Sequence[str], taught: Taught) -> str:
    """The widest depth that a sheet can hold; the least deep that has anyone where even that is too many."""
    counts = [sum(_depth(taught, one) <= reach for one in members) for reach in range(len(DEPTHS))]
    fitting = [depth for depth, count in zip(DEPTHS, counts, strict=True) if 0 < count <= _HANDED_OUT]
    return fitting[-1] if fitting else next(depth for depth, count in zip(DEPTHS, counts, strict=True) if count)


def _when(taught: Taught, chosen: Sequence[str]) -> str:
    """The last unit that first teaches one of the chosen."""
    places = [taught[one] for one in chosen if one in taught]
    return max(places)[2] if places else ""


def _at_home(facts: Facts, chosen: Sequence[str], row: dict[str, str]) -> list[str]:
    """Those that belong to this category or group first of all, not as well."""
    own = (row_of(facts, facts.kind(one), one) for one in chosen)
    return [mine["id"] for mine in own if row.get("id", "") in (mine.get("category"), mine.get("subgroup"))]


def _shelf(facts: Facts, chosen: Sequence[str]) -> dict[str, str]:
    """The group, else the category, that at least three in five belong to."""
    for table, column in (("groups", "subgroup"), ("categories", "category")):
        found = Counter(row_of(facts, facts.kind(one), one).get(column, "") for one in chosen)
        id, count = found.most_common(1)[0]
        if id and 5 * count >= 3 * len(chosen):
            return row_of(facts, table, id)
    return {}


def _whole(text: str) -> int:
    return int(text) if text.lstrip("-").isdigit() else _LAST
