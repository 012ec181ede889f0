"""A cell read by what its column may hold."""

import re
from dataclasses import dataclass, replace

from materia_data.change.adopt.antagonisms import read_antagonisms, speaks_of_it
from materia_data.change.adopt.cautions import read_cautions
from materia_data.change.adopt.clauses import sentences
from materia_data.change.adopt.doses import Known, read_dose
from materia_data.change.adopt.handling import read_handling
from materia_data.change.adopt.identity import Identifier
from materia_data.change.adopt.properties import read_properties
from materia_data.change.adopt.say import Reading, say
from materia_data.names.script import is_han

VOCABULARIES = {
    "nature": "natures",
    "flavors": "flavors",
    "channels": "channels",
    "toxicity": "toxicities",
    "part": "parts",
}
SAFETY = frozenset({"dose", "handling", "cautions", "antagonisms", "toxicity", "drug"})
_ALARM = re.compile(
    r"tox|poison|\bpreg|fatal|\bdea(?:th|dly)|danger|contra|\bavoid|\bcaution|\bnever|forbid|overdos|"
    r"毒|孕|忌|禁|慎|反|畏|妊|死|生用|不超过|不可|勿|"
    r"\bcareful|\bnot (?:in|for|with|more|to)\b|\bdo not|\bdon't|\bmax|\bfirst\b|\braw\b|\bonly\b|more than|\bup to\b|"
    r"exceed|\d ?g\b|\d ?克|\d ?[-~] ?\d|banned|\blaw\b|unsafe|\bprocessed\b|mercury|arsenic|aristoloch|lead\b"
)
_NOTHING = frozenset(
    {
        "",
        "-",
        "--",
        "---",
        "n/a",
        "na",
        "none",
        "nil",
        "nothing",
        "无",
        "没有",
        "/",
        "\\",
        ".",
        "–",
        "—",
        "…",
        "...",
        "none noted",
        "none known",
        "未见",
        "暂无",
        "同上",
    }
)


@dataclass(frozen=True, slots=True)
class Asked:
    """A cell as its column has it. roles: what it may hold; unit, strictness: what the heading says; subject: whom the
    row is about; known: what the base says of its doses."""

    text: str
    roles: tuple[str, ...]
    unit: str
    strictness: str
    subject: str
    known: Known


def says_nothing(folded: str) -> bool:
    """Whether a cell says only that nothing is to be said."""
    return folded in _NOTHING


def speaks_of_safety(identifier: Identifier, text: str) -> bool:
    """Whether the words of a cell say something of safety, or may; its numbers by themselves do not."""
    text = re.sub(r"\d+", "", text)
    if sum(char.isalpha() for char in text) < 4:
        return False
    return any(one.safety for one in _note(identifier, Asked(text, ("note",), "", "", "", Known(()))))


def read_cell(identifier: Identifier, cell: Asked) -> list[Reading]:
    """What the cell says, piece by piece."""
    lexicon = identifier.lexicon
    roles = set(cell.roles)
    readings: list[Reading] = []
    vocabularies = tuple(VOCABULARIES[role] for role in VOCABULARIES if role in roles)
    if "properties" in roles:
        vocabularies = tuple(dict.fromkeys((*vocabularies, "natures", "flavors", "channels", "toxicities")))
    rest = [cell.text]
    if {"natures", "flavors"} & set(vocabularies):
        vocabularies = tuple(dict.fromkeys((*vocabularies, "natures", "flavors", "toxicities")))
    if vocabularies:
        graded = bool(roles & {"toxicity"})
        readings += read_properties(lexicon, cell.text, vocabularies, graded=graded)
        rest = []
    if "dose" in roles:
        doses, rest = read_dose(lexicon, cell.text, cell.unit, cell.known)
        readings += doses
        if not rest:
            return readings
        readings += [one for text in rest for one in _clause(identifier, cell, text, roles | {"handling", "cautions"})]
        return readings
    if roles & {"actions", "indications"}:
        return readings + _deeds(identifier, cell.text, roles)
    if "category" in roles:
        return [*readings, _category(identifier, cell.text)]
    if roles & {"handling", "cautions", "antagonisms", "drug"} or any(role.startswith("topic:") for role in roles):
        return readings + _safety(identifier, cell, roles)
    if "note" in roles:
        return readings + _note(identifier, cell)
    return readings + [Reading("kept", text, (), False, "no table of ours for it") for text in rest]


def _safety(identifier: Identifier, cell: Asked, roles: set[str]) -> list[Reading]:
    if roles == {"handling"}:
        whole = read_handling(identifier.lexicon, cell.text)
        if all(one.sure for one in whole):
            return whole
    if roles == {"antagonisms"} and not _other(identifier, cell.text):
        return read_antagonisms(identifier, cell.text, cell.subject)
    found: list[Reading] = []
    for sentence in sentences(cell.text):
        found += _clause(identifier, cell, sentence, roles)
    return found


