"""When to go over each unit again before the examination: plain dates, from the order of the units and a published
result on spacing. No account, and nobody is followed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from math import log

from materia_data.check.signoffs import in_words
from materia_data.materia import Materia
from materia_data.notice import LICENCE, TEACHING
from materia_data.suggest import did_you_mean

SOURCE = (
    "N. J. Cepeda, E. Vul, D. Rohrer, J. T. Wixted, H. Pashler: Spacing effects in learning: a temporal ridgeline of "
    "optimal retention. Psychological Science 19, 2008, 1095-1102"
)
BASIS = "memory"
RULE = (
    "The best gap was about 20 to 40 % of a wait of a week and 5 to 10 % of a wait of a year. Taken are 30 % and "
    "7.5 %, between them a share that falls with the logarithm of the wait. It was measured on one review; later ones "
    "go by the days then left."
)
_WEEK, _YEAR = (7, 0.30), (365, 0.075)
_MOST = 400


class ScheduleError(ValueError):
    """A schedule that cannot be made: says why and what to do."""


@dataclass(frozen=True, slots=True)
class Sitting:
    """One date for one unit. what: new, or review; number: which review; gap: days since the unit was last gone over;
    left: days to the examination; subjects: how many the unit teaches."""

    on: str
    unit: str
    position: int
    title: str
    what: str
    number: int
    gap: int
    left: int
    subjects: int


@dataclass(frozen=True, slots=True)
class Schedule:
    """All dates, the earliest first. rule, source, basis: how the gaps were chosen, and on whose word."""

    course: str
    begins: str
    exam: str
    every: int
    reviews: int
    sittings: tuple[Sitting, ...]
    rule: str
    source: str
    basis: str
    release: str
    signed: str
    licence: str
    teaching: str


def gap(left: int) -> int:
    """Days to wait before going over something that must be known `left` days from now; 0: too near to be worth it.

    The best gap found was about 20 to 40 % of a week's wait and 5 to 10 % of a year's (SOURCE, recalled). Taken are the
    middles, 30 % and 7.5 %, and between them the share falls with the logarithm of the wait; beyond, it stays.
    """
    if left < 2:
        return 0
    (near, most), (far, least) = _WEEK, _YEAR
    place = min(max((log(left) - log(near)) / (log(far) - log(near)), 0.0), 1.0)
    return max(1, round(left * (most + place * (least - most))))


def schedule(materia: Materia, course: str, begins: date, exam: date, *, every: int = 7, reviews: int = 3) -> Schedule:
    """Dates for a course. begins: the first lesson; every: days between units; exam: when it must be known; reviews:
    how often at most a unit is gone over again, each by the same rule over the days then left.

    The result was measured on one review; that later ones go by it too is our reading. Raises ScheduleError.
    """
    units = materia.package.tables["units"]
    courses = sorted(set(units.columns["course"]) - {""})
    if course not in courses:
        near = did_you_mean(course, courses) or (f"There is {', '.join(courses)}." if courses else "")
        raise ScheduleError(f"There is no course {course}. {near}".strip())
    if not 1 <= every <= _MOST or not 0 <= reviews <= _MOST:
        raise ScheduleError(f"Units are 1 to {_MOST} days apart, and are gone over again 0 to {_MOST} times.")
    rows = sorted((units.row(number) for number in units.rows_of("course")[course]), key=_position)
    last = begins + timedelta(days=every * (len(rows) - 1))
    if exam <= last:
        raise ScheduleError(
            f"{len(rows)} units, {every} days apart from {begins}, end on {last}: the examination on {exam} comes "
            "before that. Begin earlier, or put fewer days between units with --every."
        )
    unit_subjects = materia.package.tables["unit_subjects"]
    taught = {row["id"]: unit_subjects.rows_of("unit").get(row["id"], []) for row in rows}
    found: list[Sitting] = []
    for place, row in enumerate(rows):
        first = begins + timedelta(days=every * place)
        found += _sittings(row, first, exam, reviews, len(taught[row["id"]]))
    found.sort(key=lambda one: (one.on, one.what != "new", one.position))
    members = {unit_subjects.columns["subject"][number] for numbers in taught.values() for number in numbers}
    return Schedule(
        course, begins.isoformat(), exam.isoformat(), every, reviews, tuple(found), RULE, SOURCE, BASIS,
        materia.release_id, in_words(materia, members), LICENCE, TEACHING,
    )  # fmt: skip


def _sittings(row: dict[str, str], on: date, exam: date, reviews: int, count: int) -> Iterable[Sitting]:
    since = 0
    for number in range(reviews + 1):
        left = (exam - on).days
        what = "review" if number else "new"
        yield Sitting(on.isoformat(), row["id"], _position(row), row["title"], what, number, since, left, count)
        since = gap(left)
        if not since or since >= left:
            return
        on += timedelta(days=since)


def _position(row: dict[str, str]) -> int:
    return int(row["position"]) if row["position"].isdigit() else 0
