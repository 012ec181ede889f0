"""Lines that pages of medicinals and of formulas have in common."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from materia_data import LICENCE, TEACHING, table_schemas
from materia_exporters.monographs.layers import named_layers
from materia_exporters.monographs.markdown import plain, section, sentence
from materia_exporters.monographs.words import STATES, Row, Words

if TYPE_CHECKING:
    from materia_data import Fact

_WHO = frozenset({"id", "subject", "a", "b"})
NOT_CHECKED = "nobody has looked; this is no finding of safety"


def grouped(words: Words, subjects: Sequence[str], predicate: str) -> list[tuple["Fact", Row, list[str]]]:
    """Effective facts, with the row of each and which subjects it holds of; rows that say the same are one."""
    found: dict[tuple[str, ...], tuple[Fact, Row, list[str]]] = {}
    for subject in subjects:
        for fact in words.facts.of(subject, predicate):
            row = words.behind(fact)
            says = (fact.value, str(fact.stated), *(text for column, text in row.items() if column not in _WHO))
            if says not in found:
                found[says] = (fact, row, [])
            if subject not in found[says][2]:
                found[says][2].append(subject)
    return list(found.values())


def whom(words: Words, who: Sequence[str], subjects: Sequence[str]) -> str:
    """` · 生半夏, 法半夏` where something holds of some only; nothing where it holds of all the page is about."""
    return "" if len(who) == len(subjects) else f" · {words.names(who)}"


def because(row: Row) -> str:
    """Detail and reason of a row."""
    why = f"Why: {sentence(row['reason'])}" if row["reason"] else ""
    return " ".join(filter(None, (sentence(row["detail"]), why)))


def caution_lines(words: Words, subjects: Sequence[str]) -> list[str]:
    """A line for each row of cautions that holds of a subject, heaviest first."""
    rows = grouped(words, subjects, "caution")
    rows.sort(key=lambda each: STATES.index(each[0].value) if each[0].value in STATES else -1)
    return [_caution(words, fact.value, row, whom(words, who, subjects)) for fact, row, who in rows]


def _caution(words: Words, state: str, row: Row, who: str) -> str:
    about = words.term("topics", row["topic"])
    if row["target"]:
        about += f", {words.term('targets', row['target'])}"
    said = because(row)
    if state == "none-stated":
        said = f"{said} The source states none; this is not a finding of safety.".strip()
    evidence = f"{words.term('evidence', row['evidence'])}; " if row["evidence"] else ""
    return f"- **{plain(state)}** · {about}{who}: {said} ({evidence}{words.source(row)})"


def not_checked(words: Words, subject: str) -> list[str]:
    """One line naming the topics of caution that nobody looked up for the subject."""
    held = words.facts.of(subject, "caution")
    checked = {value for fact in held for key, value in fact.qualifiers if key == "topic"}
    open_topics = [words.term("topics", row["id"]) for row in words.all("topics") if row["id"] not in checked]
    return [f"- not checked: {', '.join(open_topics)} ({NOT_CHECKED})"] if open_topics else []


def control_lines(words: Words, subjects: Sequence[str]) -> list[str]:
    """A line for each law or agreement; what the law itself puts in the place of a thing is not under it."""
    lines = []
    for _, row, who in grouped(words, subjects, "control"):
        who = [subject for subject in who if subject != row["substitute"]]
        if not who:
            continue
        since = f"from {plain(row['valid_from'])}" if row["valid_from"] else ""
        until = f"to {plain(row['valid_to'])}" if row["valid_to"] else ""
        what = [
            words.term("jurisdictions", row["jurisdiction"]),
            words.title(row["instrument"]),
            f"{since} {until}".strip(),
        ]
        taxon = f" Holds of {words.taxon(row['taxon'])}." if row["taxon"] else ""
        instead = f" In its place: {words.link(row['substitute'])}" if row["substitute"] else ""
        ratio = f", {plain(row['substitute_ratio'])} for 1" if row["substitute_ratio"] else ""
        level = (
            f"**{words.term('levels', row['level'])}** · {', '.join(filter(None, what))}{whom(words, who, subjects)}"
        )
        place = f"{instead}{ratio}." if instead else ""
        lines.append(f"- {level}: {sentence(row['detail'])}{taxon}{place} ({words.source(row)})")
    return lines


def aid_lines(words: Words, subjects: Iterable[str]) -> list[str]:
    """What helps to remember."""
    rows = [row for subject in subjects for row in words.rows("aids", "subject", subject)]
    return [f"- {sentence(row['text'])} ({plain(row['kind'])})" for row in rows]


def other_readings(words: Words, cells: Iterable[tuple[str, str]]) -> list[str]:
    """What cited sources state of the records (table, key): each value that differs, then who agrees on what."""
    lines = []
    agreeing: dict[str, dict[str, None]] = {}
    for table, record in cells:
        schema = table_schemas()[table]
        keys = dict(zip(schema.key, record.split("|"), strict=True))
        own = next(iter(words.rows_with(table, keys)), {})
        for row in words.rows("citations", "record", record):
            if row["about_table"] != table or not row["stated"]:
                continue
            held = row["value"] or own.get(row["column"], "")
            about = schema.by_name[row["column"]].title.lower() if row["column"] in schema.by_name else row["column"]
            if sorted(row["stated"].split(";")) == sorted(held.split(";")):
                agreeing.setdefault(words.source(row), {})[about] = None
            else:
                why = f" {sentence(row['reason'])}" if row["reason"] else ""
                lines.append(f"- {plain(about)}: stated as {_stated(words, row)}.{why} ({words.source(row)})")
    return lines + [f"- agrees on {plain(', '.join(columns))}: {source}" for source, columns in agreeing.items()]


def _stated(words: Words, row: Row) -> str:
    """What a source states; ids of a vocabulary in words."""
    table = {"nature": "natures", "toxicity": "toxicities"}.get(row["column"], row["column"])
    if table in ("natures", "flavors", "channels", "toxicities", "directions", "parts", "traits"):
        return words.terms(table, row["stated"])
    return plain(row["stated"])


def source_lines(words: Words, subjects: Sequence[str]) -> list[str]:
    """How many effective facts rest on which source, and how certainly."""
    counts: dict[str, dict[str, int]] = {}
    for subject in subjects:
        for fact in words.facts.of(subject):
            if fact.predicate not in ("basis", "disputed", "taught-in", "taxon"):
                basis = counts.setdefault(fact.source, {})
                basis[fact.basis or "not stated"] = basis.get(fact.basis or "not stated", 0) + 1
    lines = []
    for source in words.cited:
        counts.setdefault(source, {})
    for source, bases in sorted(counts.items(), key=lambda each: (not each[0], -sum(each[1].values()), each[0])):
        kind = (
            f"{plain(source)}: {words.title(source)} ({plain(words.row('sources', source)['kind'])})" if source else ""
        )
        how = ", ".join(f"{number} {plain(basis.replace('-', ' '))}" for basis, number in sorted(bases.items()))
        lines.append(f"- {kind or 'No source named'}{': ' + how if how else ''}")
    if words.copies:
        lines += [
            "",
            "A copy is what others made of a book that could not be opened; see docs/data/copies.csv. Weaker.",
        ]
    return (
        [*lines, "", "Counted are facts that hold of the subjects of this page, each with its basis."] if lines else []
    )


def ending(words: Words) -> list[str]:
    """The last lines of every page."""
    materia = words.materia
    stated = f"materia-data, release `{materia.release_id}`, {materia.signed_off}, {LICENCE}."
    return ["---", "", f"{stated}{named_layers(words)} {TEACHING}", ""]


def page(words: Words, head: Iterable[str], sections: Iterable[tuple[str, Iterable[str]]]) -> str:
    """A whole page."""
    lines = [*head, ""]
    for title, body in sections:
        lines += section(title, body)
    return "\n".join([*lines, *ending(words)])
