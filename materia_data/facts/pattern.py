"""Patterns over facts: text to a tree, and back.

    or   = and {"or" and}      and = not {"and" not}      not = "not" not | "(" or ")" | atom
    atom = ["states-not"] pred [":" value | ":" [value] ".." [value] | "=" value {"," value}] [quals]
    quals= "[" key (":" | "=") value {"," key (":" | "=") value} "]"       value = id | number | "quoted text"

`-` and `_` are alike; the tree holds ids as their vocabulary spells them. A value of a number predicate is a number in
its unit (g, days, minutes): other units never compare. `not` on a safety predicate is allowed only to safety rules; of
a trait it is refused where the trait is, or takes in, a constituent that carries a caution, and of a predicate safe
only where required it is refused always.
"""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from math import inf
from typing import TYPE_CHECKING, NamedTuple

from materia_data.facts.amount import amount, number
from materia_data.facts.predicates import Predicate, Words, predicates
from materia_data.facts.vocabulary import Vocabulary
from materia_data.suggest import did_you_mean

if TYPE_CHECKING:
    from materia_data.facts.facts import Facts

LONGEST = 2000
DEEPEST = 32
RESERVED = ("and", "or", "not", "states-not")


class PatternError(ValueError):
    """A pattern that cannot be read. position: of the character at fault, from 0; message: what is; tip: what to do.

    As text: the pattern with a caret under that character, then message and tip.
    """

    def __init__(self, text: str, position: int, message: str, tip: str = "") -> None:
        super().__init__(text, position, message, tip)
        self.text, self.position, self.message, self.tip = text, position, message, tip

    def __str__(self) -> str:
        start, end = max(0, self.position - 60), self.position + 60
        before, shown = _printable(self.text[start : self.position]), _printable(self.text[start:end])
        lead, trail = "…" * (start > 0), "…" * (end < len(self.text))
        lines = [f"{lead}{shown}{trail}", " " * (len(lead) + _width(before)) + "^", self.message, self.tip]
        return "\n".join(filter(None, lines))


class Pattern:
    """A tree of `Atom`, `And`, `Or`, `Not` and `StatesNot`; `str` gives text that parses to the same tree."""

    __slots__ = ()

    def atoms(self) -> tuple["Atom", ...]:
        """The positive atoms, from left to right: those under no `not` and no `states-not`."""
        return tuple(atom for atom, positive in _walk(self, True) if positive)

    def predicates(self) -> set[str]:
        """The predicates of every atom, negated or not."""
        return {atom.predicate for atom, _ in _walk(self, True)}


class Qualifier(NamedTuple):
    """One pair in brackets. operator: `:` takes narrower values in, `=` does not."""

    key: str
    operator: str
    value: str

    def __str__(self) -> str:
        return f"{self.key}{self.operator}{_quoted(self.value)}"


@dataclass(frozen=True, slots=True)
class Atom(Pattern):
    """One question of a predicate.

    test: `any` (some value is stated), `:` (values holds one), `=` (values hold the whole set), `..` (low and high,
    either may be empty). position: where it began in the text, which two equal atoms need not share.
    """

    predicate: str
    test: str = "any"
    values: tuple[str, ...] = ()
    low: str = ""
    high: str = ""
    qualifiers: tuple[Qualifier, ...] = ()
    position: int = field(default=0, compare=False)

    @property
    def single_value(self) -> str | None:
        """The one value asked for, None where none or several are, or a range."""
        return self.values[0] if len(self.values) == 1 else None

    def with_value(self, value: str) -> "Atom":
        """The same question of this value."""
        return replace(self, test=":", values=(value,), low="", high="")

    def values_within(self, known: "Facts | Mapping[str, Vocabulary]") -> tuple[str, ...]:
        """The values asked for; of a range the terms inside it, of a range of numbers the ends that it gives."""
        words = predicates()[self.predicate].values
        if self.test != "..":
            return self.values
        if words.kind == "number":
            return tuple(filter(None, (self.low, self.high)))
        terms = (known if isinstance(known, Mapping) else known.vocabularies)[words.name]
        ranks = {term: rank for term in terms if (rank := terms.rank(term)) is not None}
        low, high = ranks.get(self.low, -inf), ranks.get(self.high, inf)
        return tuple(term for term, rank in ranks.items() if low <= rank <= high)

    def __str__(self) -> str:
        asked = {
            "any": "",
            ":": f":{''.join(map(_quoted, self.values))}",
            "=": f"={','.join(map(_quoted, self.values))}",
            "..": f":{_quoted(self.low) if self.low else ''}..{_quoted(self.high) if self.high else ''}",
        }[self.test]
        return f"{self.predicate}{asked}" + (f"[{','.join(map(str, self.qualifiers))}]" if self.qualifiers else "")


