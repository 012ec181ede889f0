"""Where everything found lies: what was read, asked and kept, each with its place."""

from dataclasses import dataclass, field, replace

from materia_data.change.adopt.against import Verdict
from materia_data.change.adopt.identity import Identifier
from materia_data.change.adopt.mapping import Answer, Decisions
from materia_data.change.adopt.result import Column, LeftOver, Place, Question, Term
from materia_data.change.adopt.say import Reading, Say, parse_say
from materia_data.change.adopt.trouble import AdoptError
from materia_data.read.schema import table_schemas
from materia_data.suggest import did_you_mean

STRICTNESS = ("contraindicated", "avoid", "caution")
LEAVE = "leave"
_SUBJECTS = ("herbs", "forms")


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

    def note_term(self, reading: Reading, ids: tuple[str, ...] = ()) -> None:
        """Count a piece of text with what it was taken for. ids: of a name."""
        key = (reading.role, reading.text)
        old = self.terms.get(key)
        means = ids or tuple(map(str, reading.says))
        self.terms[key] = replace(old, times=old.times + 1) if old else Term(*key, means, reading.why, 1)

    def keep(self, place: Place, text: str, why: str, question: str = "") -> None:
        """Keep a text that is not placed."""
        self.kept.append(LeftOver(place, text, why, question))

    def pose(
        self, key: str, kind: str, asks: str, choices: tuple[str, ...], place: Place, safety: bool = False
    ) -> None:
        """Put a question with the answer that the mapping gives it. Raises AdoptError for one that answers nothing."""
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

    def parsed(self, text: str) -> list[Say]:
        """Sayings joined by ` & `."""
        return [self.checked(part) for part in text.split(" & ")]

    def checked(self, text: str) -> Say:
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
