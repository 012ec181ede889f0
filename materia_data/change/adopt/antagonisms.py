"""What a medicinal must not be combined with, in a school's words."""

import re
from dataclasses import dataclass

from materia_data.change.adopt.clauses import listed
from materia_data.change.adopt.identity import Identifier
from materia_data.change.adopt.say import Reading, say
from materia_data.facts.facts import Facts

_WORDS = re.compile(
    r"^(?:\(?(?:十八反|十九畏|18 ?反|19 ?畏|eighteen|nineteen|18|19)\)?\s*[:,]?\s*)?"
    r"(?:incompatible with|incompat(?:ible|\.)?(?: with| w/?)?|antagoni[sz]es|antagonistic to|antagonism with|"
    r"opposes|opposed (?:to|by)|clash(?:es)? with|conflicts? with|fights(?: with)?|"
    r"never (?:combine |mix |use )?with|(?:do not|don't) (?:combine|mix|use) with|"
    r"not (?:to be )?(?:combined|mixed|used) with|not with|fears|hates|"
    r"反|畏|恶|相反|相畏|不宜与|不可与|不能与|忌与|勿与)\s*:?\s*"
)
_LAST = re.compile(
    r"\s*(?:同用|合用|配伍|配用|并用|together|in one formula|\((?:18|19|十八反|十九畏)[^)]*\))\.?$"
    r"|^\s*(?:and|&|or|和|与|及)\s+"
)
_LABEL = re.compile(r"^(?:18 incompatibilities|19 (?:fears|antagonisms)|十八反|十九畏|18反|19畏|\(?(?:18|19)\)?)$")


def speaks_of_it(folded: str) -> bool:
    """Whether a clause says itself that something must not be combined."""
    return bool(_WORDS.match(folded)) and not re.match(
        r"^(?:18|19|eighteen|nineteen)\b(?!.*(?:with|反|畏|oppose))", folded
    )


def read_antagonisms(identifier: Identifier, text: str, subject: str) -> list[Reading]:
    """A reading for each name in the cell."""
    folded = identifier.lexicon.fold(text)
    opened = _WORDS.match(folded)
    start = opened.end() if opened and len(folded) == len(text) else 0
    body = text[start:] if start or not opened else folded[opened.end() :]
    readings = []
    for name in _names(identifier, body):
        bare = _LAST.sub("", name).strip(" .:()")
        again = _WORDS.match(identifier.lexicon.fold(bare))
        bare = bare[again.end() :] if again else bare
        if not bare or _LABEL.match(identifier.lexicon.fold(bare)):
            continue
        readings.append(_one(identifier, bare, subject))
    return readings


def _names(identifier: Identifier, body: str) -> list[str]:
    """The names in a list; a word for `and` parts two of them unless it is a character of one (白及)."""
    found: list[str] = []
    for name in listed(re.sub(r"\s+(?:and|or|&)\s+", ",", body)):
        parts = [part for part in re.split(r"[和与及]", name) if part.strip()]
        bare = _LAST.sub("", name).strip(" .:()")
        found += [name] if len(parts) < 2 or identifier.text(bare).stated else parts
    return found


def _one(identifier: Identifier, name: str, subject: str) -> Reading:
    meant = identifier.text(name)
    facts = identifier.lexicon.materia.facts
    on_record = opposed(facts, subject) if subject in facts.number else {}
    hits = [id for id in meant.subjects if id in on_record]
    if meant.stated and hits and (meant.sure or len(hits) == len(meant.subjects)):
        says = tuple(
            say("antagonisms", {"with": id, "list": on_record[id].list, "state": on_record[id].state}) for id in hits
        )
        return Reading("antagonisms", name, says, True, "the base has the pair", safety=True)
    choices = tuple(
        (say("antagonisms", {"with": id, "list": "other", "state": state}),)
        for id in (hits or meant.subjects)[:3]
        for state in ("contraindicated", "avoid", "caution")
    )
    why = "the base has no such pair; how strictly is it meant?" if meant.sure else meant.why
    return Reading("antagonisms", name, (), False, why, choices[:9], True)


@dataclass(frozen=True, slots=True)
class Opposed:
    """A row of the base: its key, list and state."""

    record: str
    list: str
    state: str


def opposed(facts: Facts, subject: str) -> dict[str, Opposed]:
    """What the base says must not be combined with the subject, or the herb that it is a form of: the strictest row
    for each."""
    table = facts.package.tables["antagonisms"]
    columns = table.columns
    own = {subject, facts.herb_of(subject)}
    found: dict[str, Opposed] = {}
    ranks = ("caution", "avoid", "contraindicated")
    for side, other in (("a", "b"), ("b", "a")):
        for one in own:
            for row in table.rows_of(side).get(one, ()):
                id, said = columns[other][row], Opposed(table.key(row), columns["list"][row], columns["state"][row])
                if id not in found or ranks.index(said.state) > ranks.index(found[id].state):
                    found[id] = said
    return found
