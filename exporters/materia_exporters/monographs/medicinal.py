"""The page of one medicinal, in the order a teacher speaks."""

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from materia_exporters.monographs.layers import loosened_lines, said_lines
from materia_exporters.monographs.markdown import plain, sentence, table
from materia_exporters.monographs.shared import (
    aid_lines,
    because,
    caution_lines,
    control_lines,
    grouped,
    not_checked,
    other_readings,
    page,
    source_lines,
    whom,
)
from materia_exporters.monographs.words import STATES, Row, Words

if TYPE_CHECKING:
    from materia_data import Property, Reason

_PROPERTIES = {"nature": ("Nature", "natures"), "flavor": ("Flavor", "flavors"), "channel": ("Channel", "channels")}
_WEIGHTS = ("chief", "secondary", "", "minor")
_IN_FULL = 2
_LOOSER = {"dose-max": "a largest dose of", "max-days": "a longest course, in days, of", "toxicity": "the grade"}
_STANDING = {
    "restricted": "under special control",
    "withdrawn": "no longer allowed",
    "historical": "no longer in ordinary use",
}
_MEASURES = (
    "How to read the numbers: *of 103: 97 hold* counts the medicinals and forms the sentence speaks of and those it "
    "is true of; *anyway* is how many of all have the property, whatever else they are."
)


def medicinal_page(words: Words, herb: str, explained: Mapping[str, Sequence["Property"]]) -> str:
    """The page as Markdown. explained: the properties of subjects with their reasons."""
    forms = [row["id"] for row in words.rows("forms", "herb", herb)]
    family = [herb, *forms]
    words.open(herb)
    sections = (
        ("Safety first", [*loosened_lines(words, family), *_safety(words, herb, forms)]),
        ("Nature, flavors, channels", _properties(words, herb, explained.get(herb, ()))),
        ("Actions", _actions(words, herb)),
        ("Forms", _forms(words, forms, explained)),
        ("Dose", _doses(words, family)),
        ("Cooking and taking", _handling(words, family)),
        ("Never together", _antagonisms(words, family)),
        ("Together on purpose", _pairs(words, family)),
        ("Told apart", _told_apart(words, family)),
        ("In formulas", _formulas(words, family)),
        ("Law", control_lines(words, family)),
        ("To remember", aid_lines(words, family)),
        (
            "What sources state beside this",
            other_readings(words, [("herbs", herb), *(("forms", form) for form in forms)]),
        ),
        ("Said by layers", said_lines(words, family)),
        ("Sources", source_lines(words, family)),
    )
    return page(words, _plate(words, herb), sections)


def _plate(words: Words, herb: str) -> list[str]:
    row = words.row("herbs", herb)
    place = words.term("categories", row["category"]) if row["category"] else ""
    if row["subgroup"]:
        place += f" › {words.term('groups', row['subgroup'])}"
    traditional = f"traditional script {plain(row['name_hant'])}" if row["name_hant"] else ""
    lines = [
        f"# {words.name(herb)}",
        "",
        " · ".join(filter(None, (plain(row["name_en"]), plain(row["latin"]), traditional))),
        "",
    ]
    units = [_unit(words.row("units", fact.value), fact.value) for fact in words.facts.of(herb, "taught-in")]
    lines += [f"Category: {place or 'not stated'}.{' Taught in: ' + '; '.join(units) + '.' if units else ''}", ""]
    made_of = _made_of(words, words.rows("species", "subject", herb))
    lines += [f"Made of: {'; '.join(made_of)}.", ""] if made_of else []
    default = words.facts.default_form(herb)
    lines += [f"A bare {words.hans(herb)} in a recipe is read as {words.name(default)}.", ""] if default != herb else []
    names: dict[str, dict[str, None]] = {}
    for name in words.rows("names", "subject", herb):
        names.setdefault(name["kind"], {})[plain(name["name"])] = None
    said = "; ".join(f"{plain(kind)}: {', '.join(listed)}" for kind, listed in names.items())
    return [*lines, f"Other names: {said}."] if names else lines


