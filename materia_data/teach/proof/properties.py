"""Nature, flavor, channel, toxicity and action in an English sentence: subject, verb, known value, nothing between."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from materia_data.teach.proof.claim import Claim
from materia_data.teach.proof.mentions import Mention
from materia_data.teach.proof.phrases import Phrase
from materia_data.teach.proof.word_list import word_list

_PRONOUNS = word_list("property pronouns")
_COPULAS = word_list("property copulas")
_NEGATORS = word_list("property negators")
_ENTERS = word_list("property enters")
_DOES = word_list("property does")
_HAS = word_list("property has")
_CHANNELS = word_list("property channels")
_HEDGED = word_list("property hedged")
_JOINS = word_list("property joins")
_FILLERS = word_list("property fillers")
_HEADS = word_list("property heads")
_AFTER_CHANNEL = _HEADS | word_list("property after-channel")
_AFTER_ACTION = word_list("property after-action")
_AFTER_DENIAL = word_list("property after-denial")
_KINDS = word_list("property kinds")
_NEXT = word_list("property next")
_LEADS = word_list("property leads")
_BESIDE = word_list("property beside")
_TOKEN = re.compile(r"\d+(?:\.\d+)?|[^\W\d_]+(?:['’\-][^\W\d_]+)*|[^\s\w]")


@dataclass(frozen=True, slots=True)
class _Token:
    word: str
    thing: Mention | Phrase | None = None

    @property
    def mark(self) -> bool:
        return self.thing is None and not self.word[:1].isalnum()


@dataclass(slots=True)
class _State:
    """clear: all since the subject was understood; verb: what stands between subject and value; negated: None where
    it is not known how far a negation reaches; last: what the last understood token was."""

    subjects: list[Mention]
    clear: bool = False
    verb: str = ""
    negated: bool | None = False
    last: str = ""
    own: bool = False
    kind: str = ""


def read_properties(
    text: str, mentions: Sequence[Mention], phrases: Sequence[Phrase], before: Sequence[Mention]
) -> list[Claim]:
    """The claims understood; before: whom a pronoun at the beginning means."""
    tokens = _tokens(text, mentions, phrases)
    state, claims = _State(list(before)), []
    for at, token in enumerate(tokens):
        last = tokens[at - 1] if at else _Token(".")
        second = tokens[at - 2] if at > 1 else _Token(".")
        after = tokens[at + 1] if at + 1 < len(tokens) else _Token(".")
        if isinstance(token.thing, Mention):
            _subject(state, token.thing, last, second)
        elif isinstance(token.thing, Phrase):
            further = tokens[at + 2] if at + 2 < len(tokens) else _Token(".")
            if claim := _value(state, token.thing, last, after, further):
                claims.append(claim)
                state.kind = claim.kind
        elif token.mark:
            _mark(state, token.word)
        else:
            _word(state, token.word, last, after)
    return claims


def _tokens(text: str, mentions: Sequence[Mention], phrases: Sequence[Phrase]) -> list[_Token]:
    things: list[Mention | Phrase] = list(mentions)
    things += [
        phrase for phrase in phrases if not any(one.start < phrase.end and phrase.start < one.end for one in mentions)
    ]
    made: list[_Token] = []
    at = 0
    for thing in sorted(things, key=lambda one: one.start):
        made += _words(text[at : thing.start])
        made.append(_Token(text[thing.start : thing.end].casefold(), thing))
        at = thing.end
    return made + _words(text[at:])


def _words(text: str) -> list[_Token]:
    return [_Token(found[0].casefold().replace("’", "'")) for found in _TOKEN.finditer(text)]


def _subject(state: _State, mention: Mention, last: _Token, second: _Token) -> None:
    listed = last.word in (",", "/", "&", "、", "and", "or", "nor")
    if last.word == "(" and second.thing is not None:
        return
    if listed and state.last in ("subject", "object"):
        if state.last == "subject":
            state.subjects.append(mention)
        return
    if last.word in _BESIDE and not (last.word == "as" and second.mark):
        state.clear, state.verb, state.last = False, "object", "object"
        return
    led = last.mark or last.word in _LEADS or (last.word == "of" and second.word in _FILLERS)
    led = led and not isinstance(last.thing, Phrase)
    state.subjects, state.clear, state.negated, state.last, state.own = [mention], led, False, "subject", True
    state.kind = "channels" if last.word == "of" and second.word in _CHANNELS else ""
    state.verb = "of" if last.word == "of" else ""
    if last.word == "no" or second.word == "no":
        state.clear = False


def _mark(state: _State, mark: str) -> None:
    if state.negated:
        state.negated = None
    if mark in ";.!?":
        state.clear, state.verb, state.last = False, "", ""
    elif mark in ":—–":
        if state.last == "subject":
            state.verb = "is"
        else:
            state.clear, state.verb, state.last = False, "", ""
    elif mark in ",(":
        if not state.clear:
            state.verb = "broken"
        elif state.last == "subject" and not state.verb:
            state.verb = "beside"
    elif mark in '"“”':
        state.clear = False


def _word(state: _State, word: str, last: _Token, after: _Token) -> None:
    if word in ("it's", "they're") or (
        word in _PRONOUNS and not (word == "both" and (last.word in _COPULAS or last.word in tuple(":–—")))
    ):
        _pronoun(state, word, last, after)
    elif word in _JOINS:
        state.negated = False
        state.last = ""
    elif word in _NEGATORS:
        _negate(state, word, after)
    elif word in _COPULAS:
        _copula(state, last)
    elif word in _KINDS and state.verb == "has" and state.clear:
        state.verb = "is"
    elif word in _ENTERS:
        state.kind = "channels" if word in _CHANNELS else state.kind
        if state.clear or (last.word == "and" and state.own and state.verb != "object"):
            state.clear, state.verb = bool(state.subjects), "enters"
            state.negated = False if state.negated is None else state.negated
    elif state.clear and (word == "able" or (word == "to" and last.word in _COPULAS)):
        state.verb = "does"
    elif word in ("and", "or"):
        if word == "and" and state.negated:
            state.negated = None
    elif word in _DOES and state.clear:
        state.verb = "does"
        state.negated = False if state.negated is None else state.negated
    elif word in _HAS and state.clear:
        state.verb = "is" if word in ("tastes", "taste") else "has"
        state.negated = False if state.negated is None else state.negated
    elif word in _FILLERS:
        if word in ("in", "with", "as", "of") and (state.last == "value" or word == "in"):
            state.clear = state.clear and word == "as"
    else:
        state.clear = False
        state.verb = state.verb if state.verb == "object" else "lost"


def _pronoun(state: _State, word: str, last: _Token, after: _Token) -> None:
    demonstrative = word in ("this", "these") and after.thing is None and not after.mark
    if demonstrative and after.word not in (*_COPULAS, *_ENTERS, *_DOES, "herb", "medicinal", "one"):
        state.clear = False
        return
    opens = last.mark or last.word in _LEADS or last.word in ("right", "hence", "therefore", "both") or state.clear
    state.clear = opens and bool(state.subjects)
    if state.clear:
        state.verb = "is" if word in ("it's", "they're") else ""
        state.negated, state.last = False, "pronoun"


def _negate(state: _State, word: str, after: _Token) -> None:
    if word in ("hardly", "rarely", "nobody", "nobody's", "nothing") or (
        word in ("not", "no") and after.word in _HEDGED
    ):
        state.clear = False
    state.negated = True
    if word in ("isn't", "aren't"):
        state.verb = "is"
    elif word in ("doesn't", "don't", "can't", "cannot", "won't", "lacks", "lack"):
        state.verb = "does"


def _copula(state: _State, last: _Token) -> None:
    joined = last.word in ("and", "but", "which", "that", "so")
    if joined and not state.clear and state.own and state.verb == "lost":
        state.clear = False
    if state.clear:
        state.verb = "is"
        if isinstance(last.thing, Mention) or state.negated is None:
            state.negated = False


def _value(state: _State, phrase: Phrase, last: _Token, after: _Token, second: _Token) -> Claim | None:
    if phrase.third and not state.clear and state.own and last.word in ("and", ",") and state.verb == "lost":
        state.clear, state.verb = True, "does"
        state.negated = False
    if phrase.third and state.negated is None:
        state.negated = False
    if not (state.clear and state.subjects) or state.negated is None:
        return None
    state.last = "value"
    allowed = {
        "channel": _AFTER_CHANNEL,
        "toxicity": _HEADS | {"at"},
        "action": _AFTER_DENIAL if state.negated else _AFTER_ACTION,
    }.get(phrase.kind, _HEADS)
    whose = phrase.kind == "action" and after.word == "of" and second.word in ("the", phrase.value, "lung", "kidney")
    fits = _fits(state, phrase, last, after) and (whose or _free(after, allowed))
    noun = last.word == "a" and (after.mark or after.word in _COPULAS)
    if not fits or (phrase.kind == "nature" and (noun or not _whole(after, second))):
        state.clear, state.verb = False, "lost"
        return None
    return Claim(phrase.kind, tuple(state.subjects), phrase.value, stated=not state.negated)


def _fits(state: _State, phrase: Phrase, last: _Token, after: _Token) -> bool:
    if phrase.kind == "channel":
        if (
            state.verb == "beside"
            and state.kind != "action"
            and (last.word == "," or isinstance(last.thing, Phrase) or last.word == "-")
        ):
            state.verb = "enters"
        listed = state.verb in ("is", "") and last.word in (",", "-", "and") and state.kind != "action"
        return state.verb == "enters" or listed or (state.verb == "is" and state.kind in ("channels", "channel"))
    if phrase.kind == "action":
        return phrase.third or state.verb != "is" or state.negated is True
    if state.verb in ("does", "enters"):
        return last.word in (",", "and") and state.verb == "enters"
    if state.verb == "has":
        return isinstance(after.thing, Phrase) or after.word in _KINDS or after.word == "and"
    return state.verb in ("is", "beside") or (state.verb == "of" and last.word != "of")


def _whole(after: _Token, second: _Token) -> bool:
    """Whether a nature stands by itself: not `cold lung`, `cold, weak spleen`, `cold or hot`."""
    if isinstance(after.thing, Phrase):
        return after.thing.kind != "channel"
    if after.word == "or":
        return False
    return after.word != "," or second.thing is not None or second.mark or second.word in _NEXT


def _free(after: _Token, words: frozenset[str]) -> bool:
    """Whether nothing follows that could change what was said."""
    if isinstance(after.thing, Phrase):
        return after.thing.kind != "action" or after.thing.third
    return after.thing is not None or after.mark or after.word in words
