"""Whose row it is: what its names mean together, or the question which."""

import re
from collections.abc import Sequence
from dataclasses import replace

from materia_data.change.adopt.cells import says_nothing
from materia_data.change.adopt.desk import Desk
from materia_data.change.adopt.headings import NAMES
from materia_data.change.adopt.identity import Meant
from materia_data.change.adopt.result import Column, Place
from materia_data.change.adopt.say import Reading, sentence
from materia_data.change.adopt.sheets import Cell
from materia_data.change.adopt.trouble import AdoptError
from materia_data.find import plain_reading
from materia_data.names.script import is_han
from materia_data.read.schema import table_schemas
from materia_data.suggest import did_you_mean

_NEW = re.compile(r"(\w+)=(\"[^\"]*\"|\S+)")
_NEEDS = ("name_hans", "name_hant", "pinyin", "name_en", "category")
_COLUMNS = {"zh-Hans": "name_hans", "zh-Hant": "name_hant", "zh-Latn": "pinyin", "en": "name_en", "la": "latin"}


def whose(desk: Desk, sheet: str, row: int, filled: Sequence[tuple[Column, Cell]]) -> str:
    """Whom the row is about: certain, answered, or asked about."""
    meant, texts = meant_by(desk, sheet, row, filled)
    place = Place(sheet, row, texts[0][0] if texts else "")
    if meant.sure:
        desk.subjects.setdefault(meant.subjects[0], place)
        for _, text in texts:
            if desk.identifier.text(text).sure:
                desk.note_term(Reading("name", text, (), True, meant.why), desk.identifier.text(text).subjects)
        return meant.subjects[0]
    if not texts:
        desk.keep(place, " | ".join(cell.text for _, cell in filled)[:200], "the row has no name")
        return ""
    named = " | ".join(text for _, text in texts)
    desk.unnamed.setdefault(named, place)
    key = f"name: {named}"
    what = f"Which medicinal is {named}? {sentence(meant.why)}"
    desk.pose(key, "name", what, (*meant.subjects[:6], "new"), place, safety=True)
    answer = desk.questions[key].answer
    if answer in desk.identifier.lexicon.materia:
        desk.subjects.setdefault(answer, place)
        return answer
    if answer.startswith("new"):
        return _added(desk, answer, texts, key)
    if not answer and meant.stated:
        desk.maybe = True
        desk.pending = key
        return meant.subjects[0]
    return ""


def _added(desk: Desk, answer: str, texts: Sequence[tuple[str, str]], key: str) -> str:
    """A medicinal of the school's own; what the sheet does not say of its names, the answer must."""
    cells = {name: value.strip('"') for name, value in _NEW.findall(answer)}
    known = table_schemas()["herbs"].by_name
    categories = desk.identifier.lexicon.materia.package.tables["categories"].columns["id"]
    for column, value in cells.items():
        if column not in known:
            raise AdoptError(f"herbs has no column {column}. {did_you_mean(column, known)}".strip())
        if column == "category" and value not in categories:
            raise AdoptError(f"There is no category {value}. {did_you_mean(value, categories)}".strip())
    for _, text in texts:
        role = language(desk, text, "pinyin" if not any(map(is_han, text)) else "")
        column = _COLUMNS[role]
        cells.setdefault(column, text)
    slug = re.sub(r"[^a-z0-9]+", "-", desk.identifier.lexicon.fold(_plain(cells.get("pinyin", "")))).strip("-")
    needs = [column for column in _NEEDS if not cells.get(column)]
    if needs or not slug:
        question = desk.questions[key]
        wants = " ".join(f'{column}="…"' for column in needs)
        desk.questions[key] = replace(question, answer="", asks=f"{question.asks} A new one needs: new {wants}")
        return ""
    id = f"x-{desk.layer}-{slug}"
    desk.new[id] = {"id": id, "status": "current", **cells}
    desk.subjects.setdefault(id, Place("", 0, ""))
    return id


def meant_by(
    desk: Desk, sheet: str, row: int, filled: Sequence[tuple[Column, Cell]]
) -> tuple[Meant, list[tuple[str, str]]]:
    """What the names of a row mean together. Characters and readings decide; other names speak up only where to
    be wrong would hurt."""
    strong: list[tuple[str, Meant]] = []
    weak: list[tuple[str, Meant]] = []
    texts: list[tuple[str, str]] = []
    for column, cell in filled:
        roles = set(column.means.split("+"))
        if not roles & set(NAMES) or "alias" in roles or says_nothing(desk.identifier.lexicon.fold(cell.text)):
            continue
        texts.append((column.heading, cell.text))
        meant = _named(desk, cell.text)
        (weak if roles & {"name_en", "latin"} and not roles & {"name", "pinyin"} else strong).append((cell.text, meant))
    if not strong and not weak:
        for column, cell in filled:
            if "alias" in column.means.split("+"):
                texts.append((column.heading, cell.text))
                strong.append((cell.text, desk.identifier.text(cell.text)))
    english = _english(desk, strong)
    weak += [(text, meant) for text, meant in english.items() if meant]
    strong = [pair for pair in strong if pair[0] not in english]
    return _weighed(desk, [one for _, one in strong], [one for _, one in weak]), texts


