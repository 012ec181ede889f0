"""Dates for going over units again: the published shares of the wait, and an order a class can keep.

Cepeda, Vul, Rohrer, Wixted and Pashler, Psychological Science 19 (2008), 1095-1102, recalled: the best gap is some 20
to 40 % of a wait of a week and 5 to 10 % of a wait of a year.
"""

from collections import defaultdict
from datetime import date, timedelta
from itertools import pairwise

import pytest

from materia_data.materia import load
from materia_data.study.schedule import ScheduleError, gap, schedule
from tests.study.read_back import rows

COURSE = "materia-medica-evening"


def test_gaps_keep_the_published_shares() -> None:
    """A week's wait has 20 to 40 % of it, a year's 5 to 10 %; a longer wait never has a shorter gap."""
    assert 0.20 <= gap(7) / 7 <= 0.40 and 0.05 <= gap(365) / 365 <= 0.10
    gaps = [gap(left) for left in range(2, 365)]
    assert gaps == sorted(gaps) and all(0 < days < left for left, days in enumerate(gaps, 2))
    shares = [gap(left) / left for left in (14, 35, 70, 140, 350)]
    assert shares == sorted(shares, reverse=True)


def test_every_unit_is_new_once_and_reviewed_after() -> None:
    """Units come in the order of the course; each is new once, every review is later, at its gap, before the day."""
    made = schedule(load(), COURSE, date(2027, 2, 1), date(2027, 7, 1), reviews=3)
    units = sorted(
        (row for row in rows("teaching/units") if row["course"] == COURSE), key=lambda row: int(row["position"])
    )
    assert [one.unit for one in made.sittings if one.what == "new"] == [row["id"] for row in units]
    by_unit = defaultdict(list)
    for one in made.sittings:
        by_unit[one.unit].append(one)
    for sittings in by_unit.values():
        assert [one.number for one in sittings] == list(range(len(sittings)))
        for before, after in pairwise(sittings):
            apart = date.fromisoformat(after.on) - date.fromisoformat(before.on)
            assert apart == timedelta(days=after.gap) == timedelta(days=gap(before.left))
    assert [one.on for one in made.sittings] == sorted(one.on for one in made.sittings)
    assert made.sittings[-1].on < made.exam and made.basis == "memory"


@pytest.mark.parametrize(
    ("course", "exam", "every", "says"),
    [
        ("materia-medica-evenin", date(2027, 7, 1), 7, "Did you mean materia-medica-evening"),
        (COURSE, date(2027, 3, 1), 7, "Begin earlier"),
        (COURSE, date(2027, 7, 1), 0, "1 to 400 days"),
        (COURSE, date(2027, 7, 1), 10**9, "1 to 400 days"),
    ],
)
def test_what_gives_no_schedule_says_why(course: str, exam: date, every: int, says: str) -> None:
    """An unknown course, too little time and impossible steps are answered in a sentence."""
    with pytest.raises(ScheduleError, match=says):
        schedule(load(), course, date(2027, 2, 1), exam, every=every)
