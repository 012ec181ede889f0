"""The page of one formula."""

from collections.abc import Sequence

from materia_exporters.monographs.layers import loosened_lines, said_lines
from materia_exporters.monographs.markdown import plain, sentence, table
from materia_exporters.monographs.shared import (
    aid_lines,
    caution_lines,
    control_lines,
    not_checked,
    other_readings,
    page,
    source_lines,
)
from materia_exporters.monographs.words import STATES, Row, Words

_AIMS = ("causes", "actions", "indications", "sites", "herbs", "forms")


def formula_page(words: Words, formula: str) -> str:
    """The page as Markdown. For safety a bare name is read as its default form."""
    items = words.rows("formula_items", "formula", formula)
    items.sort(key=lambda row: int(row["position"]) if row["position"].isdecimal() else 1 << 30)
    row = words.row("formulas", formula)
    words.open(formula)
    meant = list(
        dict.fromkeys(words.facts.default_form(item["subject"]) for item in items if item["subject"] in words.materia)
    )
    clashes = _antagonisms(words, formula, items)
    records = [("formulas", formula), *(("formula_items", f"{formula}|{item['position']}") for item in items)]
    sections = (
        (
            "Safety first",
            [
                *loosened_lines(words, [formula], meant),
                *clashes,
                *caution_lines(words, [formula]),
                *not_checked(words, formula),
                *_from_items(words, meant),
            ],
        ),
        ("What it does", _does(words, row)),
        ("Items and reasons", _items(words, row, items)),
        ("Law on its items", control_lines(words, [formula, *meant])),
        ("To remember", aid_lines(words, [formula])),
        ("What sources state beside this", other_readings(words, records)),
        ("Said by layers", said_lines(words, [formula])),
        ("Sources", source_lines(words, [formula])),
    )
    return page(words, _plate(words, row), sections)


def _plate(words: Words, row: Row) -> list[str]:
    traditional = f"traditional script {plain(row['name_hant'])}" if row["name_hant"] else ""
    lines = [f"# {words.name(row['id'])}", "", " · ".join(filter(None, (plain(row["name_en"]), traditional))), ""]
    said = [
        f"Category: {words.term('categories', row['category'])}." if row["category"] else "",
        f"From: {words.title(row['source_text'])}." if row["source_text"] else "",
        f"Given as: {words.term('dosage_forms', row['dosage_form'])}." if row["dosage_form"] else "",
        f"Derived from {words.link(row['derived_from'])}." if row["derived_from"] else "",
        sentence(row["note"]),
    ]
    names = [plain(name["name"]) for name in words.rows("names", "subject", row["id"])]
    return [*lines, " ".join(filter(None, said)), *(["", f"Other names: {', '.join(names)}."] if names else [])]


def _antagonisms(words: Words, formula: str, items: Sequence[Row]) -> list[str]:
    """A line for each two items that must not be combined, with the recorded exception that lets them stand."""
    exceptions = {row["value"]: row for row in words.rows("exceptions", "subject", formula)}
    lines = []
    for place, first in enumerate(items):
        for second in items[place + 1 :]:
            state = _opposed(words, first["subject"], second["subject"])
            if state is None or _alternatives(first, second):
                continue
            pair = "+".join(sorted((words.facts.herb_of(first["subject"]), words.facts.herb_of(second["subject"]))))
            exact = "+".join(sorted((first["subject"], second["subject"])))
            excepted = exceptions.get(exact) or exceptions.get(pair)
            why = "no exception recorded"
            if excepted:
                why = f"here on purpose: {sentence(excepted['reason'])} It opens no door for other recipes"
            lines.append(
                f"- **{plain(state)}** · {words.link(first['subject'])} with {words.link(second['subject'])}: {why}."
            )
    return lines


def _opposed(words: Words, first: str, second: str) -> str | None:
    """How strictly one must not be combined with the other, or None. What opposes a herb opposes its forms."""
    facts = words.facts
    if first not in words.materia or second not in words.materia:
        return None
    read = facts.default_form(second)
    near = {second, read, facts.herb_of(read)}
    found = [
        fact
        for fact in facts.of(facts.default_form(first), "opposes")
        if fact.value in near or facts.herb_of(fact.value) == second
    ]
    states = {dict(fact.qualifiers).get("state", "") for fact in found}
    return next((state for state in STATES if state in states), None)