def _english(desk: Desk, strong: list[tuple[str, Meant]]) -> dict[str, Meant | None]:
    """English names among the names of a row whose characters are certain, and what they mean: what the characters
    say (aucklandia, 木香), or nothing by themselves where they are a shorter form of its name and the whole one of
    another no more harmful (deer antler, 鹿茸). Any other is left to be asked about."""
    written = [meant for text, meant in strong if any(map(is_han, text)) and meant.stated]
    if not written or not (subject := desk.identifier.together(written)).sure:
        return {}
    id, harm = subject.subjects[0], desk.identifier.lexicon.materia.names.harm
    found: dict[str, Meant | None] = {}
    for text, meant in strong:
        if any(map(is_han, text)) or language(desk, text, "name") != "en":
            continue
        herbs = {one.partition(".")[0] for one in meant.subjects}
        if meant.stated and id in meant.subjects:
            found[text] = meant
        elif not meant.stated and herbs == {id.partition(".")[0]} and _shorter(desk, text, id):
            found[text] = Meant((id,), True, "words of its English name, and of no other's", True)
        elif meant.stated and _shorter(desk, text, id) and len({harm.get(one, 0) for one in (id, *meant.subjects)}) < 2:
            found[text] = None
    return found


def _shorter(desk: Desk, text: str, subject: str) -> bool:
    """Whether an English name of the subject has all the words of the text."""
    tables, fold = desk.identifier.lexicon.materia.package.tables, desk.identifier.lexicon.fold
    herb = tables["herbs" if subject in tables["herbs"].rows_of("id") else "forms"]
    names = [herb.columns["name_en"][row] for row in herb.rows_of("id").get(subject, ())]
    other = tables["names"]
    rows = other.rows_of("subject").get(subject, ())
    names += [other.columns["name"][row] for row in rows if other.columns["lang"][row] == "en"]
    return any(set(fold(text).split()) < set(fold(name).split()) for name in names)


def _named(desk: Desk, text: str) -> Meant:
    """What a name means, or what the mapping says it does."""
    meant = desk.identifier.text(text)
    told = desk.decisions.terms.get(("name", text))
    if told is None or told == meant.subjects or len(told) != 1:
        return meant
    if told[0] not in desk.identifier.lexicon.materia:
        tip = did_you_mean(told[0], desk.identifier.lexicon.materia)
        raise AdoptError(f"The mapping says that {text} is {told[0]}, which is not on record. {tip}".strip())
    return Meant(told, True, "decided in the mapping", True)


def _weighed(desk: Desk, strong: list[Meant], weak: list[Meant]) -> Meant:
    """Characters and readings against Latin and English names."""
    told = [one for one in weak if one.stated]
    if not any(one.stated for one in strong):
        if any(one.subjects and not one.stated for one in strong) and told:
            both = desk.identifier.together(told)
            guessed = [id for one in strong for id in one.subjects[:1]]
            agrees = both.sure and both.subjects[0] in guessed
            either = tuple(dict.fromkeys((*both.subjects, *guessed)))
            return both if agrees else Meant(either, False, "its names do not agree")
        return desk.identifier.together([*strong, *weak]) if weak else desk.identifier.together(strong)
    first = desk.identifier.together(strong)
    harm = desk.identifier.lexicon.materia.names.harm
    if not first.sure:
        narrowed = [id for id in first.subjects if told and all(id in one.subjects for one in told)]
        return Meant((narrowed[0],), True, "its other names settle which", True) if len(narrowed) == 1 else first
    subject = first.subjects[0]
    for one in strong:
        if one.subjects and not one.stated and not _kin(one, subject):
            return Meant((subject, *one.subjects), False, "one of its names is like that of another", True)
    hidden = desk.identifier.may_hide(subject)
    if hidden and not any(one.sure and one.subjects[0] == subject for one in told):
        return Meant((subject, *hidden), False, "one of its names is short for a medicinal of another harm", True)
    for one in told:
        herbs = {id.partition(".")[0] for id in one.subjects}
        stranger = subject not in one.subjects and subject.partition(".")[0] not in herbs
        if stranger and any(harm.get(id, 0) != harm.get(subject, 0) for id in one.subjects):
            return Meant((subject, *one.subjects), False, "another of its names is that of one of another harm", True)
    return first


def _kin(meant: Meant, subject: str) -> bool:
    return any(id.partition(".")[0] == subject.partition(".")[0] for id in meant.subjects)


def language(desk: Desk, text: str, kind: str) -> str:
    """The language of a name as the table of names has it (BCP 47). kind: what its column holds."""
    if any(map(is_han, text)):
        simple = desk.identifier.lexicon.materia.names.script.simple
        return "zh-Hant" if any(char in simple for char in text) else "zh-Hans"
    if kind in ("name_en", "latin"):
        return {"name_en": "en", "latin": "la"}[kind]
    return "zh-Latn" if kind == "pinyin" or desk.identifier.text(text).why.startswith("the reading") else "en"


def _plain(reading: str) -> str:
    return plain_reading(reading).replace("ü", "u")