def _unit(row: Row, id: str) -> str:
    course = f" ({plain(row['course'].replace('-', ' '))}, unit {plain(row['position'])})" if row["course"] else ""
    return f"{plain(row['title'] or id)}{course}"


def _made_of(words: Words, uses: Iterable[Row]) -> list[str]:
    """Each organism or mineral once for a status, with all parts of it that serve; what is official first."""
    parts: dict[tuple[str, str], list[str]] = {}
    for use in sorted(uses, key=lambda use: use["status"] != "official"):
        listed = parts.setdefault((use["taxon"], use["status"]), [])
        listed += [words.term("parts", use["part"])] if use["part"] else []
    return [
        f"{', '.join(filter(None, (words.taxon(taxon), ' and '.join(listed))))} ({plain(status)})"
        for (taxon, status), listed in parts.items()
    ]


def _safety(words: Words, herb: str, forms: Sequence[str]) -> list[str]:
    status = words.row("herbs", herb)["status"]
    forms_too = f" and every form ({words.names(forms)})" if forms else ""
    lines = [f"Where a line names no form, it holds of {words.hans(herb)}{forms_too}.", ""] if forms else []
    if status not in ("", "current"):
        law = "; see Law" if control_lines(words, [herb, *forms]) else ""
        lines.append(f"- **{plain(status)}**: {_STANDING.get(status, 'not in ordinary use')}{law}.")
    graded, ungraded = _toxicity(words, [herb, *forms])
    lines += graded
    lines += [f"- {line}" for line in _never_with(words, [herb, *forms])]
    lines += caution_lines(words, [herb, *forms])
    for fact in words.facts.looser:
        if words.facts.herb_of(fact.subject) == herb:
            about = ", ".join(plain(value) for _, value in fact.qualifiers)
            kind = _LOOSER.get(fact.predicate, plain(fact.predicate))
            what = f"{kind} {plain(fact.value)} ({about})".replace(" ()", "")
            lines.append(
                f"- *not confirmed* · {words.hans(fact.subject)}: {what} is recorded and waits to be signed off; until "
                f"then what is stricter holds, as for {words.hans(herb)}."
            )
    return [*lines, *ungraded, *not_checked(words, herb)]


def _toxicity(words: Words, family: Sequence[str]) -> tuple[list[str], list[str]]:
    """Lines for grades of toxicity, and lines for a stated lack of it or of a grade."""
    held: dict[str, tuple[list[str], dict[str, None]]] = {}
    for fact, row, who in grouped(words, family, "toxicity"):
        subjects, sources = held.setdefault(fact.value, ([], {}))
        subjects += who
        sources[words.source(row)] = None
    graded, ungraded = [], []
    for grade, (subjects, sources) in held.items():
        said = f"toxicity{whom(words, subjects, family)} ({'; '.join(sources)})"
        if grade in ("none", "unmarked"):
            ungraded.append(f"- {words.term('toxicities', grade)} · {said}")
        else:
            graded.append(f"- **{words.term('toxicities', grade)}** · {said}")
    return graded, ungraded or ([] if graded else ["- not stated · toxicity"])


def _never_with(words: Words, family: Sequence[str]) -> list[str]:
    """A line for each state: what must not be combined with it, each named at its heaviest."""
    heaviest: dict[str, str] = {}
    for fact, row, _ in grouped(words, family, "opposes"):
        other, state = fact.value, row["state"]
        if state in STATES and STATES.index(state) < STATES.index(heaviest.get(other, STATES[-1])):
            heaviest[other] = state
    lines = []
    for state in STATES:
        if others := [other for other, its in heaviest.items() if its == state]:
            lines.append(f"**{plain(state)}** · combination: with {words.names(others)}")
    return lines


