"""The medicinals that a sentence names, by any name on record or one that sounds like it."""

import re
from bisect import bisect_left
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from materia_data.names.index import Index
from materia_data.names.reading import Reading, reading
from materia_data.names.script import is_han
from materia_data.names.words import words_of
from materia_data.teach.proof.word_list import word_list

_WORD = re.compile(r"[^\W\d_](?:[^\W_]|[\u0300-\u036f'’\-])*")
_HAN = re.compile(r"[〇㐀-䶿一-鿿\U00020000-\U000323af]+")
_BEFORE = re.compile(r"([^\W\d_]+(?:-[^\W\d_]+)?)\s+$")
_MOST_WORDS, _LONGEST, _SHORTEST = 6, 10, 5
_RAW = word_list("mention raw")
_CHANGED = word_list("mention changed")
_HAN_CHANGED = tuple("炒炙制酒醋盐煅焦鲜熟蜜")
ENGLISH = word_list("mention english")
_COMMON = word_list("mention common")
_PARTS = frozenset({"root", "rhizome", "tuber", "bulb", "bark"})
_METHODS = {"charred": "charring", "calcined": "calcining", "steamed": "steaming", "roasted": "roasting-wrapped"}
_ONE = re.compile(
    r"\bthe\s+([a-z]+(?:-[a-z]+)?)\s+(?:one|form|root|version|kind|drug|rhizome|seed|herb|sort)\b", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Mention:
    """Where in the sentence a name stands. subjects: whom it may mean, each as likely; raw: it is called raw;
    changed: a word of processing stands before it that is part of no name on record; by_ear: it only sounds so."""

    start: int
    end: int
    text: str
    subjects: tuple[str, ...]
    raw: bool = False
    changed: bool = False
    by_ear: bool = False


class Looked:
    """The names of a package, and what was looked up for the sentences before. herbs: their ids; forms: by herb and
    method of processing, where one form alone is made so."""

    def __init__(self, index: Index, herbs: Collection[str] = (), forms: Mapping[tuple[str, str], str] | None = None):
        self.index = index
        self.herbs = frozenset(herbs)
        self.forms = forms or {}
        self.found: dict[tuple[str, int], tuple[str, ...]] = {}

    @cached_property
    def beginnings(self) -> list[str]:
        """All letters of every name written in Latin ones, sorted."""
        index = self.index
        return sorted({*index.read, *index.made, *index.joined, *index.spelled})

    @cached_property
    def short(self) -> dict[str, str]:
        """The herb that one English word means where the part used is left off: `coptis` of `coptis rhizome`."""
        names, made = self.index.names, {}
        for text, what in zip(names.text, names.what, strict=True):
            words = text.casefold().split()
            if what == "the English name" and len(words) == 2 and words[1] in _PARTS and len(words[0]) >= _SHORTEST:
                named = [at for at in self.index.word.get(words[0], ()) if names.what[at] == "the English name"]
                herbs = {names.subject[at] for at in named} & self.herbs
                if len(herbs) == 1 and words[0] not in _COMMON | ENGLISH:
                    made[words[0]] = herbs.pop()
        return made

    def begins(self, text: str) -> bool:
        """Whether some name of more than one word can begin so."""
        text = re.sub(r"['’]s\b", "", text)
        for letters in {reading(text).base, "".join(words_of(text)), text.casefold().replace(" ", "")}:
            at = bisect_left(self.beginnings, letters)
            if letters and at < len(self.beginnings) and self.beginnings[at].startswith(letters):
                return True
        return False


def find_mentions(looked: Looked, text: str) -> tuple[Mention, ...]:
    """The names in the sentence from left to right, each the longest that begins there."""
    found = [*_characters(looked.index, text), *_words(looked, text)]
    joined = [
        _narrowed(looked, text, _processed(looked, one))
        for one in _joined(text, sorted(found, key=lambda one: one.start))
    ]
    return tuple(sorted((*joined, *_described(looked, text, joined)), key=lambda one: one.start))


def _processed(looked: Looked, one: Mention) -> Mention:
    """The form itself where the word before the name tells how it was processed and one form is made so."""
    method = _method(one.text.split()[0]) if one.changed and " " in one.text else ""
    forms = tuple(looked.forms.get((subject, method), "") for subject in one.subjects)
    return replace(one, subjects=forms, changed=False) if method and all(forms) else one


def _changes(word: str) -> bool:
    return word in _CHANGED or word.endswith(("-fried", "-processed", "-steamed", "-boiled"))


def _narrowed(looked: Looked, text: str, one: Mention) -> Mention:
    """Of a word that may mean several, the herb in whose names alone the word before it stands too: `black aconite`."""
    led = _BEFORE.search(text[: one.start])
    if len(one.subjects) == 1 or not led or " " in one.text:
        return one
    word, names = looked.index.word, looked.index.names
    shared = [
        {names.subject[at] for at in word.get(part.casefold(), ()) if names.kind[at] != "species"}
        for part in (led[1], one.text)
    ]
    meant = {subject.split(".")[0] for subject in shared[0] & shared[1]} & {*one.subjects}
    return (
        replace(one, start=led.start(1), text=text[led.start(1) : one.end], subjects=(*meant,))
        if len(meant) == 1
        else one
    )


def _method(word: str) -> str:
    small = word.casefold()
    return f"{small.removesuffix('fried')}frying" if small.endswith("-fried") else _METHODS.get(small, "")


def _described(looked: Looked, text: str, found: Sequence[Mention]) -> Iterator[Mention]:
    """`the charred one` after the only herb named: its form."""
    herbs = {subject.split(".")[0] for one in found for subject in one.subjects}
    if len(herbs) != 1:
        return
    (herb,) = herbs
    for said in _ONE.finditer(text, found[0].end):
        word = said[1].casefold()
        raw = word in _RAW
        form = f"{herb}.sheng" if raw else looked.forms.get((herb, _method(word)), "")
        if form in looked.index.shown and not any(one.start < said.end() and said.start() < one.end for one in found):
            yield Mention(said.start(), said.end(), said[0], (form,), raw=raw)


def _joined(text: str, found: list[Mention]) -> Iterator[Mention]:
    """One mention of a name written twice side by side: in characters and in letters, or the second in brackets."""
    at = 0
    while at < len(found):
        one = found[at]
        following = found[at + 1] if at + 1 < len(found) else None
        gap = text[one.end : following.start] if following else "-"
        both = tuple(subject for subject in one.subjects if following and subject in following.subjects)
        bracketed = bool(re.fullmatch(r"\s*[(（,]?\s*", gap)) and "(" in gap.replace("（", "(")
        if following and ((both and not gap.strip()) or (bracketed and (both or len(one.subjects) > 1))):
            subjects = both or following.subjects
            raw, changed = one.raw or following.raw, one.changed and following.changed
            yield Mention(one.start, following.end, one.text, subjects, raw, changed)
            at += 2
        else:
            yield one
            at += 1


def _characters(index: Index, text: str) -> Iterator[Mention]:
    for run in _HAN.finditer(text):
        folded = index.script.folded(run[0])
        if len(folded) != len(run[0]):
            continue
        at = 0
        while at < len(folded):
            for end in range(min(len(folded), at + _LONGEST), at + 1, -1):
                if places := index.han.get(folded[at:end]):
                    yield _with_form(index, text, run.start() + at, run.start() + end, _meant(index, places))
                    at = end
                    break
            else:
                at += 1


def _words(looked: Looked, text: str) -> Iterator[Mention]:
    index, known = looked.index, looked.found
    words = [word for word in _WORD.finditer(text) if not is_han(word[0][0])]
    at = 0
    while at < len(words):
        more = at + 1 < len(words) and looked.begins(text[words[at].start() : words[at + 1].end()])
        for end in range(min(len(words), at + _MOST_WORDS if more else at + 1), at, -1):
            start, stop = words[at].start(), words[end - 1].end()
            between = text[start:stop]
            if re.search(r"[^\w\s'’\-\u0300-\u036f]|(?<![^\W\d_])\d", between):
                continue
            named = re.sub(r"['’]s$", "", between)
            if (named, end - at) not in known:
                known[named, end - at] = _named(index, named, end - at)
            if end - at == 1 and not known[named, 1] and named.casefold() in looked.short:
                known[named, 1] = (looked.short[named.casefold()],)
            if subjects := known[named, end - at]:
                yield _with_form(index, text, start, start + len(named), subjects)
                at = end
                break
        else:
            at += 1


def _named(index: Index, text: str, words: int) -> tuple[str, ...]:
    small = " ".join(text.casefold().split())
    if words == 1 and (len(small) < 4 or small in _COMMON or small in ENGLISH):
        return ()
    if words > 1 and all(word in ENGLISH for word in small.split()):
        return ()
    asked = reading(text)
    if len(asked.base) >= (4 if words > 1 else _SHORTEST):
        agreeing = [
            place for place in index.read.get(asked.base, ()) if asked.agrees(Reading(asked.base, index.tones[place]))
        ]
        if agreeing:
            return _meant(index, agreeing)
        if words > 1 and (made := [place for place, _ in index.made.get(asked.base, ())]):
            return _meant(index, made)
    if exact := index.exact.get(small, ()):
        return _meant(index, exact)
    joined = words_of(text)
    if len("".join(joined)) < _SHORTEST or not words_of(small.split()[0]):
        return ()
    for letters in ("".join(joined), "".join(joined).removesuffix("s")):
        if places := index.joined.get(letters, []):
            return _meant(index, places)
    return _meant(index, index.spelled.get(small.replace(" ", ""), ())) if words > 1 else ()


def _meant(index: Index, places: Sequence[int]) -> tuple[str, ...]:
    """Headings before by-names, species last; a herb before its own forms."""
    kinds = [index.names.kind[place] for place in places]
    if "standard" in kinds:
        places = [place for place, kind in zip(places, kinds, strict=True) if kind == "standard"]
    elif any(kind != "species" for kind in kinds):
        places = [place for place, kind in zip(places, kinds, strict=True) if kind != "species"]
    subjects = list(dict.fromkeys(index.names.subject[place] for place in places))
    herbs = [subject for subject in subjects if "." not in subject]
    return tuple(herbs if herbs and all(one.split(".")[0] in herbs for one in subjects) else subjects)


def _with_form(index: Index, text: str, start: int, end: int, subjects: tuple[str, ...]) -> Mention:
    """Take in a word before the name that tells the form: raw, or processed in some way."""
    word = _BEFORE.search(text[:start])
    before = word[1].casefold() if word else ""
    char = text[start - 1 : start]
    if before in _RAW or char == "生":
        forms = tuple(f"{one}.sheng" for one in subjects if f"{one}.sheng" in index.shown)
        begins = word.start(1) if word and before in _RAW else start - 1
        return Mention(begins, end, text[begins:end], forms or subjects, raw=True)
    if _changes(before) or (char and char in _HAN_CHANGED):
        begins = word.start(1) if word and _changes(before) else start - 1
        return Mention(begins, end, text[begins:end], subjects, changed=True)
    raw = any(one.endswith(".sheng") for one in subjects) or text[start:end].startswith("生")
    return Mention(start, end, text[start:end], subjects, raw=raw and not text[start:end].startswith(("生姜", "生地")))
