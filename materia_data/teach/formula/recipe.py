"""A recipe, from the formulas on record or from a small CSV of ours."""

import csv
import io
import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.suggest import did_you_mean

COLUMNS = ("name", "amount_g", "handling")
_LARGEST = 256 * 1024
_MOST = 100
_SURE = 0.95


class RecipeError(ValueError):
    """A recipe file that cannot be read: says where, what and what to do."""


@dataclass(frozen=True, slots=True)
class Item:
    """One item. subject: what was entered; means: the form that a bare name means; amount: grams, or parts of a
    ratio."""

    position: int
    subject: str
    means: str
    as_written: str
    roles: tuple[str, ...]
    function: str
    acts_on: str
    alternative_to: int | None
    amount: float | None
    classical: str
    handling: str
    reason: str


@dataclass(frozen=True, slots=True)
class Unknown:
    """A line whose name is not understood, or may mean several medicinals. may_mean: ids, the likeliest first."""

    position: int
    name: str
    may_mean: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Recipe:
    """Items in order, and the lines not understood. amounts_are: daily, batch or ratio."""

    id: str
    title: str
    dosage_form: str
    amounts_are: str
    items: tuple[Item, ...]
    unknown: tuple[Unknown, ...]
    actions: tuple[str, ...]


def recipe_of(facts: Facts, formula: str) -> Recipe:
    """The recipe of a formula on record."""
    tables = facts.package.tables
    row = tables["formulas"].row(tables["formulas"].rows_of("id")[formula][0])
    lines = [
        tables["formula_items"].row(number) for number in tables["formula_items"].rows_of("formula").get(formula, ())
    ]
    items = tuple(
        Item(
            int(line["position"] or 0),
            line["subject"],
            facts.default_form(line["subject"]) if line["subject"] in facts.number else line["subject"],
            line["as_written"],
            tuple(filter(None, line["roles"].split(";"))),
            line["function"],
            line["acts_on"],
            int(line["alternative_to"]) if line["alternative_to"].isdigit() else None,
            _number(line["amount_g"] or line["amount_parts"]),
            line["amount_classical"],
            line["handling"],
            line["reason"],
        )
        for line in sorted(lines, key=lambda line: int(line["position"] or 0))
        if line["subject"] in facts.number
    )
    title = f"{row['name_hans']} {row['pinyin']}"
    actions = tuple(filter(None, row["actions"].split(";")))
    return Recipe(formula, title, row["dosage_form"], row["amounts_are"], items, (), actions)


def read_recipe(materia: Materia, path: Path) -> Recipe:
    """A recipe from a CSV with the columns `name` (an id or any name), `amount_g` and `handling`, the last two
    optional.

    Amounts are a day's, for a decoction. A name that may mean several medicinals is not guessed at: it stands among
    the unknown. Raises RecipeError for a file that cannot be read as one.
    """
    rows = _rows(path)
    facts = materia.facts
    handlings = facts.vocabularies["handlings"]
    items: list[Item] = []
    unknown: list[Unknown] = []
    for position, (line, row) in enumerate(rows, 1):
        amount = _amount(path, line, row.get("amount_g", ""))
        handling = row.get("handling", "").strip().replace("_", "-")
        if handling and handling not in set(handlings):
            raise RecipeError(
                f"{path}, line {line}: {handling} is no handling. {did_you_mean(handling, list(handlings))}".strip()
            )
        subject, others, why = _meant(materia, row["name"].strip())
        if not subject:
            unknown.append(Unknown(position, row["name"].strip(), others, why))
            continue
        items.append(
            Item(
                position,
                subject,
                facts.default_form(subject),
                row["name"].strip(),
                (),
                "",
                "",
                None,
                amount,
                "",
                handling,
                "",
            )
        )
    return Recipe("", path.name, "decoction", "daily", tuple(items), tuple(unknown), ())


