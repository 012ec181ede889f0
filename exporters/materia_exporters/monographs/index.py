"""The index: medicinals and formulas by category, each with its heaviest cautions."""

from materia_exporters.monographs.markdown import plain, sentence
from materia_exporters.monographs.shared import page
from materia_exporters.monographs.words import STATES, Row, Words


def index_page(words: Words) -> str:
    """The page as Markdown."""
    words.open("")
    head = [
        "# Materia medica",
        "",
        "A page for each medicinal and each formula, by category. After each name stands its heaviest state of "
        "caution; what is not checked stands on the page itself, and an absent caution is no finding of safety.",
    ]
    sections = []
    for kind in ("herbs", "formulas"):
        categories = [row for row in words.all("categories") if row["scheme"] == kind]
        for category in sorted(categories, key=_position):
            lines = _members(words, kind, category["id"])
            if lines:
                title = f"{words.term('categories', category['id'])} {plain(category['name_hans'])}"
                sections.append((title, [*_about(category), *lines]))
        known = {row["id"] for row in categories}
        other = [row["id"] for row in words.all(kind) if row["category"] not in known]
        sections.append(("Without a category", [_entry(words, subject) for subject in other]))
    return page(words, head, sections).replace("](../", "](")


def _about(category: Row) -> list[str]:
    said = [sentence(category[column]) for column in ("definition", "strategy", "tendency")]
    caution = f"**Caution:** {sentence(category['caution'])}" if category["caution"] else ""
    return [line for text in (" ".join(filter(None, said)), caution) if text for line in (text, "")]


def _members(words: Words, kind: str, category: str) -> list[str]:
    rows = words.rows(kind, "category", category)
    lines = []
    groups = [row for row in words.all("groups") if row["category"] == category] if kind == "herbs" else []
    for group in sorted(groups, key=_position):
        mine = [row for row in rows if row["subgroup"] == group["id"]]
        if mine:
            lines += [f"### {words.term('groups', group['id'])} {plain(group['name_hans'])}", ""]
            lines += [*(_entry(words, row["id"]) for row in mine), ""]
    rest = [row["id"] for row in rows if row.get("subgroup", "") not in {group["id"] for group in groups}]
    if rest and lines:
        lines += ["### In no group", ""]
    return lines + [_entry(words, subject) for subject in rest]


def _entry(words: Words, subject: str) -> str:
    found: dict[str, list[str]] = {}
    for fact in words.facts.of(subject, "caution"):
        about = dict(fact.qualifiers)
        named = words.term("topics", about.get("topic", ""))
        found.setdefault(fact.value, []).append(named)
    status = words.subject(subject).get("status", "")
    marks = [f"**{plain(status)}**"] if status not in ("", "current") else []
    grades = [fact.value for fact in words.facts.of(subject, "toxicity") if fact.value not in ("none", "unmarked")]
    marks += [f"**{words.term('toxicities', grade)}**" for grade in grades]
    heaviest = next((state for state in STATES if state in found), None)
    says = f"**{heaviest}** {', '.join(dict.fromkeys(found[heaviest]))}" if heaviest else "cautions not checked"
    return f"- {words.link(subject)} {plain(words.subject(subject)['name_en'])} · {' · '.join([*marks, says])}"


def _position(row: Row) -> tuple[int, str]:
    return int(row["position"]) if row["position"].isdecimal() else 1 << 30, row["id"]
