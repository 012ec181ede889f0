"""Who matches a pattern, across categories, in teaching order."""

from dataclasses import dataclass

from materia_data.facts.facts import Facts
from materia_data.facts.match import match as truth_of
from materia_data.facts.pattern import parse
from materia_data.materia import Materia
from materia_data.suggest import did_you_mean
from materia_data.teach.words import row_of

_NEVER = 1 << 30
_STRENGTHS = ("drastic", "strong", "moderate", "mild")


@dataclass(frozen=True, slots=True)
class Matched:
    """One subject. unit: the first unit of the course that teaches it, or the empty string; when: so-far, later or
    not-taught, seen from the end of the unit asked about; new: first taught in that very unit; strength: of the action
    asked about, where it is stated."""

    id: str
    name_hans: str
    pinyin: str
    name_en: str
    category: str
    unit: str
    when: str
    new: bool
    strength: str


@dataclass(frozen=True, slots=True)
class Matches:
    """The subjects for which the pattern is true, in teaching order; stated_false and unstated: how many others of
    which kind; through, course: as asked, else empty."""

    pattern: str
    through: str
    course: str
    subjects: tuple[Matched, ...]
    stated_false: int
    unstated: int


def match(materia: Materia, pattern: str, *, through: str = "", course: str = "") -> Matches:
    """Match a pattern, in the order of a course; if none is named category by category, each in the order of the first
    course by id.

    through: a unit of it, to tell what was taught by its end from what comes later. Where the pattern asks for one
    action, the strength stated of it goes along. Raises PatternError, which points at the character; KeyError for a
    unit or course that is not there.
    """
    facts = materia.facts
    parsed = parse(pattern, facts)
    truth = truth_of(parsed, facts)
    asked_course = course
    course, order = _order(materia, through, course)
    places = _places(materia, order)
    shelves = _shelves(materia)
    last = order.get(through, _NEVER)
    asked = [atom.values[0] for atom in parsed.atoms() if atom.predicate == "action" and atom.values]
    action = asked[0] if len(asked) == 1 else ""
    found = []
    for number in truth.true:
        subject = facts.subjects[number]
        place = places.get(subject) or places.get(facts.herb_of(subject), (_NEVER, 0, ""))
        shelf = shelves.get(_category(facts, subject), (_NEVER, 0))
        found.append((*((place, shelf) if through or asked_course else (shelf, place)), place, subject))
    found.sort()
    return Matches(
        str(parsed),
        through,
        course if through or asked_course else "",
        tuple(_matched(materia, subject, place, through, last, action) for _, _, place, subject in found),
        len(truth.false),
        len(facts.subjects) - len(truth.true) - len(truth.false),
    )


def _order(materia: Materia, through: str, course: str) -> tuple[str, dict[str, int]]:
    """The course meant, and the position of its units."""
    units = materia.package.tables["units"]
    if through and through not in units.rows_of("id"):
        raise KeyError(f"There is no unit {through}. {did_you_mean(through, units.columns['id'])}".strip())
    courses = sorted(set(units.columns["course"]))
    if course and course not in courses:
        raise KeyError(f"There is no course {course}. {did_you_mean(course, courses)}".strip())
    if through:
        of_unit = units.row(units.rows_of("id")[through][0])["course"]
        if course and course != of_unit:
            raise KeyError(f"The unit {through} belongs to the course {of_unit}, not to {course}.")
        course = of_unit
    chosen = course or (courses[0] if courses else "")
    rows = [units.row(number) for number in units.rows_of("course").get(chosen, ())]
    return chosen, {row["id"]: _whole(row["position"]) for row in rows}


def _places(materia: Materia, order: dict[str, int]) -> dict[str, tuple[int, int, str]]:
    """Where each subject is first taught: the unit's position, its own in the unit, the unit."""
    taught = materia.package.tables["unit_subjects"].columns
    places: dict[str, tuple[int, int, str]] = {}
    for subject, unit, position in zip(taught["subject"], taught["unit"], taught["position"], strict=True):
        if unit in order:
            place = (order[unit], _whole(position), unit)
            places[subject] = min(place, places.get(subject, place))
    return places


def _shelves(materia: Materia) -> dict[str, tuple[int, int]]:
    """Where each category stands: those of medicinals before those of formulas."""
    table = materia.package.tables["categories"]
    rows = (table.row(number) for number in range(len(table)))
    return {row["id"]: (int(row["scheme"] == "formulas"), _whole(row["position"])) for row in rows}


def _category(facts: Facts, subject: str) -> str:
    own = row_of(facts, facts.kind(subject), subject).get("category", "")
    return own or row_of(facts, "herbs", facts.herb_of(subject)).get("category", "")


def _matched(
    materia: Materia, subject: str, place: tuple[int, int, str], through: str, last: int, action: str
) -> Matched:
    facts = materia.facts
    row = row_of(facts, facts.kind(subject), subject)
    when = "" if not through else "not-taught" if not place[2] else "so-far" if place[0] <= last else "later"
    return Matched(
        subject, row["name_hans"], row["pinyin"], row["name_en"], _category(facts, subject), place[2], when,
        bool(through) and place[2] == through, _strength(materia, subject, action),
    )  # fmt: skip


def _strength(materia: Materia, subject: str, action: str) -> str:
    """The greatest strength stated of the action or of a narrower one."""
    if not action:
        return ""
    narrower = materia.facts.vocabularies["actions"].down(action)
    stated = {
        dict(fact.qualifiers).get("strength", "")
        for fact in materia.facts.of(subject, "action")
        if fact.stated and fact.value in narrower
    }
    return next((strength for strength in _STRENGTHS if strength in stated), "")


def _whole(text: str) -> int:
    return int(text) if text.lstrip("-").isdigit() else _NEVER