@dataclass(frozen=True, slots=True)
class And(Pattern):
    """True where every part is true, stated-false where some part is."""

    parts: tuple[Pattern, ...]

    def __str__(self) -> str:
        return " and ".join(f"({part})" if isinstance(part, And | Or) else str(part) for part in self.parts)


@dataclass(frozen=True, slots=True)
class Or(Pattern):
    """True where some part is true, stated-false where every part is."""

    parts: tuple[Pattern, ...]

    def __str__(self) -> str:
        return " or ".join(f"({part})" if isinstance(part, Or) else str(part) for part in self.parts)


@dataclass(frozen=True, slots=True)
class Not(Pattern):
    """True where the part is not true, else stated-false; never unstated."""

    part: Pattern

    def __str__(self) -> str:
        return f"not ({self.part})" if isinstance(self.part, And | Or) else f"not {self.part}"


@dataclass(frozen=True, slots=True)
class StatesNot(Pattern):
    """True where the atom is stated-false, and the other way round."""

    part: Atom

    def __str__(self) -> str:
        return f"states-not {self.part}"


def parse(text: str, known: "Facts | Mapping[str, Vocabulary]", *, safety_rule: bool = False) -> Pattern:
    """Read a pattern.

    known: the facts it will be asked of, or their vocabularies; safety_rule: permit `not` on safety predicates.
    Raises PatternError, which points at the character.
    """
    terms = known if isinstance(known, Mapping) else known.vocabularies
    if len(text) > LONGEST:
        raise PatternError(
            text,
            LONGEST,
            f"The pattern has {len(text)} characters.",
            f"Keep it within {LONGEST}: ask in several steps.",
        )
    return _Parser(text, terms, safety_rule).whole()


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str  # id, number, quoted, mark, word (a reserved one), end
    text: str
    position: int


_TOKEN = re.compile(
    r"""\s+
    | (?P<id>[A-Za-z][A-Za-z0-9_-]*(?:\.[A-Za-z][A-Za-z0-9_-]*)*)
    | (?P<number>-?[0-9]+(?:\.[0-9]+)?(?![A-Za-z0-9_-]))
    | "(?P<quoted>[^"]*)"
    | (?P<mark>\.\.|[][():=,])""",
    re.VERBOSE,
)


