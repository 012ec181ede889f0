"""Who matches a pattern, across categories, in teaching order."""

from dataclasses import dataclass

from materia_data.facts.match import match as truth_of
from materia_data.facts.pattern import parse
from materia_data.materia import Materia


@dataclass(frozen=True, slots=True)
class Matched:
    """One subject; unit: the first unit that teaches it, or the empty string."""

    id: str
    name_hans: str
    pinyin: str
    name_en: str
    category: str
    unit: str


@dataclass(frozen=True, slots=True)
class Matches:
    """The subjects for which the pattern is true, in teaching order; stated_false and unstated: how many others of
    which kind."""

    pattern: str
    subjects: tuple[Matched, ...]
    stated_false: int
    unstated: int


def match(materia: Materia, pattern: str) -> Matches:
    """Match a pattern. Raises PatternError, which points at the character."""
    facts = materia.facts
    parsed = parse(pattern, facts)
    truth = truth_of(parsed, facts)
    found = [_matched(materia, facts.subjects[number]) for number in sorted(truth.true)]
    places = _places(materia)
    found.sort(key=lambda one: (places.get(one.id) or places.get(facts.herb_of(one.id), (1 << 30, 0)), one.id))
    return Matches(
        str(parsed), tuple(found), len(truth.false), len(facts.subjects) - len(truth.true) - len(truth.false)
    )


def _places(materia: Materia) -> dict[str, tuple[int, int]]:
    units, taught = materia.package.tables["units"], materia.package.tables["unit_subjects"]
    order = dict(zip(units.columns["id"], map(_whole, units.columns["position"]), strict=True))
    rows = zip(taught.columns["subject"], taught.columns["unit"], map(_whole, taught.columns["position"]), strict=True)
    places: dict[str, tuple[int, int]] = {}
    for subject, unit, position in rows:
        place = (order.get(unit, 1 << 30), position)
        places[subject] = min(place, places.get(subject, place))
    return places


def _matched(materia: Materia, subject: str) -> Matched:
    kind = materia.package.subject_table(subject) or "herbs"
    table = materia.package.tables[kind]
    row = table.row(table.rows_of("id")[subject][0])
    herb = row.get("herb", subject)
    category = row.get("category") or next((cell for cell in _cells(materia, "herbs", "id", herb, "category")), "")
    unit = next(iter(_cells(materia, "unit_subjects", "subject", subject, "unit")), "")
    return Matched(subject, row["name_hans"], row["pinyin"], row["name_en"], category, unit)


def _cells(materia: Materia, table: str, column: str, value: str, wanted: str) -> list[str]:
    rows = materia.package.tables[table]
    return [rows.columns[wanted][row] for row in rows.rows_of(column).get(value, ())]


def _whole(text: str) -> int:
    return int(text) if text.lstrip("-").isdigit() else 1 << 30
