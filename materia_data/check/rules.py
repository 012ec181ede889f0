"""Rules of thumb: TOML files to `Rule`s, with a problem for everything that is wrong in them."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from materia_data.facts.facts import Facts
from materia_data.facts.pattern import And, Atom, Or, Pattern, PatternError, StatesNot, parse
from materia_data.problem import Problem
from materia_data.read.package import Package
from materia_data.read.table import layer_of
from materia_data.read.toml import Unread, read_toml
from materia_data.suggest import did_you_mean

STRENGTHS = ("must", "expected", "tends")
BASES = ("collated", "memory", "common-practice")
KINDS = ("herbs", "forms", "formulas")
_TEXT = ("id", "title", "when", "expect", "strength", "because", "basis")
_OPTIONAL = ("explains", "source", "locator")
_KEYS = (*_TEXT, *_OPTIONAL, "over", "safety", "holds", "breaks")
_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_LARGEST = 256 * 1024


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: of the subjects `over` for which `when` is true, `expect` is expected, because.

    when, expect, explains: parsed patterns; holds, breaks: inline subjects, each a pattern of atoms joined by `and`;
    file, line: where the rule stands; source, locator, basis: on what authority.
    """

    id: str
    title: str
    over: tuple[str, ...]
    when: Pattern
    expect: Pattern
    strength: str
    explains: Atom | None
    because: str
    basis: str
    source: str
    locator: str
    safety: bool
    holds: tuple[Pattern, ...]
    breaks: tuple[Pattern, ...]
    file: str
    line: int

    def problem(self, column: str, message: str, *, rule: str = "rule-form", tip: str = "", value: str = "") -> Problem:
        """A finding about the rule itself."""
        return Problem(self.file, self.line, column, self.id, value, rule, "error", message, tip)

    def reads(self) -> set[str]:
        """The predicates that the rule reads."""
        return self.when.predicates() | self.expect.predicates()


def read_rules(package: Package, facts: Facts) -> tuple[list[Rule], list[Problem]]:
    """All rules of a package, in file and then in written order, and what is wrong with the others.

    A rule that cannot be read is left out and reported; the rest are used. Rules of layers follow those beneath; they
    may raise a strength (a rule of an id that stands, with strength alone), never lower one.
    """
    rules: list[Rule] = []
    problems: list[Problem] = []
    for name, text in sorted(package.rules.items(), key=lambda each: (1, "") if ":" in each[0] else (0, each[0])):
        layer, _, own = name.rpartition(":")
        for item in _read_file(f"{layer}:rules/{own}" if layer else f"rules/{name}", text, facts):
            if isinstance(item, Rule):
                rules.append(item)
                if layer and not item.id.startswith(f"x-{layer}-"):
                    tip = f"Write x-{layer}-name; to raise a rule of the base, give its id and strength alone."
                    problems.append(item.problem("id", "A new rule of a layer has its name in its id.", tip=tip,
                                                 rule="layer-id", value=item.id))  # fmt: skip
            elif isinstance(item, _Raised):
                _raise(item, rules, problems)
            else:
                problems.append(item)
    first: dict[str, Rule] = {}
    for rule in rules:
        other = first.setdefault(rule.id, rule)
        if other is not rule:
            problems.append(
                rule.problem(
                    "id",
                    f"{rule.id} is already a rule in {other.file}, line {other.line}",
                    tip="Give this rule an id of its own, or remove one of the two.",
                )
            )
    return [rule for rule in rules if first[rule.id] is rule], problems


@dataclass(frozen=True, slots=True)
class _Raised:
    """What a layer says of a rule beneath."""

    id: str
    strength: str
    file: str
    line: int


def _raise(raised: _Raised, rules: list[Rule], problems: list[Problem]) -> None:
    """Give the rule its new strength, if that is higher."""
    place = next((place for place, rule in enumerate(rules) if rule.id == raised.id), None)
    if place is None:
        message, tip = f"there is no rule {raised.id} beneath", did_you_mean(raised.id, [rule.id for rule in rules])
        column = "id"
    elif STRENGTHS.index(raised.strength) >= STRENGTHS.index(rules[place].strength):
        message, column = f"{raised.id} is {rules[place].strength} beneath; a layer only raises a strength", "strength"
        tip = "Take this out."
    else:
        rules[place] = replace(rules[place], strength=raised.strength)
        return
    value = raised.id if column == "id" else raised.strength
    problems.append(Problem(raised.file, raised.line, column, raised.id, value, "layer-rule", "error", message, tip))


def _read_file(file: str, text: str, facts: Facts) -> Iterator[Rule | _Raised | Problem]:
    def bad(message: str, tip: str, line: int = 0) -> Problem:
        return Problem(file, line, "", "", "", "rule-file", "error", message, tip)

    if len(text.encode("utf-8", "surrogatepass")) > _LARGEST:
        yield bad("the rule file is larger than 256 KiB", "Split it by theme.")
        return
    document = read_toml(text)
    if isinstance(document, Unread):
        yield bad(document.message, document.tip, document.line)
        return
    for key in document:
        if key != "rule":
            yield bad(
                f"{key} is nothing a rule file has", "Each rule begins with a line [[rule]].", _line_of(text, key)
            )
    entries = document.get("rule")
    if not isinstance(entries, list) or not entries or not all(isinstance(entry, dict) for entry in entries):
        yield bad("the rule file holds no rule", "Begin each rule with a line [[rule]], or remove the file.")
        return
    starts = [number for number, line in enumerate(text.split("\n"), 1) if line.strip() == "[[rule]]"]
    for place, entry in enumerate(entries):
        line = starts[place] if place < len(starts) else 0
        if layer_of(file) and entry.keys() == {"id", "strength"} and entry["strength"] in STRENGTHS:
            yield _Raised(str(entry["id"]), entry["strength"], file, line)
        else:
            yield from _read_rule(file, line, entry, facts)


