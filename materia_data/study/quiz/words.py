"""What a plainly worded question claims of each option; nothing where one word in it is not understood."""

import re
from collections.abc import Sequence

from materia_data.materia import Materia
from materia_data.study.items.item import Claim
from materia_data.study.quiz.asked import Asked
from materia_data.teach.proof.mentions import Looked, find_mentions

_PREDICATES = ("nature", "flavor", "channel", "action")
_ASKED = {
    "nature": ("nature", "temperature", "natures"),
    "flavor": ("flavor", "flavors", "flavour", "flavours", "taste"),
    "channel": ("channel", "channels", "meridian", "meridians", "enter", "enters"),
    "action": ("action", "actions", "function", "functions"),
}
_PLAIN = frozenset(
    (
        *("a", "an", "the", "of", "to", "in", "into", "and", "or", "by", "among", "from", "it", "its", "what", "which"),
        *("is", "are", "does", "do", "has", "have", "one", "ones", "these", "this", "those", "that", "following"),
        *("medicinal", "medicinals", "herb", "herbs", "two", "three", "four", "thermal"),
    )
)
_NOT = frozenset(("not", "except", "lack", "lacks", "doesn't", "isn't", "don't", "never"))


def claims_in_words(materia: Materia, looked: Looked, asked: Asked) -> tuple[Claim, ...]:
    """For each option the claim that makes it the right one, its `holds` false where the question asks what is not so.

    Understood are a medicinal with values to choose from, and a value with medicinals to choose from. Empty: not so
    plain a question.
    """
    named = find_mentions(looked, asked.stem)
    if len(named) == 1 and not (named[0].changed or named[0].by_ear or named[0].raw):
        return _values(materia, named[0].subjects, _without(asked.stem, named[0].start, named[0].end), asked.options)
    return _subjects(materia, looked, asked) if not named else ()


def _without(text: str, start: int, end: int) -> str:
    """The text without the name."""
    return f"{text[:start]} {text[end:]}"


def _values(materia: Materia, subjects: Sequence[str], rest: str, options: Sequence[str]) -> tuple[Claim, ...]:
    if len(subjects) != 1 or materia.facts.kind(subjects[0]) == "formulas":
        return ()
    words = _words(rest)
    for predicate in _PREDICATES:
        values = [_term(materia, predicate, option) for option in options]
        left = words - _PLAIN - _NOT - set(_ASKED[predicate])
        if all(values) and not left and (words & set(_ASKED[predicate]) or predicate in ("nature", "action")):
            holds = not words & _NOT
            return tuple(Claim(subjects[0], predicate, value, holds) for value in values if value)
    return ()


def _subjects(materia: Materia, looked: Looked, asked: Asked) -> tuple[Claim, ...]:
    subjects = [_whole_name(looked, option) for option in asked.options]
    if not all(subjects) or any(materia.facts.kind(one) == "formulas" for one in subjects if one):
        return ()
    text = " ".join(re.findall(r"[a-z'’-]+", asked.stem.casefold()))
    found: list[tuple[str, str]] = []
    for predicate in _PREDICATES:
        for value, label in _labels(materia, predicate):
            pattern = rf"\b{re.escape(label)}s?\b"
            if not re.search(pattern, text):
                continue
            words = _words(re.sub(pattern, " ", text))
            named = words & set(_ASKED[predicate])
            if not words - _PLAIN - _NOT - set(_ASKED[predicate]) and (named or predicate in ("nature", "action")):
                found.append((predicate, value))
    if len(found) != 1:
        return ()
    (predicate, value), holds = found[0], not _words(text) & _NOT
    return tuple(Claim(one, predicate, value, holds) for one in subjects if one)


def _whole_name(looked: Looked, text: str) -> str:
    found = find_mentions(looked, text)
    if len(found) != 1 or len(found[0].subjects) != 1 or _without(text, found[0].start, found[0].end).strip(" .()"):
        return ""
    return found[0].subjects[0]


def _words(text: str) -> set[str]:
    return set(re.findall(r"[^\W\d_]+(?:['’][^\W\d_]+)?|\d+", text.casefold().replace("’", "'")))


def _labels(materia: Materia, predicate: str) -> list[tuple[str, str]]:
    facts = materia.facts
    terms = facts.vocabularies[facts.predicates[predicate].values.name]
    return [(value, terms.label(value).casefold()) for value in terms]


def _term(materia: Materia, predicate: str, text: str) -> str:
    """The value that an option names, by its English word or its characters."""
    facts = materia.facts
    terms = facts.vocabularies[facts.predicates[predicate].values.name]
    said = re.sub(r"^(?:the|it is) |[.]$| channel$| meridian$", "", text.casefold().strip())
    for value in terms:
        if said in (value, terms.label(value).casefold(), terms.cell(value, "name_hans")):
            return value
    return ""
