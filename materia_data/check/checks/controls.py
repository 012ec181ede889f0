"""Controls: what is withdrawn or controlled says so, and says what may lawfully take its place."""

from collections.abc import Iterator

from materia_data.check.registry import check
from materia_data.check.rows import rows
from materia_data.facts.facts import Facts
from materia_data.problem import Problem
from materia_data.read.package import Package

_GONE = "withdrawn-standard"
_NONE_NAMED = "no substitute is named"


@check(
    id="control-without-substitute",
    scope="package",
    severity="error",
    why="A withdrawn medicinal is still asked for; whoever stands at the counter must find the lawful one.",
    safety=True,
    passes=[
        {
            "herbs": [{"id": "demo-leaf", "status": "withdrawn"}],
            "controls": [{"subject": "demo-leaf", "substitute": "demo-seed"}],
        },
        {"herbs": [{"id": "demo-leaf", "status": "restricted"}]},
        {
            "herbs": [{"id": "demo-leaf", "status": "withdrawn"}],
            "controls": [{"subject": "demo-leaf", "detail": "Dropped in 2020; no substitute is named."}],
        },
    ],
    fails=[
        {"herbs": [{"id": "demo-leaf", "status": "withdrawn"}]},
        {
            "herbs": [{"id": "demo-leaf", "status": "withdrawn"}],
            "controls": [{"subject": "demo-leaf", "level": "banned"}],
        },
        {
            "levels": [{"id": "withdrawn-standard"}],
            "controls": [{"subject": "demo-leaf", "level": "withdrawn-standard"}],
        },
        {
            "herbs": [{"id": "demo-leaf", "status": "withdrawn"}],
            "controls": [
                {"subject": "demo-leaf", "substitute": "demo-seed"},
                {"subject": "demo-seed", "substitute": "demo-leaf"},
            ],
        },
    ],
)
def control_without_substitute(package: Package) -> Iterator[Problem]:
    """Yield a problem for each withdrawn medicinal without a control or a substitute, and each withdrawn substitute.

    Where the law lays down none, the detail of a control says so: "no substitute is named".
    """
    controls = list(rows(package.tables["controls"]))
    controlled = {control.subject for control in controls}
    replaced = {
        control.subject for control in controls if control.substitute or _NONE_NAMED in str(control.detail).lower()
    }
    gone = {herb.id for herb in rows(package.tables["herbs"]) if herb.status == "withdrawn"}
    for herb in rows(package.tables["herbs"]):
        if herb.status == "withdrawn" and herb.id not in controlled:
            tip = (
                "Add a row to herbs/controls.csv: which instrument withdrew it, since when, and the lawful substitute."
            )
            yield herb.problem("status", "It is withdrawn, and no control says by what.", tip=tip)
        elif herb.status == "withdrawn" and herb.id not in replaced:
            tip = (
                "Name the lawful substitute in one of its rows of herbs/controls.csv; if there is none, "
                f"write in its detail: {_NONE_NAMED}."
            )
            yield herb.problem("status", "It is withdrawn, and no control names a substitute.", tip=tip)
    for control in controls:
        if control.level == _GONE and control.subject not in replaced and control.subject not in gone:
            yield control.problem(
                "substitute", "A standard withdrew it, and no substitute is named.", tip="Name the lawful substitute."
            )
        if control.substitute and control.substitute.partition(".")[0] in gone:
            message = f"The substitute {control.substitute} is withdrawn itself."
            yield control.problem("substitute", message, tip="Name one that is in use.")


@check(
    id="controlled-taxon-without-control",
    scope="facts",
    severity="error",
    why="A plant is controlled whatever the medicinal made of it is called.",
    safety=True,
    passes=[
        {
            "species": [{"subject": "demo-seed", "taxon": "demo-planta", "part": "seed", "status": "official"}],
            "controls": [{"subject": "demo-root.sheng", "taxon": "demo-planta"}, {"subject": "demo-seed"}],
        },
        {
            "species": [{"subject": "demo-seed", "taxon": "demo-planta", "part": "seed", "status": "adulterant"}],
            "controls": [{"subject": "demo-root.sheng", "taxon": "demo-planta"}],
        },
    ],
    fails=[
        {
            "species": [{"subject": "demo-seed", "taxon": "demo-planta", "part": "seed", "status": "official"}],
            "controls": [{"subject": "demo-root.sheng", "taxon": "demo-planta"}],
        },
        {
            "taxa": [{"id": "demo-planta", "broader": "demo-genus"}, {"id": "demo-genus"}],
            "species": [{"subject": "demo-seed", "taxon": "demo-planta", "part": "seed", "status": "official"}],
            "controls": [{"subject": "demo-root.sheng", "taxon": "demo-genus"}],
        },
    ],
)
def controlled_taxon_without_control(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each medicinal whose official taxon is controlled for another, and which has no control of
    its own.

    A control of a genus reaches its species. A form's control counts for its herb.
    """
    taxa = facts.vocabularies["taxa"]
    named: dict[str, str] = {}
    controlled = set[str]()
    for control in rows(facts.package.tables["controls"]):
        controlled.add(control.subject.partition(".")[0])
        if control.taxon:
            named.setdefault(control.taxon, f"{control.instrument} ({control.where})")
    for species in rows(facts.package.tables["species"]):
        if species.status != "official" or species.subject.partition(".")[0] in controlled:
            continue
        for taxon in sorted(taxa.up(species.taxon) & named.keys()):
            message = f"{taxon} is controlled by {named[taxon]}, and {species.subject} has no control."
            tip = (
                f"Add a row for {species.subject} to herbs/controls.csv, or an exception that says why the "
                "part is free."
            )
            yield species.problem("taxon", message, tip=tip)
