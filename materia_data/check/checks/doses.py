"""Doses: ends the right way round, units, and slips of a decimal place."""

from collections.abc import Iterable, Iterator
from math import sqrt
from statistics import median

from materia_data.check.registry import check
from materia_data.check.rows import Row, rows
from materia_data.problem import Problem
from materia_data.read.package import Package

_GRAMS = {"g": 1.0, "mg": 0.001}
_FAR = 5
_WIDE = 6
_ENOUGH = 5
_HARMLESS = ("", "none", "unmarked")


@check(
    id="dose-range-order",
    scope="doses",
    severity="error",
    why="A range with its ends swapped would print as a dose.",
    passes=[{"min": "3", "max": "9"}, {"min": "6", "max": "6"}, {"min": "", "max": "9"}],
    fails=[{"min": "9", "max": "3"}, {"min": "10", "max": "9.5"}],
)
def dose_range_order(doses: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each dose whose smallest amount exceeds its largest (same unit)."""
    for dose in doses:
        if dose.min is not None and dose.max is not None and dose.min > dose.max:
            unit = f" {dose.unit}" if dose.unit else ""
            message = f"{dose.min:g} to {dose.max:g}{unit} runs backwards."
            yield dose.problem("min", message, tip="Swap the two numbers, or correct the wrong one.")


@check(
    id="dose-range-too-wide",
    scope="doses",
    severity="error",
    why="A slip of the decimal point in one end makes a range that no entry has.",
    passes=[{"min": "3", "max": "15"}, {"min": "0", "max": "9"}, {"min": "", "max": "90"}],
    fails=[{"min": "3", "max": "90"}, {"min": "0.3", "max": "9"}],
)
def dose_range_too_wide(doses: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each dose whose largest amount is more than six times its smallest; the standard's widest
    is five."""
    for dose in doses:
        if dose.min and dose.max and dose.max > _WIDE * dose.min:
            message = f"{dose.min:g} to {dose.max:g} {dose.unit} is wider than any dose of the standard."
            yield dose.problem("max", message, tip="Look both ends up again, decimal points first.")


@check(
    id="dose-unit-missing",
    scope="doses",
    severity="error",
    why="A number without a unit may be read as grams.",
    passes=[{"min": "3", "max": "9", "unit": "g"}, {"min": "", "max": "", "unit": ""}],
    fails=[{"min": "3", "max": "9", "unit": ""}, {"min": "", "max": "9", "unit": ""}],
)
def dose_unit_missing(doses: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each dose with an amount and no unit."""
    for dose in doses:
        if not dose.unit and (dose.min is not None or dose.max is not None):
            yield dose.problem("unit", "The amount has no unit.", tip="Write g, mg, ml, piece or pair.")


@check(
    id="dose-ten-fold-off",
    scope="package",
    severity="warning",
    why="A slip of the decimal point makes a poison of a medicine.",
    passes=[
        {"doses": [{"subject": "demo-kelp", "min": "15", "max": "30"}]},
        {"doses": [{"subject": "demo-seed", "route": "external", "min": "30", "max": "90"}]},
        {"doses": [{"subject": "demo-root.zhi", "min": "1500", "max": "3000", "unit": "mg"}]},
    ],
    fails=[
        {"doses": [{"subject": "demo-root.zhi", "purpose": "emergency", "min": "15", "max": "30"}]},
        {
            "herbs": [{"id": f"demo-{name}", "category": "clear-heat"} for name in "abcde"],
            "doses": [{"subject": f"demo-{name}", "min": "3", "max": "9"} for name in "abcd"]
            + [{"subject": "demo-e", "min": "30", "max": "90"}],
        },
        {
            "herbs": [{"id": f"demo-{name}", "category": "clear-heat"} for name in "abcde"],
            "doses": [{"subject": f"demo-{name}", "min": "3", "max": "9"} for name in "abcd"]
            + [{"subject": "demo-e", "min": "0.3", "max": "0.9"}],
        },
    ],
)
def dose_ten_fold_off(package: Package) -> Iterator[Problem]:
    """Yield a problem for each dose in grams that looks as if its decimal point had slipped, upwards or downwards.

    Its middle lies at least five times away from that of the medicinal's other amounts for route, period and population
    (forms with their herb), or of its category's median, if that has at least five. Five, because ten times the dose of
    a lightly dosed medicinal is nearer than ten to the usual one. Toxic medicinals are meant to have small doses, so
    those are looked at upwards only.
    """
    toxic = {
        id
        for table in ("herbs", "forms")
        for id, grade in _pairs(package, table, "id", "toxicity")
        if grade not in _HARMLESS
    }
    category = dict(_pairs(package, "herbs", "id", "category"))
    herb_of = dict(_pairs(package, "forms", "id", "herb"))
    own: dict[tuple[str, ...], list[tuple[Row, float, float]]] = {}
    taught: dict[tuple[str, ...], list[tuple[Row, float, float]]] = {}
    for dose in rows(package.tables["doses"]):
        ends = _grams(dose)
        if ends is None:
            continue
        herb = herb_of.get(dose.subject, dose.subject)
        way = (dose.route, dose.per, dose.population)
        own.setdefault((herb, *way), []).append((dose, *ends))
        if category.get(herb):
            taught.setdefault((category[herb], *way), []).append((dose, *ends))
    told: set[str] = set()
    for among, enough, whose in ((own, 2, "the medicinal's other doses"), (taught, _ENOUGH, "its category")):
        for (name, *_), found in among.items():
            if len(found) < enough:
                continue
            low, high = (median(ends) for ends in zip(*((low, high) for _, low, high in found), strict=True))
            for dose, least, most in found:
                if among is own and len(found) == 2:
                    low, high = next((other[1], other[2]) for other in found if other[0] is not dose)
                word = _far(least, most, low, high)
                small = word == "below" and (among is own or toxic & {dose.subject, herb_of.get(dose.subject, "")})
                if word and not small and dose.key not in told:
                    told.add(dose.key)
                    what = whose if among is own else f"the category {name}"
                    message = (
                        f"{dose.min or dose.max:g} to {dose.max or dose.min:g} {dose.unit} lies far {word} "
                        f"{low:g} to {high:g} g, usual for {what}."
                    )
                    yield dose.problem(
                        "max",
                        message,
                        tip="Look the dose up again, decimal point and unit; if it is right, record an exception.",
                    )


@check(
    id="child-dose-above-adult",
    scope="package",
    severity="error",
    why="No child takes more than a grown person.",
    safety=True,
    passes=[{"doses": [{"subject": "demo-leaf", "population": "child", "min": "1", "max": "3"}]}],
    fails=[
        {"doses": [{"subject": "demo-leaf", "population": "child", "min": "3", "max": "12"}]},
        {"doses": [{"subject": "demo-leaf", "population": "child", "min": "30", "max": "10000", "unit": "mg"}]},
    ],
)
def child_dose_above_adult(package: Package) -> Iterator[Problem]:
    """Yield a problem for each largest dose of children or infants above the adults' for the same route, period and
    purpose."""
    adult = {}
    for dose in rows(package.tables["doses"]):
        if dose.population == "adult" and dose.max is not None and dose.unit in _GRAMS:
            adult[dose.subject, dose.route, dose.per, dose.purpose] = dose.max * _GRAMS[dose.unit]
    for dose in rows(package.tables["doses"]):
        if dose.population in ("child", "infant") and dose.max is not None and dose.unit in _GRAMS:
            most = adult.get((dose.subject, dose.route, dose.per, dose.purpose))
            if most is not None and dose.max * _GRAMS[dose.unit] > most:
                message = f"{dose.max:g} {dose.unit} for a {dose.population} is above the {most:g} g for adults."
                yield dose.problem("max", message, tip="Correct the larger of the two, or the population.")


def _pairs(package: Package, table: str, one: str, other: str) -> Iterator[tuple[str, str]]:
    return zip(package.tables[table].columns[one], package.tables[table].columns[other], strict=True)


def _grams(dose: Row) -> tuple[float, float] | None:
    """Smallest and largest amount [g], one standing for the other; None where nothing compares."""
    ends = [end for end in (dose.min, dose.max) if end]
    factor = _GRAMS.get(dose.unit)
    return (min(ends) * factor, max(ends) * factor) if ends and factor else None


def _far(least: float, most: float, low: float, high: float) -> str:
    """`above` or `below` where the middle of a range lies far from the usual one's; else the empty string.

    The middle is the geometric one, so that a factor counts alike up and down.
    """
    middle, usual = sqrt(least * most), sqrt(low * high)
    if not middle or not usual:
        return ""
    return "above" if middle >= _FAR * usual else "below" if usual >= _FAR * middle else ""
