"""The printable paper and its key: a version a page, the key apart from the questions, as Markdown or PDF."""

from string import ascii_lowercase
from typing import Any

from materia_data.notice import LICENCE, TEACHING
from materia_data.study.items.choose import Quiz
from materia_data.study.items.item import Item
from materia_data.study.markdown import escaped
from materia_data.study.pdf import compiled


def quiz_markdown(quiz: Quiz, *, key: bool = False, paper_too: bool = True) -> str:
    """Questions, then the key with why each option is right or wrong; either may stand alone."""
    lines: list[str] = []
    for version in quiz.versions:
        named = escaped(quiz.title) + (f", version {version.letter}" if len(quiz.versions) > 1 else "")
        if paper_too:
            lines += [f"# {named}", "", "Name ____________________ Date __________", ""]
            lines += [line for number, item in enumerate(version.items, 1) for line in _question(number, item)]
        if key:
            lines += [f"# Key: {named}", ""]
            lines += [line for number, item in enumerate(version.items, 1) for line in _answer(number, item)]
    return "\n".join([*lines, "---", "", f"{_foot(quiz)}.", "", f"{TEACHING}", ""])


def _question(number: int, item: Item) -> list[str]:
    options = zip(ascii_lowercase, item.options, strict=False)
    listed = [f"    - {letter}) {escaped(option.text)}" for letter, option in options]
    return [f"{number}. {escaped(item.stem)}", "", *listed, ""]


def _answer(number: int, item: Item) -> list[str]:
    right = f"**{ascii_lowercase[item.key]}** {escaped(item.options[item.key].text)}"
    options = zip(ascii_lowercase, item.options, strict=False)
    whys = [f"    - {letter}) {escaped(option.why)}" for letter, option in options]
    return [f"{number}. {right} ({item.id})", "", *whys, f"    - rests on: {escaped('; '.join(item.facts))}", ""]


def quiz_pdf(quiz: Quiz, *, key: bool = False, paper_too: bool = True, paper: str = "a4") -> bytes:
    """The same as PDF. PrintError: typst or the typeface is not here."""
    versions: list[dict[str, Any]] = [
        {
            "letter": version.letter if len(quiz.versions) > 1 else "",
            "items": [
                {"stem": item.stem, "key": item.key, "id": item.id, "facts": "; ".join(item.facts),
                 "options": [{"text": option.text, "why": option.why} for option in item.options]}
                for item in version.items
            ],
        }
        for version in quiz.versions
    ]  # fmt: skip
    data = {
        "title": quiz.title, "versions": versions, "key": key, "paper-too": paper_too, "foot": _foot(quiz),
        "teaching": TEACHING,
    }  # fmt: skip
    return compiled("items", data, paper)


def _foot(quiz: Quiz) -> str:
    return f"materia-data, release {quiz.release}, {quiz.signed}, {LICENCE}, seed {quiz.seed}"
