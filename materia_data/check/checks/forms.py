"""Forms: what a bare name means, and what a form must say for itself."""

from collections.abc import Iterable, Iterator

from materia_data.check.checks._subjects import graded_toxic
from materia_data.check.registry import check
from materia_data.check.rows import Row, rows
from materia_data.facts.facts import Facts
from materia_data.problem import Problem
from materia_data.read.package import Package

_UNLIKE = ("raw", "part", "artificial")
_RAW = ("raw", "fresh")
_SAID = {"doses": "dose", "handling": "handling", "herb_actions": "actions"}


@check(
    id="default-form-missing",
    scope="facts",
    severity="error",
    why="A bare name on a prescription must not be left to mean the toxic raw drug.",
    safety=True,
    passes=[
        {"forms": [{"id": "demo-leaf.sheng", "herb": "demo-leaf", "kind": "raw"}]},
        {
            "forms": [
                {"id": "demo-seed.sheng", "herb": "demo-seed", "kind": "raw"},
                {"id": "demo-seed.chao", "herb": "demo-seed", "kind": "prepared", "method": "stir-frying"},
            ]
        },
    ],
    fails=[
        {"herbs": [{"id": "demo-root", "default_form": ""}]},
        {
            "forms": [
                {"id": "demo-seed.sheng", "herb": "demo-seed", "kind": "raw", "toxicity": "slight"},
                {"id": "demo-seed.chao", "herb": "demo-seed", "kind": "prepared", "method": "stir-frying"},
            ]
        },
    ],
)
def default_form_missing(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each herb with a raw and a prepared form, one of them toxic, and no default form."""
    toxic = graded_toxic(facts)
    kinds: dict[str, list[Row]] = {}
    for form in rows(facts.package.tables["forms"]):
        kinds.setdefault(form.herb, []).append(form)
    for herb in rows(facts.package.tables["herbs"]):
        forms = kinds.get(herb.id, [])
        raw = [form for form in forms if form.kind in _RAW]
        prepared = [form for form in forms if form.kind == "prepared"]
        if herb.default_form or not raw or not prepared:
            continue
        if not toxic.isdisjoint((herb.id, *(form.id for form in (*raw, *prepared)))):
            message = (
                f"It has {raw[0].id} and {prepared[0].id}, one of them is toxic, and nothing says which the "
                "bare name means."
            )
            tip = f"Write {prepared[0].id}, or whichever form the standard means by {herb.name_hans}."
            yield herb.problem("default_form", message, tip=tip)


@check(
    id="form-inherits-what-it-must-not",
    scope="package",
    severity="warning",
    why=(
        "Doses, handling and actions of the prepared drug are seldom those of the raw drug, of another part, "
        "or of an artificial one."
    ),
    passes=[
        {"forms": [{"id": "demo-leaf.sheng", "herb": "demo-leaf", "kind": "raw", "inherits": "safety"}]},
        {"forms": [{"id": "demo-leaf.mi", "herb": "demo-leaf", "kind": "prepared", "method": "honey-frying"}]},
        {
            "forms": [{"id": "demo-leaf.geng", "herb": "demo-leaf", "kind": "part", "inherits": "all"}],
            "herb_actions": [{"subject": "demo-leaf.geng", "action": "relieve-pain", "polarity": "does"}],
            "doses": [{"subject": "demo-leaf.geng"}],
            "handling": [{"subject": "demo-leaf.geng"}],
        },
    ],
    fails=[
        {"forms": [{"id": "demo-leaf.sheng", "herb": "demo-leaf", "kind": "raw", "inherits": "all"}]},
        {
            "forms": [{"id": "demo-leaf.geng", "herb": "demo-leaf", "kind": "part", "inherits": "all"}],
            "doses": [{"subject": "demo-leaf.geng"}],
        },
    ],
)
def form_inherits_what_it_must_not(package: Package) -> Iterator[Problem]:
    """Yield a problem for each raw, part or artificial form that takes its herb's doses, handling or actions without
    a word."""
    said = {table: set(package.tables[table].columns["subject"]) for table in _SAID}
    for form in rows(package.tables["forms"]):
        if form.kind not in _UNLIKE or form.inherits != "all":
            continue
        taken = [word for table, word in _SAID.items() if form.herb in said[table] and form.id not in said[table]]
        if taken:
            message = f"A form of kind {form.kind} inherits the {_listed(taken)} of {form.herb}."
            tip = f"State the {_listed(taken)} of the form itself, or write safety under inherits."
            yield form.problem("inherits", message, tip=tip)


@check(
    id="prepared-form-without-method",
    scope="forms",
    severity="error",
    why="How it was prepared is what sets the form apart.",
    passes=[{"id": "demo-leaf.mi", "herb": "demo-leaf", "kind": "prepared", "method": "honey-frying"}],
    fails=[
        {"id": "demo-leaf.mi", "herb": "demo-leaf", "kind": "prepared", "method": ""},
        {"id": "demo-leaf.mi", "herb": "demo-leaf", "kind": "prepared", "method": "-"},
    ],
)
def prepared_form_without_method(forms: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each prepared form with no method."""
    for form in forms:
        if form.kind == "prepared" and form.method in ("", "-"):
            tip = "Name the method (terms/methods.csv), or correct the kind."
            yield form.problem("method", "The form is prepared, and nothing says how.", tip=tip)


@check(
    id="form-without-change-told",
    scope="package",
    severity="warning",
    why="A prepared form is taught for what the preparation changes.",
    passes=[
        {"forms": [{"id": "demo-leaf.mi", "herb": "demo-leaf", "kind": "prepared", "changes": "Milder."}]},
        {
            "forms": [{"id": "demo-leaf.mi", "herb": "demo-leaf", "kind": "prepared"}],
            "herb_actions": [
                {"subject": "demo-leaf.mi", "action": "relieve-pain", "polarity": "does", "change": "gains"}
            ],
        },
    ],
    fails=[{"forms": [{"id": "demo-leaf.mi", "herb": "demo-leaf", "kind": "prepared", "changes": ""}]}],
)
def form_without_change_told(package: Package) -> Iterator[Problem]:
    """Yield a problem for each prepared form of which neither a sentence nor an own row of actions tells a change."""
    told = {row.subject for row in rows(package.tables["herb_actions"]) if row.change or "." in row.subject}
    for form in rows(package.tables["forms"]):
        if form.kind == "prepared" and not form.changes and form.id not in told:
            tip = "Say in one sentence what it does more, less or differently than the herb."
            yield form.problem("changes", "Nothing says what the preparation changes.", tip=tip)


@check(
    id="looser-form-not-confirmed",
    scope="facts",
    severity="note",
    why="A form's looser safety value holds only if it was read in a standard, law or textbook, with a reason.",
    passes=[
        {
            "forms": [
                {
                    "id": "demo-root.zhi",
                    "toxicity": "slight",
                    "basis": "collated",
                    "source": "demo-standard",
                    "locator": "p. 1",
                }
            ],
        },
        {"forms": [{"id": "demo-root.zhi", "toxicity": "very-toxic"}]},
    ],
    fails=[{"forms": [{"id": "demo-root.zhi", "toxicity": "slight"}]}],
)
def looser_form_not_confirmed(facts: Facts) -> Iterator[Problem]:
    """Yield a note for each value of a form that is looser than its herb's and not confirmed; the herb's is used."""
    for number, entry in facts.looser_entries:
        place, fact = facts.entries.place(entry), facts.fact(facts.subjects[number], entry)
        herb = facts.herb_of(fact.subject)
        message = f"{fact.predicate} {fact.value} is looser than {herb}'s and not confirmed, so {herb}'s is used."
        tip = "Read it in a standard, law or textbook and give locator and reason, or delete it."
        yield place.table.problem(place.row, place.column, "", message, tip=tip)


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
