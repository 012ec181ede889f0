"""Names that nobody knows, where an English sentence speaks of a medicinal."""

import re
from collections.abc import Iterator, Sequence
from functools import cached_property

from materia_data.materia import Materia
from materia_data.names.wade_giles import wade_giles
from materia_data.teach.proof.mentions import ENGLISH, Mention
from materia_data.teach.proof.phrases import Phrase
from materia_data.teach.proof.sounds import heard_as, sounds
from materia_data.teach.proof.word_list import word_list

_WORD = re.compile(r"[^\W\d_]+(?:['’\-][^\W\d_]+)*")
_VERB = re.compile(
    r"\s*(?:,\s*)?(?:is|are|enters|goes\s+to|belongs\s+to|does|doesn't|must|may|can|should|opposes|also|mainly)\b",
    re.IGNORECASE,
)
_TEACHES = re.compile(
    r"\b(?:decoct|boil|simmer|cook|brew|swallow|safe|pregnan|toxic|poison|together|combin|dos(?:e|age))|\d\s*g\b",
    re.IGNORECASE,
)
_PROSE = ("definition", "note", "detail", "reason", "tell_apart", "point", "effect", "harm", "function", "text")
_PARTS = word_list("stranger parts")
_NOT_NAMES = word_list("stranger not-names")


class Strangers:
    """Finds, of one package, what only sounds like a name and what leads to nobody. Its lists are made when first
    asked for."""

    def __init__(self, materia: Materia) -> None:
        self._materia = materia
        self._words: dict[str, bool] = {}

    def find(
        self, text: str, mentions: Sequence[Mention], phrases: Sequence[Phrase]
    ) -> tuple[list[Mention], list[str]]:
        """Names written as they were heard, as mentions; and names that lead to nobody, as they were written."""
        heard: list[Mention] = []
        unknown: list[str] = []
        taken = -1
        spans = {*self._in_front(text, mentions, phrases), *_syllables(text, mentions)}
        spans |= set(self._misheard(text, mentions))
        for start, end in sorted(spans, key=lambda span: (span[0], -span[1])):
            if start < taken:
                continue
            taken = end
            name = text[start:end]
            if subjects := heard_as(self._sounds, name):
                heard.append(Mention(start, end, name, subjects, by_ear=True))
            elif phrases or _TEACHES.search(text):
                unknown.append(name)
        return heard, unknown

    @cached_property
    def _sounds(self) -> dict[str, tuple[str, ...]]:
        return sounds(self._materia.names)

    @cached_property
    def _prose(self) -> str:
        found: dict[str, None] = {}
        for table in self._materia.package.tables.values():
            for column in _PROSE:
                found.update(dict.fromkeys(table.columns.get(column, ())))
        return " ".join(found).casefold()

    def _common(self, word: str) -> bool:
        """Whether a word of three letters or more stands in the package's own prose: it is English, no stranger."""
        if word not in self._words:
            self._words[word] = len(word) > 2 and _stands_in(self._prose, word)
        return self._words[word]

    def _odd(self, word: str) -> bool:
        return len(word) > 2 and word not in ENGLISH and word not in _NOT_NAMES and not self._common(word)

    def _in_front(self, text: str, mentions: Sequence[Mention], phrases: Sequence[Phrase]) -> Iterator[tuple[int, int]]:
        """One to three words at the beginning, or after a colon, before the verb of a claim."""
        if not phrases:
            return
        for begin in [0, *(found.end() for found in re.finditer(r"[:;]\s*|,\s*(?:and|but|while)\s+", text))]:
            words = [word for word in _free(text, mentions) if word.start() >= begin]
            while (
                words
                and words[0][0].casefold() in _NOT_NAMES
                and words[0][0].casefold() in ("and", "so", "ok", "um", "now", "uh", "but")
            ):
                words.pop(0)
            for count in (1, 2, 3):
                run = words[:count]
                if len(run) < count or any(word[0].casefold() in _NOT_NAMES for word in run):
                    break
                start, end = run[0].start(), run[-1].end()
                if start - begin > 12 or re.search(r"[^\w\s'’\-]", text[start:end]):
                    break
                after = next((one for one in phrases if not text[end : one.start].strip() and one.start >= end), None)
                claimed = (after is not None and after.third) or (
                    _VERB.match(text, end) and any(one.start > end for one in phrases)
                )
                if claimed:
                    strange = [word for word in run if not self._common(word[0].casefold())]
                    plain = [word[0].casefold() for word in run if word not in strange]
                    if (
                        strange
                        and not (len(run) == 1 and run[0][0].casefold() in _TERMS)
                        and (not plain or _spelled(run) or (run[0] in strange and set(plain) <= _PARTS))
                    ):
                        yield start, end
                    break

    def _misheard(self, text: str, mentions: Sequence[Mention]) -> Iterator[tuple[int, int]]:
        """Two to four words, one of them no English, that sound like a name."""
        words = _free(text, mentions)
        for at in range(len(words)):
            for count in (4, 3, 2):
                run = words[at : at + count]
                start, end = run[0].start(), run[-1].end()
                apart = len(run) < count or re.search(r"[^\w\s'’\-]", text[start:end])
                if (
                    not apart
                    and heard_as(self._sounds, text[start:end])
                    and any(self._odd(word[0].casefold()) for word in run)
                ):
                    yield start, end
                    break


_TERMS = ENGLISH | word_list("stranger terms")


def _stands_in(prose: str, word: str) -> bool:
    at = prose.find(word)
    while at >= 0:
        end = at + len(word)
        if not prose[at - 1 : at].isalpha() and not prose[end : end + 1].isalpha():
            return True
        at = prose.find(word, end)
    return False


def _free(text: str, mentions: Sequence[Mention]) -> list[re.Match[str]]:
    return [
        word
        for word in _WORD.finditer(text)
        if word[0].isascii() and not any(one.start < word.end() and word.start() < one.end for one in mentions)
    ]


def _spelled(run: Sequence[re.Match[str]]) -> bool:
    """Whether any of the words is a syllable of a reading, so that the whole may be a name misheard."""
    return any(wade_giles(word[0].casefold()) and word[0].casefold() not in _TERMS for word in run)


def _syllables(text: str, mentions: Sequence[Mention]) -> Iterator[tuple[int, int]]:
    """Two or more syllables of readings side by side, two of which are no English words."""
    run: list[re.Match[str]] = []
    for word in [*_free(text, mentions), None]:
        joined = word is not None and (not run or text[run[-1].end() : word.start()] == " ")
        if word is not None and joined and wade_giles(word[0].casefold()):
            run.append(word)
            continue
        title = run and text[: run[0].start()].casefold().endswith("the ")
        if sum(one[0].casefold() not in _TERMS for one in run) > 1 and not title:
            yield run[0].start(), run[-1].end()
        run = [word] if word is not None and wade_giles(word[0].casefold()) else []