def _line_of(text: str, key: str) -> int:
    return next((number for number, line in enumerate(text.split("\n"), 1) if key in line), 0)


def _read_rule(file: str, line: int, entry: dict[str, Any], facts: Facts) -> Iterator[Rule | Problem]:
    name = entry["id"] if isinstance(entry.get("id"), str) else ""
    problems: list[Problem] = []

    def bad(column: str, message: str, tip: str = "", value: str = "") -> None:
        problems.append(Problem(file, line, column, name, value, "rule-form", "error", message, tip))

    for key in entry:
        if key not in _KEYS:
            bad(key, f"a rule has no key {key}", did_you_mean(key, _KEYS))
    for key in _TEXT:
        if not isinstance(entry.get(key), str) or not entry[key].strip():
            bad(key, f"the rule does not say its {key}", f'Add {key} = "…".')
    for key in _OPTIONAL:
        if not isinstance(entry.get(key, ""), str):
            bad(key, f"{key} is not text", "Put it in straight double quotes.")
    if name and not _ID.fullmatch(name):
        bad("id", f"{name} is no id", "Lower-case words joined by hyphens.", name)
    _check_choices(entry, bad)
    texts = {key: entry.get(key, []) for key in ("holds", "breaks")}
    for key, rows in texts.items():
        if not isinstance(rows, list) or not rows or not all(isinstance(row, str) for row in rows):
            bad(
                key,
                f"the rule has no inline row that {key}",
                f'Add {key} = ["atom and atom"]: a subject that states just this.',
            )
    if problems:
        yield from problems
        return

    safety = entry["safety"]
    patterns: dict[str, list[Pattern]] = {}
    for key in ("when", "expect", "explains", "holds", "breaks"):
        value = entry.get(key, [])
        patterns[key] = []
        for text in [value] if isinstance(value, str) else value:
            try:
                patterns[key].append(parse(text, facts, safety_rule=True))
            except PatternError as error:
                bad(key, f"{error.message} (at character {error.position + 1} of {text})", error.tip, text)
    if not problems:
        _check_patterns(patterns, safety, bad)
    if problems:
        yield from problems
        return
    explains = patterns["explains"][0] if patterns["explains"] else None
    yield Rule(
        name,
        entry["title"],
        tuple(entry["over"]),
        patterns["when"][0],
        patterns["expect"][0],
        entry["strength"],
        explains if isinstance(explains, Atom) else None,
        entry["because"],
        entry["basis"],
        entry.get("source", ""),
        entry.get("locator", ""),
        safety,
        tuple(patterns["holds"]),
        tuple(patterns["breaks"]),
        file,
        line,
    )


def _check_choices(entry: dict[str, Any], bad: Any) -> None:
    over = entry.get("over")
    if not isinstance(over, list) or not over or any(kind not in KINDS for kind in over):
        bad("over", "the rule does not say what it is over", f"A list of one or more of {', '.join(KINDS)}.")
    if not isinstance(entry.get("safety"), bool):
        bad("safety", "the rule does not say whether it is a safety rule", "Add safety = true or safety = false.")
    if isinstance(entry.get("strength"), str) and entry["strength"] not in STRENGTHS:
        bad("strength", f"{entry['strength']} is no strength", f"One of {', '.join(STRENGTHS)}.", entry["strength"])
    if isinstance(entry.get("basis"), str) and entry["basis"] not in BASES:
        bad("basis", f"{entry['basis']} is no basis", f"One of {', '.join(BASES)}.", entry["basis"])
    if entry.get("basis") == "collated" and not (entry.get("source") and entry.get("locator")):
        bad("basis", "collated without source and locator", "Say where it was read, or mark it memory.")
    if entry.get("safety") is True:
        if entry.get("strength") != "must":
            tip = "What is excepted gets a row in record/exceptions.csv."
            bad("strength", "a safety rule must be must", tip, entry.get("strength", ""))
        if isinstance(over, list) and "formulas" not in over and set(over) != {"herbs", "forms"}:
            bad(
                "over",
                "a safety rule over herbs leaves out forms, or the other way",
                'Write over = ["herbs", "forms"].',
            )


def _check_patterns(patterns: dict[str, list[Pattern]], safety: bool, bad: Any) -> None:
    when, expect = patterns["when"][0], patterns["expect"][0]
    if not when.atoms() and not _rests_on_negatives(when):
        bad("when", "when has no positive atom", "Say first what the rule is about.")
    for explains in patterns["explains"]:
        if not isinstance(explains, Atom) or str(explains) not in {
            str(atom) for atom in (*when.atoms(), *expect.atoms())
        }:
            bad(
                "explains",
                f"{explains} is not one of the rule's positive atoms",
                "Repeat one atom of when or expect, letter for letter.",
                str(explains),
            )
    for key in ("holds", "breaks"):
        for row in patterns[key]:
            if not _is_row(row):
                bad(key, f"{row} is no inline row", "Atoms with one value each, joined by `and`.", str(row))


def _rests_on_negatives(pattern: Pattern) -> bool:
    return isinstance(pattern, StatesNot) or (
        isinstance(pattern, And | Or) and any(_rests_on_negatives(part) for part in pattern.parts)
    )


def _is_row(pattern: Pattern) -> bool:
    if isinstance(pattern, And):
        return all(_is_row(part) for part in pattern.parts)
    atom = pattern.part if isinstance(pattern, StatesNot) else pattern
    return isinstance(atom, Atom) and len(atom.values) == 1