class _Parser:
    """Reads from left to right, one token ahead."""

    def __init__(self, text: str, terms: Mapping[str, Vocabulary], safety_rule: bool) -> None:
        self._text, self._terms, self._safety_rule = text, terms, safety_rule
        self._tokens = list(_tokens(text))
        self._at = 0
        self._depth = 0

    def whole(self) -> Pattern:
        if self._next.kind == "end":
            raise self._error(self._next, "The pattern is empty.", 'Ask for something, such as "flavor:sweet".')
        pattern = self._either()
        if self._next.kind != "end":
            small = self._next.text.lower()
            tip = f"Write {small}, in small letters." if small in RESERVED else "Join two questions with and, or."
            raise self._error(self._next, f"{self._named(self._next)} does not follow here.", tip)
        return pattern

    @property
    def _next(self) -> _Token:
        return self._tokens[self._at]

    def _take(self) -> _Token:
        token = self._next
        self._at += 1
        return token

    def _accept(self, *texts: str) -> bool:
        found = self._next.kind in ("mark", "word") and self._next.text in texts
        self._at += found
        return found

    def _either(self) -> Pattern:
        parts = [self._both()]
        while self._accept("or"):
            parts.append(self._both())
        return parts[0] if len(parts) == 1 else Or(tuple(parts))

    def _both(self) -> Pattern:
        parts = [self._one()]
        while self._accept("and"):
            parts.append(self._one())
        return parts[0] if len(parts) == 1 else And(tuple(parts))

    def _one(self) -> Pattern:
        start = self._next
        if self._accept("not"):
            self._deeper(start)
            part = self._one()
            self._depth -= 1
            self._refuse_unsafe_not(start, part)
            return Not(part)
        if self._accept("("):
            self._deeper(start)
            inner = self._either()
            self._depth -= 1
            if not self._accept(")"):
                raise self._error(self._next, "A bracket is still open here.", "Add a ).")
            return inner
        if self._accept("states-not"):
            if self._next.text in ("(", "not", "states-not") and self._next.kind in ("mark", "word"):
                raise self._error(self._next, "states-not takes one atom.", "Put it before each atom it is meant for.")
            return StatesNot(self._atom())
        return self._atom()

    def _deeper(self, token: _Token) -> None:
        self._depth += 1
        if self._depth > DEEPEST:
            raise self._error(token, f"The pattern is nested more than {DEEPEST} deep.", "Ask in several steps.")

    def _refuse_unsafe_not(self, token: _Token, part: Pattern) -> None:
        if self._safety_rule:
            return
        for atom, _ in _walk(part, True):
            predicate = predicates()[atom.predicate]
            if _is_safety(predicate, atom, self._terms):
                named = predicate.values.unranked
                also = (
                    f", or {predicate.name}:{named[0]}{_brackets(atom)} for those that a source gives as {named[0]}"
                    if named
                    else ""
                )
                raise self._error(
                    token,
                    f"not {atom} would take in every subject of which nothing is stated, and not stated is not safe.",
                    f"Ask {atom} and read who is listed; ask states-not {atom} for those stated otherwise{also}.",
                )

    def _atom(self) -> Atom:
        token = self._take()
        if token.kind != "id":
            raise self._error(
                token,
                f"{self._named(token)} stands where a predicate is due.",
                "Begin with a predicate, such as flavor.",
            )
        name = token.text.replace("_", "-")
        predicate = predicates().get(name)
        if predicate is None:
            near = did_you_mean(token.text, predicates()) or f"The predicates are {', '.join(predicates())}."
            raise self._error(token, f"{token.text} is no predicate.", near)
        test, values, low, high = self._test(predicate)
        return Atom(name, test, values, low, high, self._qualifiers(predicate), token.position)

    def _test(self, predicate: Predicate) -> tuple[str, tuple[str, ...], str, str]:
        operator = self._next
        if self._accept("="):
            if predicate.closed == "never" and not predicate.single:
                raise self._error(
                    operator,
                    f"{predicate.name} is never known to be complete, so = has nothing to compare.",
                    f"Ask {predicate.name}: for each value.",
                )
            values = [self._value(predicate.values, predicate.name)]
            while self._accept(","):
                values.append(self._value(predicate.values, predicate.name))
            return "=", tuple(dict.fromkeys(values)), "", ""
        if not self._accept(":"):
            return "any", (), "", ""
        first = self._next
        low = (
            ""
            if self._next.text == ".." and self._next.kind == "mark"
            else self._value(predicate.values, predicate.name)
        )
        dots = self._next
        if not self._accept(".."):
            return ":", (low,), "", ""
        self._refuse_unordered(predicate, dots, first if low else None, low)
        last = self._next
        high = self._value(predicate.values, predicate.name) if self._next.kind in ("id", "number", "quoted") else ""
        self._refuse_unordered(predicate, dots, last if high else None, high)
        if low and high and self._place(predicate, low) > self._place(predicate, high):
            raise self._error(first, f"The range {low}..{high} runs backwards.", f"Write {high}..{low}.")
        return "..", (), low, high

    def _refuse_unordered(self, predicate: Predicate, dots: _Token, token: _Token | None, value: str) -> None:
        if not predicate.compare:
            raise self._error(
                dots, f"{predicate.name} has no order, so it has no range.", "Name the values, joined by or."
            )
        if (
            token is not None
            and predicate.compare != "number"
            and self._terms[predicate.values.name].rank(value) is None
        ):
            raise self._error(
                token,
                f"{value} has no rank, so no range begins or ends there.",
                f"Name it alone: {predicate.name}:{value}.",
            )

    def _place(self, predicate: Predicate, value: str) -> Decimal | float:
        found = number(value) if predicate.compare == "number" else self._terms[predicate.values.name].rank(value)
        assert found is not None
        return found

    def _qualifiers(self, predicate: Predicate) -> tuple[Qualifier, ...]:
        opened = self._next
        if not self._accept("["):
            return ()
        if not predicate.qualifiers:
            raise self._error(opened, f"{predicate.name} has no qualifiers.", "Take the brackets out.")
        found = []
        while True:
            token = self._take()
            key = token.text.replace("_", "-")
            if token.kind != "id" or key not in predicate.qualifiers:
                tip = (
                    did_you_mean(token.text, predicate.qualifiers)
                    or f"Its qualifiers are {', '.join(predicate.qualifiers)}."
                )
                raise self._error(token, f"{self._named(token)} is no qualifier of {predicate.name}.", tip)
            operator = self._take()
            if operator.kind != "mark" or operator.text not in (":", "="):
                raise self._error(
                    operator,
                    f"{self._named(operator)} stands where : or = is due.",
                    f"Write {key}:value or {key}=value.",
                )
            found.append(Qualifier(key, operator.text, self._value(predicate.asked[key], key)))
            if self._accept("]"):
                return tuple(found)
            if not self._accept(","):
                raise self._error(self._next, "The [ is still open here.", "Add a ].")

    def _value(self, words: Words, of: str) -> str:
        token = self._take()
        if token.kind == "word":
            raise self._error(
                token,
                f"{token.text} is a word of the pattern language, not a value.",
                f'Quote it if you mean it: "{token.text}".',
            )
        if token.kind not in ("id", "number", "quoted"):
            raise self._error(
                token,
                f"{self._named(token)} stands where a value of {of} is due.",
                "Name a value, or take the sign before it out.",
            )
        if words.kind == "number":
            return self._number(token, words, of)
        vocabulary = self._terms[words.name]
        found = vocabulary.find(token.text)
        if found is None:
            near = did_you_mean(token.text, vocabulary) or _some(vocabulary, of)
            raise self._error(token, f"{self._named(token)} is no value of {of}.", near)
        return found

    def _number(self, token: _Token, words: Words, of: str) -> str:
        text, _, unit = token.text.partition(" ") if token.kind == "quoted" else (token.text, "", "")
        value = amount(text, unit or words.unit, words)
        if value is None:
            raise self._error(
                token,
                f"{self._named(token)} is no number, as {of} needs.",
                f"Write a number of {words.unit}, such as 3 or 1.5.",
            )
        if number(value) is None or (unit and not words.unit_column and unit != words.unit):
            raise self._error(
                token,
                f"{unit} does not compare with {words.unit}.",
                f"Ask in {words.unit}, or ask {of} alone: some value is stated.",
            )
        return value

    def _named(self, token: _Token) -> str:
        if token.kind == "end":
            return "The end of the pattern"
        shown = _printable(token.text)[:40]
        return f'"{shown}"' if token.kind == "quoted" else shown

    def _error(self, token: _Token, message: str, tip: str) -> PatternError:
        return PatternError(self._text, token.position, message, tip)


