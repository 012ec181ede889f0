"""Names, terms and blanks as runs: what every part of a sheet writes with."""

from collections.abc import Iterable

from materia_data.facts.facts import Facts
from materia_data.study.document import Answer, Run, Runs
from materia_data.study.watch import heaviest
from materia_data.teach.words import row_of


class Writer:
    """Writes runs about one package. blanks: whether what may be asked for is left out and kept for the key; answers:
    what was left out so far; section: the title of the section being written."""

    def __init__(self, facts: Facts, *, blanks: bool) -> None:
        self.facts = facts
        self.blanks = blanks
        self.answers: list[Answer] = []
        self.section = ""
        self._states: dict[str, str] = {}

    def ask(self, text: str, size: str, style: str = "") -> Run:
        """The text, or a blank in its place. size: s, m or l, by the kind of thing asked for, never by its length."""
        if not self.blanks or not text:
            return Run(text, style)
        number = len(self.answers) + 1
        self.answers.append(Answer(number, self.section, text))
        return Run("", "blank", number, size)

    def name(self, subject: str, *, short: bool = False, mark: bool = False, strong: bool = False) -> Runs:
        """`半夏 bàn xià`, short `半夏`; mark: its heaviest caution goes before. An id that is no subject as a taxon."""
        kind = self.facts.package.subject_table(subject)
        if kind is None:
            taxon = row_of(self.facts, "taxa", subject)
            named = (Run(taxon["name_hans"], "name"), Run(" ")) if taxon.get("name_hans") else ()
            return (*named, Run(taxon.get("name_latin", "") or subject))
        row = row_of(self.facts, kind, subject)
        runs: Runs = (Run(row["name_hans"] or subject, "name-strong" if strong else "name"),)
        if not short and row["pinyin"]:
            runs += (Run(" "), Run(row["pinyin"], "pinyin"))
        return (Run(self.state(subject), "mark"), Run("\u00a0"), *runs) if mark else runs

    def names(self, subjects: Iterable[str], *, mark: bool = False) -> Runs:
        """Characters only, with commas; mark: each with its heaviest caution, and with its standing if out of use."""
        out: list[Run] = []
        for subject in subjects:
            out += [Run(", ")] if out else []
            out += self.name(subject, short=True, mark=mark)
            standing = [fact.value for fact in self.facts.of(subject, "status") if fact.value != "current"]
            out += [Run(f" ({', '.join(standing)})", "small")] if mark and standing else []
        return tuple(out)

    def dangerous(self, subject: str) -> bool:
        """Whether what is said of it is to be read and not guessed: it is graded toxic, or out of ordinary use."""
        grades = {fact.value for fact in self.facts.of(subject, "toxicity")} - {"none", "unmarked"}
        return bool(grades) or any(fact.value != "current" for fact in self.facts.of(subject, "status"))

    def state(self, subject: str) -> str:
        """The heaviest caution of the subject and its forms."""
        if subject not in self._states:
            self._states[subject] = heaviest(self.facts, subject)
        return self._states[subject]

    def term(self, table: str, id: str) -> str:
        """The English name of a term."""
        vocabulary = self.facts.vocabularies.get(table)
        return vocabulary.label(id) if vocabulary and id else id.replace("-", " ")


def sentence(text: str) -> str:
    """Prose with a full stop at its end, or nothing."""
    text = text.strip()
    return text if not text or text[-1] in ".!?。！？…" else f"{text}."


def clause(text: str) -> str:
    """Prose to stand inside a sentence: no full stop at its end."""
    return text.strip().rstrip(".")


def reason(text: str) -> str:
    """Prose to stand after `because`: as a clause, its first letter small unless it is a name or an abbreviation."""
    text = clause(text)
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[1:2] == " " else text