def _properties(words: Words, herb: str, properties: Sequence["Property"]) -> list[str]:
    lines = []
    for predicate, (title, vocabulary) in _PROPERTIES.items():
        mine = [item for item in properties if item.predicate == predicate]
        for item in mine:
            lines += [f"- **{title}: {words.both(vocabulary, item.value)}**", *_because(item)]
        lines += [] if mine else [f"- {title}: not stated"]
    lines = [_MEASURES, "", *lines] if any(item.reasons for item in properties) else lines
    for title, predicate, vocabulary in (
        ("Direction", "direction", "directions"),
        ("Part", "part", "parts"),
        ("Noted", "trait", "traits"),
    ):
        values = [words.both(vocabulary, fact.value) for fact in words.facts.of(herb, predicate)]
        lines += [f"- {title}: {', '.join(values)}"] if values else []
    return lines


def _because(item: "Property") -> list[str]:
    if item.verdict == "excepted":
        return [f"    - exception: {sentence(item.exception)}"]
    if item.verdict == "together":
        return ["    - given together with what it explains; its only reasons lead back to it"]
    if not item.reasons:
        return ["    - no reason recorded"]
    lines = [f"    - because: {_reason(reason)}" for reason in item.reasons[:_IN_FULL]]
    more = [plain(reason.title) for reason in item.reasons[_IN_FULL:]]
    return lines + ([f"    - also: {'; '.join(more)}"] if more else [])


def _reason(reason: "Reason") -> str:
    weak = "; only what its category tends to" if reason.only_category else ""
    source = plain(reason.source or reason.basis.replace("-", " "))
    measure = f"{plain(reason.measure)} ({plain(reason.base)}{weak})"
    return f"{sentence(reason.because)} *{plain(reason.title)}, {measure}* ({source})"


def _actions(words: Words, herb: str) -> list[str]:
    rows = [(fact, row) for fact, row, _ in grouped(words, [herb], "action")]
    does = sorted((row for fact, row in rows if fact.stated), key=_place)
    lines = table(
        ("Action", "Where", "Against", "Weight", "Used for", "Source"),
        (
            (
                f"{words.both('actions', row['action'])}{': ' + sentence(row['note']) if row['note'] else ''}",
                words.term("sites", row["site"]) if row["site"] else "",
                words.term("causes", row["cause"]) if row["cause"] else "",
                ", ".join(plain(row[column]) for column in ("weight", "strength") if row[column]),
                words.terms("indications", row["indications"]),
                words.source(row),
            )
            for row in does
        ),
    )
    denied = [row for fact, row in rows if not fact.stated]
    lines += ["Stated not to do, which is more than not stated:", ""] if denied else []
    return lines + [_denied(words, row) for row in denied]


def _denied(words: Words, row: Row) -> str:
    narrowed = [
        words.term(name, row[column]) for name, column in (("sites", "site"), ("causes", "cause")) if row[column]
    ]
    inside = f" ({', '.join(narrowed)})" if narrowed else ""
    note = f" {sentence(row['note'])}" if row["note"] else ""
    return f"- does not {words.both('actions', row['action'])}{inside}.{note} ({words.source(row)})"


def _place(row: Row) -> tuple[int, int]:
    position = int(row["position"]) if row["position"].isdecimal() else 1 << 30
    return _WEIGHTS.index(row["weight"]) if row["weight"] in _WEIGHTS else len(_WEIGHTS), position


