"""Actions: what is said and unsaid of the same subject, and two ways to say one thing."""

from collections.abc import Iterable, Iterator

from materia_data.check.checks._subjects import values
from materia_data.check.registry import check
from materia_data.check.rows import Row, rows
from materia_data.facts.facts import Facts
from materia_data.problem import Problem


@check(
    id="negative-under-positive",
    scope="facts",
    severity="error",
    why="Of two rows that contradict each other one is wrong, and a reader meets either.",
    passes=[
        {"herb_actions": [{"subject": "demo-kelp", "action": "cool-blood", "polarity": "does-not"}]},
        {
            "herb_actions": [
                {"subject": "demo-seed", "action": "relieve-pain", "polarity": "does"},
                {"subject": "demo-seed", "action": "relieve-pain", "site": "head", "polarity": "does-not"},
            ]
        },
        {
            "herb_actions": [
                {"subject": "demo-root", "action": "relieve-pain", "polarity": "does-not"},
                {"subject": "demo-root.zhi", "action": "relieve-pain", "polarity": "does"},
            ]
        },
    ],
    fails=[
        {
            "herb_actions": [
                {"subject": "demo-leaf", "action": "cool-blood-stop-bleeding", "polarity": "does"},
                {"subject": "demo-leaf", "action": "stop-bleeding", "polarity": "does-not"},
            ]
        },
        {
            "herb_actions": [
                {"subject": "demo-kelp", "action": "clear-heat", "site": "stomach", "polarity": "does"},
                {"subject": "demo-kelp", "action": "clear-heat", "site": "middle-burner", "polarity": "does-not"},
            ]
        },
        {
            "herb_actions": [
                {"subject": "demo-seed", "action": "stop-bleeding", "cause": "wind-cold", "polarity": "does-not"},
                {"subject": "demo-seed", "action": "stop-bleeding", "cause": "wind-cold", "site": "lung"},
            ]
        },
    ],
)
def negative_under_positive(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each stated action that a stated negative of the same subject bars.

    A negative bars the action and all narrower ones, at any site and from any cause unless it names them. Forms are
    judged by their own rows: an own row of theirs overrules the herb's.
    """
    actions = facts.vocabularies["actions"]
    negatives: dict[tuple[str, str], list[Row]] = {}
    for row in rows(facts.package.tables["herb_actions"]):
        if row.polarity == "does-not":
            negatives.setdefault((row.subject, row.action), []).append(row)
    if not negatives:
        return
    for row in rows(facts.package.tables["herb_actions"]):
        if row.polarity != "does":
            continue
        for action in sorted(actions.up(row.action)):
            for negative in negatives.get((row.subject, action), ()):
                if _covers(facts, negative, row, "site", "sites") and _covers(facts, negative, row, "cause", "causes"):
                    message = f"It does {_said(row)}, and {negative.where} says that it does not {_said(negative)}."
                    yield row.problem(
                        "action", message, tip="Settle which of the two rows is right and delete the other."
                    )


@check(
    id="narrow-action-exists",
    scope="facts",
    severity="error",
    why="Two ways to say one thing split the data: half of the medicinals are then found under each.",
    passes=[
        {"herb_actions": [{"subject": "demo-leaf", "action": "cool-blood-stop-bleeding", "polarity": "does"}]},
        {"herb_actions": [{"subject": "demo-leaf", "action": "stop-bleeding", "cause": "phlegm", "polarity": "does"}]},
        {"herb_actions": [{"subject": "demo-kelp", "action": "clear-heat", "cause": "heat", "polarity": "does"}]},
    ],
    fails=[
        {
            "herb_actions": [
                {"subject": "demo-leaf", "action": "stop-bleeding", "cause": "blood-heat", "polarity": "does"}
            ]
        },
        {"herb_actions": [{"subject": "demo-leaf", "action": "stop-bleeding", "cause": "cold", "polarity": "does"}]},
        {"herb_actions": [{"subject": "demo-leaf", "action": "clear-heat", "cause": "blood-heat", "polarity": "does"}]},
    ],
)
def narrow_action_exists(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each stated action with a cause that a narrower action says by its name.

    The narrower one is meant if it implies that very cause, at no other site, and adds nothing else: whatever other
    action it is a kind of implies the same cause or none.
    """
    actions = facts.vocabularies["actions"]
    narrow: dict[tuple[str, str], list[str]] = {}
    for id in actions.ids:
        cause = actions.cell(id, "implied_cause")
        above = actions.up(id) - {id}
        if not cause:
            continue
        for action in above:
            others = above - actions.up(action)
            same = all(
                actions.cell(other, "implied_cause") in ("", cause) or other in _above(facts, others, cause, id)
                for other in others
            )
            if same and actions.cell(action, "implied_cause") != cause:
                narrow.setdefault((action, cause), []).append(id)
    for row in rows(facts.package.tables["herb_actions"]):
        if not row.cause or row.polarity != "does":
            continue
        sites = ("", row.site, actions.cell(row.action, "implied_site"))
        fits = [id for id in narrow.get((row.action, row.cause), ()) if actions.cell(id, "implied_site") in sites]
        if fits:
            yield row.problem(
                "action",
                f"{row.action} from {row.cause} has an action of its own.",
                tip=f"Write {' or '.join(fits)}, and leave the cause empty.",
            )


@check(
    id="loses-without-negative",
    scope="herb_actions",
    severity="error",
    why="A form that loses an action but states no negative still inherits it.",
    passes=[
        {"subject": "demo-root.zhi", "action": "warm-interior", "change": "loses", "polarity": "does-not"},
        {"subject": "demo-root.zhi", "action": "warm-interior", "change": "weaker", "polarity": "does"},
    ],
    fails=[{"subject": "demo-root.zhi", "action": "warm-interior", "change": "loses", "polarity": "does"}],
)
def loses_without_negative(actions: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each row that says a form loses the action and yet has it."""
    for row in actions:
        if row.change == "loses" and row.polarity != "does-not":
            tip = "Write does-not under polarity; if the action is only less, write weaker under change."
            yield row.problem("change", f"The form is said to lose {row.action}, and to do it.", tip=tip)


@check(
    id="change-of-a-herb",
    scope="herb_actions",
    severity="error",
    why="Only a form can gain or lose something: a herb is what the change is measured from.",
    passes=[{"subject": "demo-root.zhi", "action": "relieve-pain", "change": "gains", "polarity": "does"}],
    fails=[{"subject": "demo-leaf", "action": "clear-heat", "change": "stronger", "polarity": "does"}],
)
def change_of_a_herb(actions: Iterable[Row]) -> Iterator[Problem]:
    """Yield a problem for each row of a herb that says what a preparation changes."""
    for row in actions:
        if row.change and "." not in row.subject:
            tip = "Name the form, such as herb.form, or leave the cell empty."
            yield row.problem("change", f"{row.subject} is no form, and its {row.action} is said to change.", tip=tip)


@check(
    id="member-against-its-tendency",
    scope="facts",
    severity="warning",
    why="A member without the action that defines its category is misfiled, or lacks its most important row.",
    passes=[
        {
            "herb_actions": [
                {"subject": "demo-kelp", "action": "cool-blood", "polarity": "does"},
                {"subject": "demo-seed", "action": "warm-interior", "polarity": "does"},
            ]
        }
    ],
    fails=[{"herb_actions": [{"subject": "demo-kelp", "action": "cool-blood", "polarity": "does"}]}],
)
def member_against_its_tendency(facts: Facts) -> Iterator[Problem]:
    """Yield a problem for each herb with neither its category's nor its group's defining action, nor a narrower one."""
    actions = facts.vocabularies["actions"]
    defining = {
        id: action
        for table in ("categories", "groups")
        for id, action in zip(
            *(facts.package.tables[table].columns[cell] for cell in ("id", "defining_action")), strict=True
        )
        if action
    }
    for row in rows(facts.package.tables["herbs"]):
        asked = list(dict.fromkeys(defining[id] for id in (row.category, row.subgroup) if id in defining))
        if not asked:
            continue
        has = values(facts, row.id, "action") | values(facts, facts.default_form(row.id), "action")
        if not any(has & actions.down(action) for action in asked):
            named = " and no ".join(asked)
            message = (
                f"It states no {named}, which defines the category or group it is taught in, and nothing narrower."
            )
            yield row.problem("category", message, tip="Add the action to herb_actions, or correct the category.")


def _covers(facts: Facts, negative: Row, positive: Row, column: str, vocabulary: str) -> bool:
    """Whether the site or cause of the negative takes in one of the positive's, stated or implied."""
    barred = getattr(negative, column)
    if not barred:
        return True
    actions = facts.vocabularies["actions"]
    has = {getattr(positive, column)} | {actions.cell(row.action, f"implied_{column}") for row in (positive, negative)}
    return bool(has & facts.vocabularies[vocabulary].down(barred))


def _above(facts: Facts, others: frozenset[str], cause: str, id: str) -> set[str]:
    """Of the other actions those that a kind of them with the very same cause already stands for."""
    actions = facts.vocabularies["actions"]
    same = {other for other in others if actions.cell(other, "implied_cause") == cause}
    return {broader for other in same for broader in actions.up(other)}


def _said(row: Row) -> str:
    of = ", ".join(f"{column} {getattr(row, column)}" for column in ("site", "cause") if getattr(row, column))
    return f"{row.action} ({of})" if of else str(row.action)