def _alternatives(first: Row, second: Row) -> bool:
    named = {first["position"], first["subject"]}, {second["position"], second["subject"]}
    return first["alternative_to"] in named[1] or second["alternative_to"] in named[0]


def _from_items(words: Words, meant: Sequence[str]) -> list[str]:
    """What the items bring with them: toxicity, then each caution with the items it comes from, heaviest first."""
    toxic: dict[str, list[str]] = {}
    cautions: dict[tuple[int, str, str, str], list[str]] = {}
    for subject in meant:
        for fact in words.facts.of(subject, "toxicity"):
            if fact.value not in ("none", "unmarked"):
                toxic.setdefault(fact.value, []).append(subject)
        for fact in words.facts.of(subject, "caution"):
            held = dict(fact.qualifiers)
            weight = STATES.index(fact.value) if fact.value in STATES else -1
            key = (weight, fact.value, held.get("topic", ""), held.get("target", ""))
            cautions.setdefault(key, []).append(subject)
    lines = [f"- **{words.term('toxicities', grade)}** · toxicity · {words.names(who)}" for grade, who in toxic.items()]
    for (_, state, topic, target), who in sorted(cautions.items(), key=lambda each: each[0]):
        about = words.term("topics", topic) + (f", {words.term('targets', target)}" if target else "")
        lines.append(f"- **{plain(state)}** · {about} · {words.names(dict.fromkeys(who))}")
    return ["", "Its items bring with them, each read as its default form:", "", *lines] if lines else []


def _does(words: Words, row: Row) -> list[str]:
    actions = ", ".join(words.both("actions", action) for action in row["actions"].split(";") if action)
    return [
        *([f"- Actions: {actions}"] if actions else ["- Actions: not stated"]),
        *([f"- Used for: {words.terms('indications', row['indications'])}"] if row["indications"] else []),
    ]


def _items(words: Words, formula: Row, items: Sequence[Row]) -> list[str]:
    amounts = {"daily": "Amounts are grams a day", "ratio": "Amounts are parts", "batch": "Amounts make one batch"}
    days = f", for {plain(formula['batch_days'])} days" if formula["batch_days"] else ""
    whole = {"yes": "The list of items is complete.", "no": "The list of items is not complete."}
    head = amounts.get(formula["amounts_are"], "What the amounts are is not stated")
    lines = [f"{head}{days}. {whole.get(formula['items_complete'], '')}".strip(), ""]
    return lines + table(
        ("Item", "Written", "Role", "Amount", "Classical", "Against", "Why it is there", "Cooking", "Source"),
        (
            (
                words.link(item["subject"]) + _instead(words, item, items),
                plain(item["as_written"]),
                ", ".join(filter(None, (plain(item["roles"].replace(";", ", ")), plain(item["function"]))))
                or "not stated",
                _amount(item),
                plain(item["amount_classical"]),
                words.first_of(_AIMS, item["acts_on"]) if item["acts_on"] else "",
                sentence(item["reason"]),
                _cooking(words, item),
                words.source(item),
            )
            for item in items
        ),
    )


def _instead(words: Words, item: Row, items: Sequence[Row]) -> str:
    if not item["alternative_to"]:
        return ""
    named = next(
        (other["subject"] for other in items if item["alternative_to"] == other["position"]), item["alternative_to"]
    )
    return f" (instead of {words.hans(named) if named in words.materia else plain(named)})"


def _amount(item: Row) -> str:
    if item["amount_g"]:
        return f"{plain(item['amount_g'])} g"
    if item["amount_parts"]:
        return f"{plain(item['amount_parts'])} {'part' if item['amount_parts'] == '1' else 'parts'}"
    return "not stated"


def _cooking(words: Words, item: Row) -> str:
    """What the recipe says, else what is required or usual of the form that is meant."""
    if item["handling"]:
        return words.term("handlings", item["handling"])
    if item["subject"] not in words.materia:
        return ""
    said = []
    for fact in words.facts.of(words.facts.default_form(item["subject"]), "handling"):
        force = dict(fact.qualifiers).get("force", "")
        if force != "optional" and "purpose" not in dict(fact.qualifiers):
            said.append(f"{words.term('handlings', fact.value)}{' (required)' if force == 'required' else ''}")
    return ", ".join(dict.fromkeys(said))
