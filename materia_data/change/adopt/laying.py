"""Readings laid down beside what the base says: taken, held for an answer, or kept as they were written."""

from dataclasses import replace

from materia_data.change.adopt.against import Verdict, against
from materia_data.change.adopt.desk import LEAVE, STRICTNESS, Desk, Laid
from materia_data.change.adopt.result import Place
from materia_data.change.adopt.say import Reading, Say, joined, say, sentence, told

_OWN = frozenset({"dose", "antagonisms", "grade"})
"""Read differently for each medicinal, so decided for each."""
_UNLISTED = _OWN | {"kept", "strictness"}
_YES = frozenset({"yes", "y", "+", "是", "有", "x", "t", "true", "√", "✓"})
_GRADES = ("toxic", "very-toxic", "slight")
_LOOSENED = frozenset({"caution", "dose-max", "toxicity"})


def lay(desk: Desk, place: Place, subject: str, reading: Reading, source: str) -> None:
    """Take a reading of a cell: what is sure is put beside the base, what is not is asked about or kept."""
    reading = _decided(desk, _graded(desk, reading, subject))
    if reading.role not in _UNLISTED:
        desk.note_term(reading)
    if reading.sure:
        for one in reading.says:
            _put(desk, place, subject, one, reading.why, source)
        if not reading.says:
            desk.keep(place, reading.text, reading.why)
        return
    if desk.pending:
        _wait(desk, place, subject, reading, desk.pending)
        return
    if reading.role == "strictness":
        key = f"strictness: {place.sheet}, {place.column}"
        asks = f"In the column {place.column}, how strict is a bare word such as {reading.text}?"
        desk.pose(key, "term", asks, STRICTNESS, place, safety=True)
        _wait(desk, place, subject, reading, key)
        return
    if not reading.safety and not reading.choices:
        desk.keep(place, reading.text, reading.why)
        return
    own = reading.role in _OWN
    key = f"{reading.role}: {reading.text}" + (f", {subject}" if own else "")
    asks = f"{desk.shown(subject) + ': w' if own else 'W'}hat does {reading.text} say? {sentence(reading.why)}"
    desk.pose(key, "term", asks, tuple(joined(choice) for choice in reading.choices), place, safety=reading.safety)
    answer = desk.questions[key].answer
    if answer == LEAVE:
        desk.keep(place, reading.text, "left out, as answered", key)
    elif answer:
        for one in desk.parsed(answer):
            _put(desk, place, subject, one, "answered", source)
    else:
        _wait(desk, place, subject, reading, key)


def _graded(desk: Desk, reading: Reading, subject: str) -> Reading:
    """A mere yes under toxicity: the base's own grade, if it has one."""
    if reading.role != "toxicities" or desk.identifier.lexicon.fold(reading.text).strip(" .!") not in _YES:
        return reading
    facts = desk.identifier.lexicon.materia.facts
    grades = [fact.value for fact in facts.of(subject, "toxicity")] if subject in facts.number else []
    graded = [grade for grade in grades if (facts.vocabularies["toxicities"].rank(grade) or 0) > 0]
    order = graded + [grade for grade in _GRADES if grade not in graded]
    choices = tuple((say("herbs", {"toxicity": grade}),) for grade in order)
    says = choices[0] if graded else ()
    return Reading("grade", reading.text, says, bool(graded), "toxic, of the grade on record", choices, True)


def _decided(desk: Desk, reading: Reading) -> Reading:
    """As the mapping has it, if it has."""
    told = desk.decisions.terms.get((reading.role, reading.text))
    if told is None or (not told and not reading.sure):
        return reading
    says = tuple(desk.checked(one) for one in told)
    if list(map(str, says)) == list(map(str, reading.says)):
        return reading
    return replace(reading, says=says, sure=True, why="decided in the mapping")


def lay_answer(desk: Desk, key: str, place: Place, subject: str, text: str, why: str) -> None:
    """Take the answer to a question for what it says, or keep the text."""
    answer = desk.questions[key].answer
    if answer and answer != LEAVE:
        for one in desk.parsed(answer):
            _put(desk, place, subject, one, "answered", "")
    else:
        desk.keep(place, text, why, key)


def _wait(desk: Desk, place: Place, subject: str, reading: Reading, key: str) -> None:
    """Kept until the question is answered; what it would most likely say is held."""
    desk.keep(place, reading.text, reading.why, key)
    for one in reading.choices[0] if reading.choices else ():
        verdict = against(desk.identifier.lexicon.materia.facts, subject, one)
        desk.laid.append(Laid(place, subject, one, verdict, reading.why, "", key))


def _put(desk: Desk, place: Place, subject: str, one: Say, why: str, source: str) -> None:
    """One saying held against the base; what is looser, or against it, waits for an answer."""
    facts = desk.identifier.lexicon.materia.facts
    if one.table == "herb_actions" and one.get("indications"):
        _indication(desk, place, subject, one, why)
        return
    if one.table == "antagonisms" and one.get("with") == subject:
        desk.keep(place, str(one), "a medicinal cannot be opposed to itself")
        return
    verdict = against(facts, subject, one)
    key = desk.pending
    if key:
        desk.laid.append(Laid(place, subject, one, verdict, why, source, key))
        return
    if verdict.verdict in ("looser", "against") and one.safety:
        key = f"looser: {subject} {one}"
        may = ("base", "school") if verdict.predicate in _LOOSENED else ("base",)
        base = f"says {verdict.base}" if verdict.base else "has none"
        asks = f"{desk.shown(subject)}: the school says {told(one)}; the base {base}. Which stands?"
        desk.pose(key, "looser", asks, may, place, safety=True)
    elif verdict.verdict == "against":
        key = f"against: {subject} {one}"
        asks = f"{desk.shown(subject)}: the base {verdict.base}; the school says {told(one)}. Which stands?"
        desk.pose(key, "term", asks, ("base",), place)
    desk.laid.append(Laid(place, subject, one, verdict, why, source, key))


def _indication(desk: Desk, place: Place, subject: str, one: Say, why: str) -> None:
    """An indication has no row of its own: placed where the base has it with an action, else kept."""
    table = desk.identifier.lexicon.materia.package.tables["herb_actions"]
    for row in table.rows_of("subject").get(subject, ()):
        if one.get("indications") in table.columns["indications"][row].split(";"):
            base = table.columns["indications"][row]
            verdict = Verdict("same", one, table.key(row), base)
            desk.laid.append(Laid(place, subject, one, verdict, why, "", desk.pending))
            return
    desk.keep(place, one.get("indications"), "the base has it with no action of this medicinal; the sheet names none")