def _other(identifier: Identifier, text: str) -> bool:
    """Whether a cell for antagonisms speaks of cautions too."""
    parts = identifier.lexicon.fold(text)
    return bool(re.search(r"preg|孕|慎|caution", parts))


def _clause(identifier: Identifier, cell: Asked, text: str, roles: set[str]) -> list[Reading]:
    """One sentence, by whichever reader understands all of it; the column's own is asked first."""
    lexicon = identifier.lexicon
    if says_nothing(lexicon.fold(text).strip(" .")):
        return []
    tries: list[list[Reading]] = []
    folded = lexicon.fold(text)
    topic = next((role.partition(":")[2] for role in cell.roles if role.startswith("topic:")), "")
    if speaks_of_it(folded) or roles & {"antagonisms"}:
        tries.append(read_antagonisms(identifier, text, cell.subject))
    if roles & {"cautions", "drug"} or topic:
        tries.append(read_cautions(lexicon, text, topic, cell.strictness))
    if "handling" in roles or not tries:
        tries.append(read_handling(lexicon, text))
    if "cautions" in roles:
        tries.append(read_handling(lexicon, text))
        tries.append(_toxic(identifier, text))
    sure = next((one for one in tries if one and all(reading.sure for reading in one)), None)
    if sure:
        return sure
    parts = [part for part in re.split(r"[,、]|\.\s+", text) if part.strip()]
    if len(parts) > 1:
        split = [_clause(identifier, cell, part.strip(), roles) for part in parts]
        if all(all(reading.sure for reading in one) for one in split):
            return [reading for one in split for reading in one]
    guessed = [one for one in tries if one and any(reading.choices for reading in one)]
    return (
        guessed[0]
        if guessed
        else tries[0]
        if tries[0]
        else [Reading("cautions", text, (), False, "not understood", safety=True)]
    )


def _toxic(identifier: Identifier, text: str) -> list[Reading]:
    return read_properties(identifier.lexicon, text, ("toxicities",))


def _deeds(identifier: Identifier, text: str, roles: set[str]) -> list[Reading]:
    lexicon = identifier.lexicon
    found = []
    for phrase in lexicon.actions.phrases(text):
        if says_nothing(lexicon.fold(phrase)):
            continue
        deeds = lexicon.actions.read(phrase) if "actions" in roles else []
        if "indications" in roles and not any(one.sure for one in deeds):
            indication = _indication(identifier, phrase)
            deeds = [indication] if indication.sure or not deeds else deeds
        found += deeds
    return found


def _indication(identifier: Identifier, phrase: str) -> Reading:
    """An indication by its label. It has no table of its own: it stands with an action."""
    hit = identifier.lexicon.indications.get(identifier.lexicon.fold(phrase))
    if hit is None:
        return Reading("indications", phrase, (), False, "no indication of ours is called so")
    return Reading(
        "indications", phrase, (say("herb_actions", {"indications": hit[1]}),), True, "the label of the indication"
    )


def _category(identifier: Identifier, text: str) -> Reading:
    lexicon = identifier.lexicon
    pieces = [text, *re.split(r"[()/\n|;:>]|\s-\s", text)]
    pieces += ["".join(char for char in text if is_han(char)), "".join(char for char in text if not is_han(char))]
    for piece in pieces:
        id = lexicon.categories.get(lexicon.category_key(piece)) if piece.strip() else None
        if id is None:
            continue
        if id.startswith("/"):
            groups = lexicon.materia.package.tables["groups"]
            category = groups.columns["category"][groups.rows_of("id")[id[1:]][0]]
            said = say("herbs", {"category": category, "subgroup": id[1:]})
        else:
            said = say("herbs", {"category": id})
        return Reading("category", text, (said,), True, "the name of the category")
    return Reading("category", text, (), False, "no category of ours is called so")


def _note(identifier: Identifier, cell: Asked) -> list[Reading]:
    """Notes are kept; what in them surely speaks of safety is read, what may is asked about."""
    found = []
    for sentence in sentences(re.sub(r"(?<=[^\W\d_]{3})[.!]\s+", "; ", cell.text)):
        clause = _clause(identifier, cell, sentence.strip(" .!"), {"cautions", "handling"})
        if clause and all(one.sure for one in clause):
            found += clause
        elif _ALARM.search(identifier.lexicon.fold(sentence)):
            found += [one if one.sure else replace(one, safety=True) for one in clause]
        else:
            found.append(Reading("kept", sentence, (), False, "a note: kept, for the base has its own"))
    return found