def _forms(words: Words, forms: Sequence[str], explained: Mapping[str, Sequence["Property"]]) -> list[str]:
    def of(form: str, predicate: str, vocabulary: str) -> str:
        return ", ".join(words.term(vocabulary, fact.value) for fact in words.facts.of(form, predicate)) or "not stated"

    lines = table(
        ("Form", "Kind", "Made by", "Nature", "Flavors", "Toxicity", "What changes and why", "Source"),
        (
            (
                f"{words.name(row['id'])} ({plain(row['name_en'])})",
                plain(row["kind"]),
                words.term("methods", row["method"]) if row["method"] else "",
                of(row["id"], "nature", "natures"),
                of(row["id"], "flavor", "flavors"),
                of(row["id"], "toxicity", "toxicities"),
                " ".join(filter(None, (sentence(row["changes"]), sentence(row["reason"])))),
                words.source(row),
            )
            for row in map(words.subject, forms)
        ),
    )
    for form in forms:
        for row in words.rows("herb_actions", "subject", form):
            does = "does not " if row["polarity"] == "does-not" else ""
            note = f" {sentence(row['note'])}" if row["note"] else ""
            what = f"{does}{words.both('actions', row['action'])}"
            change = f"{plain(row['change'])}: " if row["change"] else ""
            lines.append(f"- {words.hans(form)} · {change}{what}.{note} ({words.source(row)})")
        same = {(item.predicate, item.value) for item in explained.get(words.facts.herb_of(form), ())}
        for item in explained.get(form, ()):
            if (item.predicate, item.value) in same:
                continue
            title, vocabulary = _PROPERTIES[item.predicate]
            lines += [f"- {words.hans(form)} · {title}: {words.both(vocabulary, item.value)}", *_because(item)]
    return lines


def _doses(words: Words, family: Sequence[str]) -> list[str]:
    """Effective amounts; subjects with the same amounts for the same use share a line."""
    found: dict[tuple[tuple[tuple[str, str], ...], str, str, str], tuple[Row, list[str]]] = {}
    dosed = set()
    for subject in family:
        amounts: dict[tuple[tuple[str, str], ...], dict[str, str]] = {}
        rows: dict[tuple[tuple[str, str], ...], Row] = {}
        for predicate in ("dose-min", "dose-max", "max-days"):
            for fact in words.facts.of(subject, predicate):
                amounts.setdefault(fact.qualifiers, {})[predicate] = fact.value
                rows[fact.qualifiers] = words.behind(fact)
                dosed.add(subject)
        for use, held in amounts.items():
            if _not_of(words, subject, use):
                continue
            key = (use, held.get("dose-min", ""), held.get("dose-max", ""), held.get("max-days", ""))
            found.setdefault(key, (rows[use], []))[1].append(subject)
    lines = table(
        ("For", "Route", "Per", "Who", "Purpose", "From", "To", "Days at most", "Note", "Source"),
        (
            (
                words.names(who),
                words.term("routes", dict(use).get("route", "")),
                plain(dict(use).get("per", "")),
                words.term("populations", dict(use).get("population", "")),
                words.term("purposes", dict(use)["purpose"]) if "purpose" in dict(use) else "",
                _grams(low),
                _grams(high),
                plain(days),
                sentence(row["note"]),
                words.source(row),
            )
            for (use, low, high, days), (row, who) in found.items()
        ),
    )
    without = [subject for subject in family if subject not in dosed]
    return [*lines, f"No dose stated: {words.names(without)}."] if without else lines


def _not_of(words: Words, subject: str, use: Sequence[tuple[str, str]]) -> bool:
    """An amount for the fresh thing, handed down to a form that is never fresh."""
    return dict(use).get("purpose") == "fresh-use" and bool(words.subject(subject).get("method"))


def _grams(amount: str) -> str:
    """`10 g`; other units stand beside the number already, and go into the plural."""
    if not amount or amount.replace(".", "", 1).isdecimal():
        return f"{plain(amount)} g" if amount else ""
    number, _, unit = amount.partition(" ")
    return plain(f"{number} {unit}{'' if number == '1' else 's'}") if unit == "piece" else plain(amount)


