"""What a piece of text comes to: cells of one row of a table of ours, without the subject it speaks of."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from materia_data.change.adopt.trouble import AdoptError
from materia_data.read.schema import table_schemas
from materia_data.suggest import did_you_mean

_SAFETY_COLUMNS = {
    "herbs": frozenset({"toxicity", "status", "default_form"}),
    "forms": frozenset({"toxicity"}),
    "cautions": None,
    "doses": None,
    "antagonisms": None,
    "controls": None,
    "handling": None,
}
_PAIR = re.compile(r"([a-z_]+)=(\S*)")


@dataclass(frozen=True, slots=True)
class Say:
    """table; cells: column and value, those of the key without the subject first. In an antagonism the column `with`
    names the other one."""

    table: str
    cells: tuple[tuple[str, str], ...]

    def get(self, column: str) -> str:
        """The value of a column, empty if it says nothing of it."""
        return dict(self.cells).get(column, "")

    @property
    def safety(self) -> bool:
        """Whether it speaks of what keeps people from harm."""
        if self.table not in _SAFETY_COLUMNS:
            return False
        columns = _SAFETY_COLUMNS[self.table]
        return columns is None or any(column in columns for column, _ in self.cells)

    def __str__(self) -> str:
        return " ".join([self.table, *(f"{column}={value}" for column, value in self.cells if value)])


def say(table: str, cells: Mapping[str, str]) -> Say:
    """A saying of the cells given, in their order."""
    return Say(table, tuple(cells.items()))


def parse_say(text: str) -> Say:
    """Back from its text, `cautions topic=pregnancy state=avoid`. Raises AdoptError naming what is wrong with it."""
    table, _, rest = text.strip().partition(" ")
    schemas = table_schemas()
    if table not in schemas:
        raise AdoptError(f"{table or 'nothing'} is no table. {did_you_mean(table, schemas)}".strip())
    known = {*schemas[table].by_name, *(("with",) if table == "antagonisms" else ())}
    cells = dict(_PAIR.findall(rest))
    if not cells or _PAIR.sub("", rest).strip():
        raise AdoptError(f"{text!r} is not written as `table column=value column=value`.")
    for column, value in cells.items():
        if column not in known:
            raise AdoptError(f"{table} has no column {column}. {did_you_mean(column, known)}".strip())
        field = schemas[table].by_name.get(column)
        if field and field.enum and value not in field.enum:
            raise AdoptError(f"{table}.{column} takes {', '.join(field.enum)}; not {value}.")
    return say(table, cells)


def told(one: Say) -> str:
    """A saying as people read it."""
    if one.table == "doses":
        amount = "-".join(dict.fromkeys(filter(None, (one.get("min"), one.get("max")))))
        return f"{amount} {one.get('unit')} ({one.get('route')}, a {one.get('per')})"
    if one.table == "cautions":
        about = one.get("target") or one.get("topic")
        return f"{one.get('state')} for {about.replace('-', ' ')}"
    if one.table == "names":
        return one.get("name")
    return " ".join(value.replace("-", " ") for column, value in one.cells if value and column != "polarity")


def joined(says: tuple[Say, ...]) -> str:
    """Several sayings as one text."""
    return " & ".join(map(str, says))


def sentence(why: str) -> str:
    """A reason as a sentence of its own."""
    return f"{why[:1].upper()}{why[1:]}."


@dataclass(frozen=True, slots=True)
class Reading:
    """How one piece of a cell was read.

    role: the reader's name, a key of decisions with the text; text: as written; says: what it comes to; sure: whether
    it may be taken without a question; choices: what else it may come to, the likeliest first; why: in words; safety:
    whether people may be harmed by reading it wrongly. Nothing said and not sure: not understood.
    """

    role: str
    text: str
    says: tuple[Say, ...]
    sure: bool
    why: str
    choices: tuple[tuple[Say, ...], ...] = ()
    safety: bool = False