def _tokens(text: str) -> Iterator[_Token]:
    at = 0
    while at < len(text):
        found = _TOKEN.match(text, at)
        if found is None:
            if text[at] == '"':
                raise PatternError(text, at, "The quotation is never closed.", 'Add a ".')
            if text[at].isdigit() or text[at] == "-":
                raise PatternError(
                    text,
                    at,
                    "An id begins with a letter, and a number ends with its last digit.",
                    "Write the number alone, as 3 or 1.5.",
                )
            raise PatternError(
                text,
                at,
                f"{_printable(text[at])} has no place in a pattern.",
                "Ids are letters, digits and hyphens; quote other text.",
            )
        kind = found.lastgroup
        if kind == "id":
            word = found["id"].replace("_", "-")
            yield _Token("word", word, at) if word in RESERVED else _Token("id", found["id"], at)
        elif kind is not None:
            yield _Token(kind, found[kind], at)
        at = found.end()
    yield _Token("end", "", len(text))


def _walk(pattern: Pattern, positive: bool) -> Iterator[tuple[Atom, bool]]:
    match pattern:
        case Atom():
            yield pattern, positive
        case And(parts) | Or(parts):
            for part in parts:
                yield from _walk(part, positive)
        case Not(part) | StatesNot(part):
            yield from _walk(part, False)


def _is_safety(predicate: Predicate, atom: Atom, terms: Mapping[str, Vocabulary]) -> bool:
    if predicate.safety != "constituents" or atom.test == "any":
        return predicate.safety != "no"
    vocabulary = terms[predicate.values.name]
    taken_in = {term for value in atom.values for term in vocabulary.down(value)}
    return any(
        vocabulary.cell(term, column) == cell for term in taken_in for column, cell in predicate.constituents.items()
    )


def _brackets(atom: Atom) -> str:
    return f"[{','.join(map(str, atom.qualifiers))}]" if atom.qualifiers else ""


def _some(vocabulary: Vocabulary, of: str) -> str:
    few = list(vocabulary)[:12]
    more = ", …" if len(vocabulary.ids) > len(few) else ""
    return f"Values of {of}: {', '.join(few)}{more}" if few else f"The package has no values for {of}."


def _quoted(value: str) -> str:
    plain = _TOKEN.fullmatch(value)
    return (
        value
        if plain and plain.lastgroup in ("id", "number") and value.replace("_", "-") not in RESERVED
        else f'"{value}"'
    )


def _printable(text: str) -> str:
    return "".join(character if character.isprintable() else "\N{REPLACEMENT CHARACTER}" for character in text)


def _width(text: str) -> int:
    wide = sum(unicodedata.east_asian_width(character) in "WF" for character in text)
    return len(text) + wide - sum(bool(unicodedata.combining(character)) for character in text)
