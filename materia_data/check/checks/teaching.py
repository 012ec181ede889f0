"""Teaching: categories, groups and units, and what a lesson still lacks."""

from collections.abc import Iterator

from materia_data.check.registry import check
from materia_data.check.rows import rows
from materia_data.problem import Problem
from materia_data.read.package import Package

_HERBS = ("demo-kelp", "demo-leaf", "demo-root", "demo-seed")


@check(
    id="group-outside-its-category",
    scope="package",
    severity="error",
    why="The medicinal would be listed under a heading of another chapter.",
    passes=[{"herbs": [{"id": "demo-kelp", "subgroup": "clear-heat-toxin"}]}],
    fails=[{"herbs": [{"id": "demo-seed", "subgroup": "clear-heat-toxin"}]}],
)
def group_outside_its_category(package: Package) -> Iterator[Problem]:
    """Yield a problem for each medicinal whose group belongs to another category than its own."""
    groups = {group.id: group.category for group in rows(package.tables["groups"])}
    for herb in rows(package.tables["herbs"]):
        category = groups.get(herb.subgroup, herb.category)
        if category != herb.category:
            message = f"{herb.subgroup} is a group of {category}, and the medicinal is taught in {herb.category}."
            yield herb.problem("subgroup", message, tip=f"Name a group of {herb.category}, or correct the category.")


@check(
    id="category-of-another-scheme",
    scope="package",
    severity="error",
    why="Medicinals and formulas are sorted by categories of their own.",
    passes=[{"herbs": [{"id": "demo-kelp", "category": "warm-interior"}]}],
    fails=[
        {"herbs": [{"id": "demo-kelp", "category": "f-clear-heat"}]},
        {"formulas": [{"id": "demo-tang", "category": "clear-heat"}]},
        {"herbs": [{"id": "demo-kelp", "also_in": "f-clear-heat"}]},
    ],
)
def category_of_another_scheme(package: Package) -> Iterator[Problem]:
    """Yield a problem for each medicinal in a category of formulas, and each formula in one of medicinals."""
    schemes = {category.id: category.scheme for category in rows(package.tables["categories"])}
    for table, columns in (("herbs", ("category", "also_in")), ("formulas", ("category",))):
        for row in rows(package.tables[table]):
            for column in columns:
                cell = getattr(row, column)
                for category in cell if isinstance(cell, tuple) else (cell,):
                    if schemes.get(category, table) != table:
                        message = f"{category} is a category of {schemes[category]}."
                        yield row.problem(column, message, tip=f"Name a category of {table}.", value=category)


@check(
    id="unit-subject-twice",
    scope="package",
    severity="warning",
    why="What is taught twice in one course is counted twice, and two depths contradict each other.",
    passes=[
        {
            "units": [{"id": "other-unit", "course": "other-course"}],
            "unit_subjects": [{"unit": "other-unit", "subject": "demo-leaf"}],
        }
    ],
    fails=[
        {
            "units": [{"id": "next-unit", "course": "demo-course", "position": 2}],
            "unit_subjects": [{"unit": "next-unit", "subject": "demo-leaf"}],
        }
    ],
)
def unit_subject_twice(package: Package) -> Iterator[Problem]:
    """Yield a problem for each subject that another unit of the same course teaches already."""
    courses = {unit.id: unit.course for unit in rows(package.tables["units"])}
    first: dict[tuple[str, str], str] = {}
    for row in rows(package.tables["unit_subjects"]):
        course = courses.get(row.unit)
        if course is not None and first.setdefault((course, row.subject), row.unit) != row.unit:
            message = f"{first[course, row.subject]} teaches {row.subject} already, in the same course."
            yield row.problem("subject", message, tip="Leave it in the unit where it is met first.")


@check(
    id="unit-order",
    scope="package",
    severity="warning",
    why="Two things in one place have no order.",
    passes=[{"unit_subjects": [{"unit": "demo-unit", "subject": "demo-seed", "position": 3}]}],
    fails=[
        {"unit_subjects": [{"unit": "demo-unit", "subject": "demo-seed", "position": 2}]},
        {"units": [{"id": "other-unit", "course": "demo-course", "position": 1}]},
        {"groups": [{"id": "other-group", "category": "clear-heat", "position": 1}]},
    ],
)
def unit_order(package: Package) -> Iterator[Problem]:
    """Yield a problem for each unit, subject or group whose place in its course, unit or category is taken."""
    for table, within, named in (
        ("units", "course", "id"),
        ("unit_subjects", "unit", "subject"),
        ("groups", "category", "id"),
    ):
        first: dict[tuple[str, float], str] = {}
        for row in rows(package.tables[table]):
            if row.position is None:
                continue
            place, name = (getattr(row, within), row.position), getattr(row, named)
            if first.setdefault(place, name) != name:
                message = f"{first[place]} has position {row.position:g} in {place[0]} already."
                yield row.problem("position", message, tip="Number them in the order in which they are taught.")


@check(
    id="species-missing",
    scope="package",
    severity="note",
    why="Without its official species nobody can tell the drug from an adulterant.",
    passes=[{"species": [{"subject": herb, "taxon": "demo-planta", "status": "official"} for herb in _HERBS]}],
    fails=[{"species": [{"subject": herb, "taxon": "demo-planta", "status": "adulterant"} for herb in _HERBS]}],
)
def species_missing(package: Package) -> Iterator[Problem]:
    """Yield one note with how many medicinals have no official taxon, a form's counting for its herb."""
    official = {row.subject.partition(".")[0] for row in rows(package.tables["species"]) if row.status == "official"}
    missing = [
        herb.id for herb in rows(package.tables["herbs"]) if herb.id not in official and herb.status != "withdrawn"
    ]
    yield from _one_note(package, "species", "taxon", "have no official taxon", missing)


@check(
    id="aid-missing",
    scope="package",
    severity="note",
    why="Something to remember it by is part of the lesson.",
    passes=[{"aids": [{"id": f"{id}-help", "subject": id, "kind": "image"} for id in _HERBS]}],
    fails=[{"aids": [{"id": "other-aid", "subject": "demo-kelp", "kind": "image"}]}],
)
def aid_missing(package: Package) -> Iterator[Problem]:
    """Yield one note with how many medicinals have nothing to remember them by."""
    aided = {subject.partition(".")[0] for subject in package.tables["aids"].columns["subject"]}
    missing = [id for id in package.tables["herbs"].columns["id"] if id not in aided]
    yield from _one_note(package, "aids", "subject", "have no aid to memory", missing)


def _one_note(package: Package, table: str, column: str, lack: str, missing: list[str]) -> Iterator[Problem]:
    total = len(package.tables["herbs"])
    if missing:
        message = f"{len(missing)} of {total} medicinals {lack}."
        tip = f"Begin with {', '.join(missing[:5])}."
        yield Problem(package.tables[table].file, 0, column, "", "", "", "", message, tip)
