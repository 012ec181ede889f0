"""How a medicinal is cooked, in a school's words."""

import re

from materia_data.change.adopt.clauses import listed
from materia_data.change.adopt.lexicon import Lexicon
from materia_data.change.adopt.say import Reading, Say, say
from materia_data.change.adopt.tables import noise
from materia_data.change.adopt.words import tokens

_MINUTES = re.compile(
    r"(?:for |约)?(?P<low>\d{1,3})(?:\s*(?:-|to|至)\s*(?P<high>\d{1,3}))?\s*"
    r"(?P<unit>minutes?|mins?|min|分钟|'|hours?|hrs?|hr|h|小时)\.?"
    r"(?:\s*(?:before (?:the )?others?|first|or more))?"
)
_HOURS = (
    (r"半(?:个)?小时|\bhalf an hour\b", "30 min"),
    (r"一(?:个)?小时|\b(?:an|one) hour\b", "60 min"),
    (r"[两二](?:个)?小时|\btwo hours\b", "120 min"),
)
_FORCE = {
    **dict.fromkeys(("must", "required", "always", "必须", "须"), "required"),
    **dict.fromkeys(("usually", "宜", "多"), "usual"),
    **dict.fromkeys(("may", "can", "optional", "optionally", "可", "sometimes", "或"), "optional"),
}


def read_handling(lexicon: Lexicon, text: str) -> list[Reading]:
    """A reading for each clause of the cell."""
    text = re.sub(r"\b[wW]/\s*", "with ", text)
    for words, minutes in _HOURS:
        text = re.sub(words, minutes, text)
    whole = _one(lexicon, text, text)
    if whole.sure:
        return [whole]
    clauses = [_one(lexicon, clause, clause) for clause in listed(text) if lexicon.fold(clause)]
    if all(clause.sure for clause in clauses):
        return clauses
    return [_doubtful(clause) if _plain(clause) else clause for clause in clauses]


def _plain(clause: Reading) -> bool:
    return clause.sure and any(one.get("handling") == "ordinary" for one in clause.says)


def _doubtful(clause: Reading) -> Reading:
    return Reading("handling", clause.text, (), False, "what stands beside it is not understood", (clause.says,), True)


def _one(lexicon: Lexicon, clause: str, written: str) -> Reading:
    folded = lexicon.fold(clause)
    minutes = _MINUTES.search(folded)
    rest = folded[: minutes.start()] + " " + folded[minutes.end() :] if minutes else folded
    words, pieces = lexicon.terms("handlings"), tokens(rest)
    found: list[str] = []
    strange: list[str] = []
    force, at = "", 0
    while at < len(pieces):
        if hit := words.at(pieces, at):
            found += [hit[1][1]] if hit[1][1] not in found else []
            at += hit[0]
            continue
        two = "".join(piece.text for piece in pieces[at : at + 2])
        if two in _FORCE:
            force, at = _FORCE[two], at + 2
            continue
        if pieces[at].text in _FORCE:
            force = _FORCE[pieces[at].text]
        elif pieces[at].text not in noise("handling"):
            strange.append(pieces[at].text)
        at += 1
    if minutes and found in ([], ["ordinary"]) and re.search(r"before|first|先", folded):
        found = ["decoct-first"]
    elif minutes and found == ["ordinary"]:
        strange.append(minutes[0])
    if len(found) > 1 and "ordinary" in found:
        found.remove("ordinary")
    said = tuple(_said(id, force, minutes) for id in found)
    if found and not strange and not (minutes and len(found) > 1):
        return Reading("handling", written, said, True, "the words for it", safety=True)
    why = f"not understood: {' '.join(strange)}" if strange else "no way of cooking of ours is called so"
    return Reading("handling", written, (), False, why, (said,) if said else (), safety=True)


def _said(id: str, force: str, minutes: re.Match[str] | None) -> Say:
    """The last five minutes are what adding late means; minutes of anything else are kept."""
    cells = {"handling": id, "force": force}
    if minutes and id != "add-late":
        scale = 60 if minutes["unit"].startswith(("h", "小")) else 1
        cells["minutes_min"] = str(int(minutes["low"]) * scale)
        if minutes["high"]:
            cells["minutes_max"] = str(int(minutes["high"]) * scale)
    return say("handling", {column: cell for column, cell in cells.items() if cell})