def _handling(words: Words, family: Sequence[str]) -> list[str]:
    lines = []
    for fact, row, who in grouped(words, family, "handling"):
        minutes = "–".join(filter(None, (row["minutes_min"], row["minutes_max"])))
        how = f"{words.both('handlings', fact.value)}{', ' + plain(minutes) + ' min' if minutes else ''}"
        purpose = f", {words.term('purposes', row['purpose'])}" if row["purpose"] else ""
        how += f"{purpose}{whom(words, who, family)}"
        lines.append(f"- **{plain(row['force'])}** · {how}: {because(row)} ({words.source(row)})")
    return lines


def _antagonisms(words: Words, family: Sequence[str]) -> list[str]:
    """A row for each state and partner; the lists that name the pair stand together in it."""
    found: dict[tuple[str, str, tuple[str, ...]], list[Row]] = {}
    for fact, row, who in grouped(words, family, "opposes"):
        found.setdefault((row["state"], fact.value, tuple(who)), []).append(row)

    def each(rows: Sequence[Row], column: str) -> str:
        return " ".join(dict.fromkeys(sentence(row[column]) for row in rows if row[column]))

    return table(
        ("State", "With", "List", "Verse", "For", "Detail", "Source"),
        (
            (
                f"**{plain(state)}**",
                words.link(other),
                "; ".join(f"{plain(row['list'])}, {plain(row['reading'])}" for row in rows),
                "; ".join(dict.fromkeys(plain(row["line"]) for row in rows if row["line"])),
                "" if len(who) == len(family) else words.names(who),
                each(rows, "detail"),
                "; ".join(dict.fromkeys(words.source(row) for row in rows)),
            )
            for (state, other, who), rows in sorted(
                found.items(), key=lambda item: STATES.index(item[0][0]) if item[0][0] in STATES else -1
            )
        ),
    )


def _pairs(words: Words, family: Sequence[str]) -> list[str]:
    lines = []
    for row in words.all("pairs"):
        first, *others = row["subjects"].split(";")
        if set(family) & {first, *others}:
            with_whom = ", ".join(map(words.link, others))
            relation = plain(row["relation"].replace("-", " "))
            lines.append(
                f"- {words.link(first)} — {relation} — {with_whom}: {sentence(row['effect'])} ({words.source(row)})"
            )
    return lines


def _told_apart(words: Words, family: Sequence[str]) -> list[str]:
    lines: list[str] = []
    mine = {row["contrast"] for subject in family for row in words.rows("contrast_points", "subject", subject)}
    for contrast in sorted(mine):
        points = words.rows("contrast_points", "contrast", contrast)
        subjects = list(dict.fromkeys(row["subject"] for row in points))
        axes = list(dict.fromkeys(row["axis"] for row in points))
        point = {(row["axis"], row["subject"]): sentence(row["point"]) for row in points}
        shared = words.row("contrasts", contrast)
        lines += [f"{sentence(shared['shared'])} ({words.source(shared)})", ""]
        cells = (
            [words.term("axes", axis), *(point.get((axis, each), "not stated") for each in subjects)] for axis in axes
        )
        lines += table(["", *map(words.link, subjects)], cells)
    for row in _confusions(words, family):
        names = " and ".join(
            words.link(row[side]) if row[side] in words.materia else words.taxon(row[side]) for side in "ab"
        )
        lines.append(
            f"- {names} ({plain(row['kind'])}): **{sentence(row['harm'])}** "
            f"Tell apart: {sentence(row['tell_apart'])} ({words.source(row)})"
        )
    return lines


def _confusions(words: Words, family: Iterable[str]) -> list[Row]:
    rows = [row for subject in family for side in "ab" for row in words.rows("confusions", side, subject)]
    return list({(row["a"], row["b"], row["kind"]): row for row in rows}.values())


def _formulas(words: Words, family: Sequence[str]) -> list[str]:
    return table(
        ("Formula", "As", "Role", "Why it is there"),
        (
            (
                words.link(row["formula"]),
                words.hans(subject),
                plain(row["roles"].replace(";", ", ")) or "not stated",
                sentence(row["reason"]),
            )
            for subject in family
            for row in words.rows("formula_items", "subject", subject)
        ),
    )
