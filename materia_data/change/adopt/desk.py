"""Where a school's rows are gone through: each cell read, held against the base, and laid down with its place."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from materia_data.change.adopt.against import Verdict, against, dose_rows, record_of
from materia_data.change.adopt.cells import Asked, read_cell, says_nothing
from materia_data.change.adopt.clauses import listed
from materia_data.change.adopt.columns import decide
from materia_data.change.adopt.doses import Known
from materia_data.change.adopt.headings import NAMES, repeated
from materia_data.change.adopt.identity import Identifier, Meant
from materia_data.change.adopt.mapping import Answer, Decisions
from materia_data.change.adopt.result import Column, LeftOver, Place, Question, Term
from materia_data.change.adopt.say import Reading, Say, parse_say, say, told
from materia_data.change.adopt.sheets import Cell, Sheet
from materia_data.change.adopt.trouble import AdoptError
from materia_data.find import plain_reading
from materia_data.names.script import is_han
from materia_data.read.schema import table_schemas
from materia_data.suggest import did_you_mean

_UNLISTED = frozenset({"dose", "antagonisms", "kept"})
_NEW = re.compile(r"(\w+)=(\"[^\"]*\"|\S+)")
STRICTNESS = ("contraindicated", "avoid", "caution")
LEAVE = "leave"
_SUBJECTS = ("herbs", "forms")
_YES = frozenset({"yes", "y", "+", "是", "有", "x", "t", "true", "√", "✓"})
_GRADES = ("toxic", "very-toxic", "slight")


@dataclass(frozen=True, slots=True)
class Laid:
    """One saying about a subject, with where it stands. question: the key of the one it waits for, if any."""

    place: Place
    subject: str
    says: Say
    verdict: Verdict
    why: str
    source: str
    question: str = ""


@dataclass
class Desk:
    """Everything found so far. subjects, unnamed: names recognized and not; laid: what was read; kept: what was not
    placed; headed: whether any sheet had headings; pending: the question that the row in hand waits for;
    maybe: whether a name may mean several on record."""

    identifier: Identifier
    decisions: Decisions
    layer: str
    headed: bool = False
    sheets: list[tuple[str, str, int]] = field(default_factory=list)
    subjects: dict[str, Place] = field(default_factory=dict)
    unnamed: dict[str, Place] = field(default_factory=dict)
    columns: list[Column] = field(default_factory=list)
    terms: dict[tuple[str, str], Term] = field(default_factory=dict)
    questions: dict[str, Question] = field(default_factory=dict)
    laid: list[Laid] = field(default_factory=list)
    kept: list[LeftOver] = field(default_factory=list)
    new: dict[str, dict[str, str]] = field(default_factory=dict)
    pending: str = ""
    maybe: bool = False

    def keep_sheet(self, sheet: Sheet) -> None:
        """A sheet without headings is kept whole."""
        self.sheets.append((sheet.name, sheet.read_as, 0))
        for row, cells in sheet.rows.items():
            for number, cell in enumerate(cells, 1):
                if cell.text:
                    self._keep(Place(sheet.name, row, str(number)), cell.text, "the sheet has no row of headings")

    def take(self, sheet: Sheet, heading_row: int) -> None:
        """Go through a sheet row by row."""
        self.headed = True
        self.sheets.append((sheet.name, sheet.read_as, heading_row))
        columns, asked = decide(self.identifier, sheet, heading_row, self.decisions.columns)
        for question in asked:
            self.ask(question)
        columns = [self._answered(column) for column in columns]
        self.columns += columns
        headings = tuple(cell.text for cell in sheet.rows[heading_row])
        by_number = {column.number: column for column in columns}
        for row, number, text in sheet.notes:
            column = by_number.get(number)
            self._keep(Place(sheet.name, row, column.heading if column else str(number)), text, "a note on the cell")
        section = ""
        for row in sorted(sheet.rows):
            cells = sheet.rows[row]
            if row < heading_row:
                for number, cell in enumerate(cells, 1):
                    if cell.text:
                        self._keep(Place(sheet.name, row, str(number)), cell.text, "stands above the headings")
            elif row > heading_row and not repeated(cells, headings):
                section = self._row(sheet.name, row, cells, columns, section)

    def _answered(self, column: Column) -> Column:
        """A column that was asked about, as it was answered."""
        answer = self.decisions.answers.get(f"column: {column.sheet}, {column.number}")
        if answer and not column.means and answer.answer != LEAVE:
            column = replace(column, means=answer.answer, why="answered")
        told = self.decisions.answers.get(f"strictness: {column.sheet}, {column.heading}")
        if told and told.answer in STRICTNESS:
            column = replace(column, strictness=told.answer)
        return column

    def _row(self, sheet: str, row: int, cells: tuple[Cell, ...], columns: Sequence[Column], section: str) -> str:
        """Read one row; the heading of a section is remembered for the rows below it."""
        filled = [(column, cells[column.number - 1]) for column in columns if column.number <= len(cells)]
        filled = [(column, cell) for column, cell in filled if cell.text or cell.damage]
        strays = [
            (number, cell)
            for number, cell in enumerate(cells, 1)
            if cell.text and number not in {c.number for c in columns}
        ]
        for number, cell in strays:
            self._keep(Place(sheet, row, str(number)), cell.text, "stands outside the columns with headings")
        if not filled:
            return section
        if len({cell.text for _, cell in filled}) == 1 and not self._meant(sheet, row, filled)[0].stated:
            text = filled[0][1].text
            category = read_cell(self.identifier, Asked(text, ("category",), "", "", "", Known(())))
            if category and category[0].sure:
                return text
            if len(filled) == 1 and len(columns) > 2:
                self._keep(Place(sheet, row, filled[0][0].heading), text, "a line with one cell, and no name on record")
                return section
        self.pending = ""
        subject, source = self._subject(sheet, row, filled), self._source(filled)
        for column, cell in filled:
            place = Place(sheet, row, column.heading or str(column.number))
            roles = tuple(filter(None, column.means.split("+")))
            if "number" in roles or says_nothing(self.identifier.lexicon.fold(cell.text)):
                continue
            self._cell(place, column, cell, roles, subject, source)
        if section and subject and not any("category" in column.means for column, _ in filled):
            said = read_cell(self.identifier, Asked(section, ("category",), "", "", subject, Known(())))
            for reading in said:
                self._lay(Place(sheet, row, "(section heading)"), subject, reading, source)
        return section

    def _cell(
        self, place: Place, column: Column, cell: Cell, roles: tuple[str, ...], subject: str, source: str
    ) -> None:
        safe = not set(roles) & {"dose", "handling", "cautions", "antagonisms", "toxicity", "drug"} and not any(
            r.startswith("topic:") for r in roles
        )
        if not subject:
            key = next(
                (
                    key
                    for key, question in self.questions.items()
                    if question.kind == "name"
                    and any((p.sheet, p.row) == (place.sheet, place.row) for p in question.places)
                ),
                "",
            )
            self._keep(place, cell.text, "whose row it is, is not certain", key)
        elif cell.damage:
            self._damaged(place, cell, subject, safe)
        elif not roles or roles == ("leave",):
            self._keep(place, cell.text, "no table of ours for this column" if roles else column.why)
        elif roles == ("formulas",):
            self._keep(place, cell.text, "formulas have tables of their own")
        elif roles == ("source",):
            self._keep(place, cell.text, "named as the source of the row" if source else "no source of ours")
        elif set(roles) & set(NAMES):
            self._naming(place, cell.text, roles, subject)
        else:
            self._read(place, column, cell.text, roles, subject, source)

    def _damaged(self, place: Place, cell: Cell, subject: str, safe: bool) -> None:
        if safe:
            self._keep(place, cell.text, cell.damage)
            return
        key = f"cell: {place.sheet}, {place.row}, {place.column}"
        self.pose(
            key, "term", f"{self.shown(subject)}: the cell holds {cell.text}, {cell.damage}. What was it?", (), place
        )
        self._answer_as_says(key, place, subject, cell.text, cell.damage)

    def _read(self, place: Place, column: Column, text: str, roles: tuple[str, ...], subject: str, source: str) -> None:
        facts = self.identifier.lexicon.materia.facts
        rows = dose_rows(facts, subject) if "dose" in roles and subject in facts.number else []
        known = Known(tuple((row["route"], row["min"], row["max"], row["unit"]) for row in rows))
        asked = Asked(text, roles, column.unit, column.strictness, subject, known)
        for reading in read_cell(self.identifier, asked):
            self._lay(place, subject, self._decided(self._graded(reading, subject)), source)

    def _graded(self, reading: Reading, subject: str) -> Reading:
        """A mere yes under toxicity: the base's own grade, if it has one."""
        if reading.role != "toxicities" or self.identifier.lexicon.fold(reading.text).strip(" .!") not in _YES:
            return reading
        facts = self.identifier.lexicon.materia.facts
        grades = [fact.value for fact in facts.of(subject, "toxicity")] if subject in facts.number else []
        graded = [grade for grade in grades if (facts.vocabularies["toxicities"].rank(grade) or 0) > 0]
        order = graded + [grade for grade in _GRADES if grade not in graded]
        choices = tuple((say("herbs", {"toxicity": grade}),) for grade in order)
        says = choices[0] if graded else ()
        return Reading("toxicities", reading.text, says, bool(graded), "toxic, of the grade on record", choices, True)

    def _decided(self, reading: Reading) -> Reading:
        """As the mapping has it, if it has."""
        told = self.decisions.terms.get((reading.role, reading.text))
        if told is None or (not told and not reading.sure):
            return reading
        says = tuple(self._checked(one) for one in told)
        if list(map(str, says)) == list(map(str, reading.says)):
            return reading
        return replace(reading, says=says, sure=True, why="decided in the mapping")

    def _lay(self, place: Place, subject: str, reading: Reading, source: str) -> None:
        if reading.role not in _UNLISTED and reading.role != "strictness":
            self._note_term(reading)
        if reading.sure:
            for one in reading.says:
                self._put(place, subject, one, reading.why, source)
            if not reading.says:
                self._keep(place, reading.text, reading.why)
            return
        if self.pending:
            self._wait(place, subject, reading, self.pending)
            return
        if reading.role == "strictness":
            key = f"strictness: {place.sheet}, {place.column}"
            asks = f"In the column {place.column}, how strict is a bare word such as {reading.text}?"
            self.pose(key, "term", asks, STRICTNESS, place, safety=True)
            self._wait(place, subject, reading, key)
            return
        if not reading.safety and not reading.choices:
            self._keep(place, reading.text, reading.why)
            return
        own = reading.role in ("dose", "antagonisms")
        key = f"{reading.role}: {reading.text}" + (f", {subject}" if own else "")
        asks = f"{self.shown(subject) + ': w' if own else 'W'}hat does {reading.text} say? {_sentence(reading.why)}"
        self.pose(key, "term", asks, tuple(_joined(choice) for choice in reading.choices), place, safety=reading.safety)
        answer = self.questions[key].answer
        if answer == LEAVE:
            self._keep(place, reading.text, "left out, as answered", key)
        elif answer:
            for one in self._parsed(answer):
                self._put(place, subject, one, "answered", source)
        else:
            self._wait(place, subject, reading, key)

    def _answer_as_says(self, key: str, place: Place, subject: str, text: str, why: str) -> None:
        answer = self.questions[key].answer
        if answer and answer != LEAVE:
            for one in self._parsed(answer):
                self._put(place, subject, one, "answered", "")
        else:
            self._keep(place, text, why, key)

    def _wait(self, place: Place, subject: str, reading: Reading, key: str) -> None:
        """Kept until the question is answered; what it would most likely say is held."""
        self._keep(place, reading.text, reading.why, key)
        for one in reading.choices[0] if reading.choices else ():
            verdict = against(self.identifier.lexicon.materia.facts, subject, one)
            self.laid.append(Laid(place, subject, one, verdict, reading.why, "", key))

    def _put(self, place: Place, subject: str, one: Say, why: str, source: str) -> None:
        facts = self.identifier.lexicon.materia.facts
        if one.table == "herb_actions" and one.get("indications"):
            self._indication(place, subject, one, why)
            return
        if one.table == "antagonisms" and one.get("with") == subject:
            self._keep(place, str(one), "a medicinal cannot be opposed to itself")
            return
        verdict = against(facts, subject, one)
        key = self.pending
        if key:
            self.laid.append(Laid(place, subject, one, verdict, why, source, key))
            return
        if verdict.verdict in ("looser", "against") and one.safety:
            key = f"looser: {subject} {one}"
            may = ("base", "school") if verdict.predicate in ("caution", "dose-max", "toxicity") else ("base",)
            base = f"says {verdict.base}" if verdict.base else "has none"
            asks = f"{self.shown(subject)}: the school says {told(one)}; the base {base}. Which stands?"
            self.pose(key, "looser", asks, may, place, safety=True)
        elif verdict.verdict == "against":
            key = f"against: {subject} {one}"
            self.pose(
                key,
                "term",
                f"{self.shown(subject)}: the base {verdict.base}; the school says {told(one)}. Which stands?",
                ("base",),
                place,
            )
        self.laid.append(Laid(place, subject, one, verdict, why, source, key))

    def _indication(self, place: Place, subject: str, one: Say, why: str) -> None:
        table = self.identifier.lexicon.materia.package.tables["herb_actions"]
        for row in table.rows_of("subject").get(subject, ()):
            if one.get("indications") in table.columns["indications"][row].split(";"):
                base = table.columns["indications"][row]
                self.laid.append(Laid(place, subject, one, Verdict("same", one, table.key(row), base), why, ""))
                return
        self._keep(
            place, one.get("indications"), "the base has it with no action of this medicinal; the sheet names none"
        )

    def _naming(self, place: Place, text: str, roles: tuple[str, ...], subject: str) -> None:
        """A name of the row's medicinal: the standard ones agree or are other names; each other name is looked up."""
        kind = next((role for role in roles if role in NAMES), "name")
        parts = listed(text) if "alias" in roles else [text]
        for part in parts:
            if says_nothing(self.identifier.lexicon.fold(part)):
                continue
            meant = self.identifier.text(part)
            if "alias" in roles and meant.stated and subject not in meant.subjects and not self._kin(meant, subject):
                key = f"name: {part}, {subject}"
                others = ", ".join(self.shown(id) for id in meant.subjects[:3])
                self.pose(
                    key,
                    "name",
                    f"The sheet calls {self.shown(subject)} also {part}, which is a name of {others}. Is it so?",
                    (LEAVE, "yes"),
                    place,
                    safety=True,
                )
                if self.questions[key].answer != "yes":
                    self._keep(place, part, "a name of another medicinal", key)
                    continue
            said = say("names", {"name": part, "lang": self._language(part, kind), "kind": "alternate"})
            verdict = against(self.identifier.lexicon.materia.facts, subject, said)
            if verdict.verdict == "adds" and kind not in ("alias", "name_en", "latin") and meant.stated:
                verdict = Verdict("same", said, subject, meant.why)
            if (
                verdict.verdict == "adds"
                and kind in ("name_en", "latin")
                and meant.stated
                and subject not in meant.subjects
            ):
                self._keep(place, part, "a name of another medicinal")
                continue
            why = meant.why if meant.stated else "a name not on record"
            self.laid.append(Laid(place, subject, said, verdict, why, "", self.pending))

    def _kin(self, meant: Meant, subject: str) -> bool:
        return any(id.partition(".")[0] == subject.partition(".")[0] for id in meant.subjects)

    def _language(self, text: str, kind: str) -> str:
        if any(map(is_han, text)):
            simple = self.identifier.lexicon.materia.names.script.simple
            return "zh-Hant" if any(char in simple for char in text) else "zh-Hans"
        if kind in ("name_en", "latin"):
            return {"name_en": "en", "latin": "la"}[kind]
        return "zh-Latn" if kind == "pinyin" or self.identifier.text(text).why.startswith("the reading") else "en"

    def _subject(self, sheet: str, row: int, filled: Sequence[tuple[Column, Cell]]) -> str:
        """Whom the row is about: certain, answered, or asked about."""
        meant, texts = self._meant(sheet, row, filled)
        place = Place(sheet, row, texts[0][0] if texts else "")
        if meant.sure:
            self.subjects.setdefault(meant.subjects[0], place)
            for _, text in texts:
                if self.identifier.text(text).sure:
                    self._note_term(Reading("name", text, (), True, meant.why), self.identifier.text(text).subjects)
            return meant.subjects[0]
        if not texts:
            self._keep(place, " | ".join(cell.text for _, cell in filled)[:200], "the row has no name")
            return ""
        named = " | ".join(text for _, text in texts)
        self.unnamed.setdefault(named, place)
        key = f"name: {named}"
        what = f"Which medicinal is {named}? {_sentence(meant.why)}"
        self.pose(key, "name", what, (*meant.subjects[:6], "new"), place, safety=True)
        answer = self.questions[key].answer
        if answer in self.identifier.lexicon.materia:
            self.subjects.setdefault(answer, place)
            return answer
        if answer.startswith("new"):
            return self._added(answer, texts, key)
        if not answer and meant.stated:
            self.maybe = True
            self.pending = key
            return meant.subjects[0]
        return ""

    def _added(self, answer: str, texts: Sequence[tuple[str, str]], key: str) -> str:
        """A medicinal of the school's own; what the sheet does not say of its names, the answer must."""
        cells = {name: value.strip('"') for name, value in _NEW.findall(answer)}
        for _, text in texts:
            role = self._language(text, "pinyin" if not any(map(is_han, text)) else "")
            column = {
                "zh-Hans": "name_hans",
                "zh-Hant": "name_hant",
                "zh-Latn": "pinyin",
                "en": "name_en",
                "la": "latin",
            }[role]
            cells.setdefault(column, text)
        slug = re.sub(r"[^a-z0-9]+", "-", self.identifier.lexicon.fold(_bare(cells.get("pinyin", "")))).strip("-")
        needs = [
            column for column in ("name_hans", "name_hant", "pinyin", "name_en", "category") if not cells.get(column)
        ]
        if needs or not slug:
            question = self.questions[key]
            wants = " ".join(f'{column}="…"' for column in needs)
            self.questions[key] = replace(question, answer="", asks=f"{question.asks} A new one needs: new {wants}")
            return ""
        id = f"x-{self.layer}-{slug}"
        self.new[id] = {"id": id, "status": "current", **cells}
        self.subjects.setdefault(id, Place("", 0, ""))
        return id

    def _meant(
        self, sheet: str, row: int, filled: Sequence[tuple[Column, Cell]]
    ) -> tuple[Meant, list[tuple[str, str]]]:
        """What the names of a row mean together. Characters and readings decide; other names speak up only where to
        be wrong would hurt."""
        strong: list[tuple[str, Meant]] = []
        weak: list[tuple[str, Meant]] = []
        texts: list[tuple[str, str]] = []
        for column, cell in filled:
            roles = set(column.means.split("+"))
            if not roles & set(NAMES) or "alias" in roles or says_nothing(self.identifier.lexicon.fold(cell.text)):
                continue
            texts.append((column.heading, cell.text))
            meant = self._named(cell.text)
            (weak if roles & {"name_en", "latin"} and not roles & {"name", "pinyin"} else strong).append(
                (cell.text, meant)
            )
        if not strong and not weak:
            for column, cell in filled:
                if "alias" in column.means.split("+"):
                    texts.append((column.heading, cell.text))
                    strong.append((cell.text, self.identifier.text(cell.text)))
        return self._weighed([one for _, one in strong], [one for _, one in weak]), texts

    def _named(self, text: str) -> Meant:
        """What a name means, or what the mapping says it does."""
        meant = self.identifier.text(text)
        told = self.decisions.terms.get(("name", text))
        if told is None or told == meant.subjects or len(told) != 1:
            return meant
        if told[0] not in self.identifier.lexicon.materia:
            tip = did_you_mean(told[0], self.identifier.lexicon.materia)
            raise AdoptError(f"The mapping says that {text} is {told[0]}, which is not on record. {tip}".strip())
        return Meant(told, True, "decided in the mapping", True)

    def _weighed(self, strong: list[Meant], weak: list[Meant]) -> Meant:
        told = [one for one in weak if one.stated]
        if not any(one.stated for one in strong):
            if any(one.subjects and not one.stated for one in strong) and told:
                both = self.identifier.together(told)
                guessed = {id for one in strong for id in one.subjects[:1]}
                agrees = both.sure and both.subjects[0] in guessed
                return (
                    both
                    if agrees
                    else Meant(tuple(dict.fromkeys((*both.subjects, *guessed))), False, "its names do not agree")
                )
            return self.identifier.together([*strong, *weak]) if weak else self.identifier.together(strong)
        first = self.identifier.together(strong)
        harm = self.identifier.lexicon.materia.names.harm
        if not first.sure:
            narrowed = [id for id in first.subjects if told and all(id in one.subjects for one in told)]
            return Meant((narrowed[0],), True, "its other names settle which", True) if len(narrowed) == 1 else first
        subject = first.subjects[0]
        hidden = self.identifier.may_hide(subject)
        if hidden and not any(one.sure and one.subjects[0] == subject for one in told):
            return Meant((subject, *hidden), False, "one of its names is short for a medicinal of another harm", True)
        for one in told:
            herbs = {id.partition(".")[0] for id in one.subjects}
            stranger = subject not in one.subjects and subject.partition(".")[0] not in herbs
            if stranger and any(harm.get(id, 0) != harm.get(subject, 0) for id in one.subjects):
                return Meant(
                    (subject, *one.subjects), False, "another of its names is that of one of another harm", True
                )
        return first

    def _source(self, filled: Sequence[tuple[Column, Cell]]) -> str:
        """The id of the source that the row names, if it is one of ours."""
        table = self.identifier.lexicon.materia.package.tables["sources"]
        for column, cell in filled:
            if column.means == "source":
                text = self.identifier.lexicon.fold(cell.text)
                for id, title in zip(table.columns["id"], table.columns["title"], strict=True):
                    if text in (id, self.identifier.lexicon.fold(title)):
                        return id
        return ""

    def _note_term(self, reading: Reading, ids: tuple[str, ...] = ()) -> None:
        key = (reading.role, reading.text)
        old = self.terms.get(key)
        means = ids or tuple(map(str, reading.says))
        self.terms[key] = replace(old, times=old.times + 1) if old else Term(*key, means, reading.why, 1)

    def _keep(self, place: Place, text: str, why: str, question: str = "") -> None:
        self.kept.append(LeftOver(place, text, why, question))

    def pose(
        self, key: str, kind: str, asks: str, choices: tuple[str, ...], place: Place, safety: bool = False
    ) -> None:
        answer = self.decisions.answers.get(key, Answer(""))
        says = answer.answer
        if says.isdigit() and 1 <= int(says) <= len(choices):
            says = choices[int(says) - 1]
        self._may_be(key, kind, says, (*choices, LEAVE))
        if kind == "looser" and says == "school" and not (answer.reason and answer.source and answer.by):
            says, asks = "", f"{asks} The answer school needs reason, source and by."
        behind = answer.reason, answer.source, answer.by
        self.ask(Question(key, kind, safety, asks, (*choices, LEAVE), says, *behind, (place,)))

    def _may_be(self, key: str, kind: str, says: str, choices: tuple[str, ...]) -> None:
        """Refuse an answer that answers nothing."""
        free = kind == "term" or (
            kind == "name" and (says.startswith("new") or says in self.identifier.lexicon.materia)
        )
        if says and says not in choices and not free:
            tip = did_you_mean(says, choices) or f"It takes {', '.join(choices)}."
            raise AdoptError(f"The mapping answers {says} to the question {key}. {tip}")

    def ask(self, question: Question) -> None:
        """Put a question, or add the place to one that was put."""
        old = self.questions.get(question.key)
        if old is None:
            told = self.decisions.answers.get(question.key)
            answer = question.answer or (told.answer if told and question.kind == "column" else "")
            self.questions[question.key] = replace(question, answer=answer)
        else:
            self.questions[question.key] = replace(old, places=(*old.places, *question.places))

    def _parsed(self, text: str) -> list[Say]:
        return [self._checked(part) for part in text.split(" & ")]

    def _checked(self, text: str) -> Say:
        """A saying that a person wrote, its ids looked up. Raises AdoptError naming one that is on record nowhere."""
        one = parse_say(text)
        package = self.identifier.lexicon.materia.package
        fields = table_schemas()[one.table].by_name
        for column, value in one.cells:
            tables = _SUBJECTS if column == "with" else fields[column].refers
            known = {id for table in tables for id in package.tables[table].columns.get("id", ())}
            for id in filter(None, value.split(";")) if known else ():
                if id not in known:
                    tip = did_you_mean(id, known)
                    raise AdoptError(f"The mapping says {text}, but there is no {id} on record. {tip}".strip())
        return one

    def shown(self, subject: str) -> str:
        """A subject as people read it."""
        if subject in self.identifier.lexicon.materia.names.shown:
            hans, pinyin = self.identifier.lexicon.materia.names.shown[subject]
            return f"{hans} {pinyin} [{subject}]"
        return f"{self.new.get(subject, {}).get('name_hans', '')} [{subject}]".strip()

    def rows(self, subject: str, one: Say) -> Iterator[tuple[str, str, str]]:
        """The cells of ours that a saying fills: record, column, value."""
        keys = {
            "action",
            "site",
            "cause",
            "route",
            "per",
            "population",
            "purpose",
            "topic",
            "target",
            "handling",
            "with",
            "list",
            "name",
            "lang",
        }
        record = record_of(subject, one)
        found = [(column, value) for column, value in one.cells if value and column not in keys]
        if one.table == "handling":
            found = [("handling", one.get("handling")), *found]
        for column, value in found:
            yield record, column, value


def _sentence(why: str) -> str:
    return f"{why[:1].upper()}{why[1:]}."


def _joined(says: tuple[Say, ...]) -> str:
    return " & ".join(map(str, says))


def _bare(reading: str) -> str:
    return plain_reading(reading).replace("ü", "u")


def cells_of(one: Say, subject: str) -> Mapping[str, str]:
    """The row that a saying makes, with the columns that name its subject."""
    cells = dict(one.cells)
    if one.table in ("herbs", "forms"):
        return {"id": subject, **cells}
    if one.table == "antagonisms":
        a, b = sorted((subject, cells.pop("with")))
        return {"a": a, "b": b, **cells}
    return {"subject": subject, **cells}