def _rows(path: Path) -> list[tuple[int, dict[str, str]]]:
    try:
        if not path.is_file():
            raise RecipeError(f"There is no file {path}. Name a formula, or a CSV with the column name.")
        if path.stat().st_size > _LARGEST:
            raise RecipeError(f"{path} is larger than 256 KiB. A recipe is one line an item.")
        raw = path.read_bytes()
    except OSError as error:
        raise RecipeError(f"{path} cannot be read: {error.strerror}.") from None
    if raw[:2] == b"PK":
        raise RecipeError(f"{path} is a spreadsheet or an archive, not a CSV. Save it as CSV, in UTF-8.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise RecipeError(f"{path} is not UTF-8 (at byte {error.start}). Save it as CSV in UTF-8.") from None
    odd = next((char for char in text if unicodedata.category(char) == "Cc" and char not in "\r\n\t"), None)
    if odd:
        raise RecipeError(f"{path} holds the control character U+{ord(odd):04X}. A recipe is plain text.")
    try:
        lines = list(csv.reader(io.StringIO(text), strict=True))
    except csv.Error as error:
        raise RecipeError(f"{path} is not a CSV: {error}.") from None
    header = [cell.strip() for cell in lines[0]] if lines else []
    for name in header:
        if name not in COLUMNS:
            tip = did_you_mean(name, COLUMNS) or f"The columns are {', '.join(COLUMNS)}; the first line names them."
            raise RecipeError(f"{path}, line 1: there is no column {name or '(empty)'}. {tip}")
    if "name" not in header or len(set(header)) != len(header):
        raise RecipeError(f"{path}, line 1: the header must name the column name once.")
    found = []
    for number, cells in enumerate(lines[1:], 2):
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) != len(header):
            raise RecipeError(f"{path}, line {number}: {len(cells)} cells where the header has {len(header)}.")
        row = dict(zip(header, cells, strict=True))
        if not row["name"].strip():
            raise RecipeError(f"{path}, line {number}: the name is empty. Write the medicinal, or take the line out.")
        found.append((number, row))
    if not found:
        raise RecipeError(f"{path} names no medicinal. Write one on each line below the header.")
    if len(found) > _MOST:
        raise RecipeError(f"{path} has {len(found)} items. A recipe has at most {_MOST}.")
    return found


def _amount(path: Path, line: int, text: str) -> float | None:
    text = text.strip()
    if not text:
        return None
    if not re.fullmatch(r"[0-9]+(\.[0-9]+)?", text):
        raise RecipeError(
            f"{path}, line {line}: {text} is no amount in grams. Write the number alone, such as 9 or 4.5."
        )
    return float(text)


def _meant(materia: Materia, name: str) -> tuple[str, tuple[str, ...], str]:
    if name in materia.facts.number and materia.facts.kind(name) != "formulas":
        return name, (), ""
    found = [one for one in materia.resolve(name) if materia.facts.kind(one.id) != "formulas"]
    ids = tuple(one.id for one in found)
    if found and found[0].score >= _SURE and (len(found) == 1 or found[1].score < found[0].score):
        return found[0].id, (), ""
    if found and found[0].score >= _SURE:
        return "", tuple(one.id for one in found if one.score == found[0].score), "may mean more than one medicinal"
    return "", ids[:3], "is not understood"


def _number(text: str) -> float | None:
    try:
        return float(text) if text else None
    except ValueError:
        return None


def weight_of(items: tuple[Item, ...]) -> dict[int, float]:
    """Each item's share by position: by amount where every item has one, else all alike. Alternatives weigh nothing."""
    counted = [item for item in items if item.alternative_to is None]
    amounts = {item.position: item.amount for item in counted}
    known = all(amount for amount in amounts.values())
    total = sum(amount or 0.0 for amount in amounts.values()) if known else float(len(counted))
    return (
        {position: (amount if known and amount else 1.0) / total for position, amount in amounts.items()}
        if total
        else {}
    )


def stated(facts: Facts, subject: str, predicate: str) -> list[str]:
    """The values stated of the subject, without negatives."""
    return [fact.value for fact in facts.of(subject, predicate) if fact.stated and fact.value != "-"]
