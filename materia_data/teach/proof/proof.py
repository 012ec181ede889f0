"""Notes or captions held against the data, line by line."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from materia_data.facts.fact import Fact
from materia_data.facts.facts import Facts
from materia_data.materia import Materia
from materia_data.teach.proof.claim import Claim, Understood
from materia_data.teach.proof.english import read_english
from materia_data.teach.proof.hedges import hedged, mostly_han
from materia_data.teach.proof.judge import Verdict, judge, whom
from materia_data.teach.proof.mentions import Looked, Mention, find_mentions
from materia_data.teach.proof.phrases import Phrases, find_phrases, phrases
from materia_data.teach.proof.plainer import plainer
from materia_data.teach.proof.reading import Sentence, read_sentences
from materia_data.teach.proof.strangers import Strangers
from materia_data.teach.proof.topic import completed, only_a_name
from materia_data.teach.words import say, subject_name

_FORMULAS = ("tang", "wan", "san", "yin", "dan", "gao", "zi tang")
_CLAIMED = {
    "harmless": "safe",
    "together": "given together",
    "cooked": "cooked with the rest",
    "late": "put in late",
    "early": "cooked from the start",
    "decocted": "decocted, not said to be first",
    "swallowed": "swallowed raw",
}
_NAME = 80
_FIRST = re.compile(r"\b(?:first|beforehand|pre-?(?:boil|decoct)\w*)\b|先煎|先煮|久煎", re.IGNORECASE)
GRAVE = ("contradiction", "omission")


@dataclass(frozen=True, slots=True)
class Finding:
    """line: of the file, from 1; kind: contradiction, omission, unknown, not-judged; text: the sentence; subject: its
    id, or nothing; name: as it is called, of an unknown one as it was written; claim: what the sentence says of it;
    fact: what the data say, or nothing; source, locator, basis: on whose word; heard: how the name was written, where
    it only sounds like the one meant."""

    line: int
    kind: str
    text: str
    subject: str
    name: str
    claim: str
    fact: str
    source: str
    locator: str
    basis: str
    heard: str


@dataclass(frozen=True, slots=True)
class Proof:
    """findings: by line; sentences: read; judged: claims the data speak to; kept: of these, those in keeping with
    them; not_judged: sentences that name a medicinal and were not judged, which are neither right nor wrong."""

    findings: tuple[Finding, ...]
    sentences: int
    judged: int
    kept: int
    not_judged: int

    @property
    def grave(self) -> bool:
        """Whether anything contradicts the data or leaves out safety."""
        return any(finding.kind in GRAVE for finding in self.findings)


@dataclass(frozen=True, slots=True)
class _Words:
    english: Phrases
    strangers: Strangers
    looked: Looked
    hanzi: dict[str, tuple[str, str]]

    def chinese(self, text: str, materia: Materia, herbs: Sequence[Mention], before: Sequence[Mention]) -> Understood:
        from materia_data.teach.proof.chinese import chinese_words, read_chinese

        if not self.hanzi:
            self.hanzi.update(chinese_words(materia.package))
        return read_chinese(text, materia.names, herbs, before, self.hanzi)


def proof(materia: Materia, path: Path, *, every: bool = False) -> Proof:
    """Proof a file of notes or captions; every: list what is not judged too. ProofError: it cannot be read."""
    return proof_sentences(materia, read_sentences(path), every=every)


def proof_sentences(materia: Materia, sentences: Sequence[Sentence], *, every: bool = True) -> Proof:
    """Proof sentences in their order: `it` means whom the sentence before speaks of, within one block."""
    words = _Words(
        phrases(materia.facts.vocabularies),
        Strangers(materia),
        Looked(materia.names, materia.package.tables["herbs"].columns["id"], _forms(materia)),
        {},
    )
    findings: list[Finding] = []
    judged = kept = 0
    before: tuple[Mention, ...] = ()
    topic: tuple[Mention, ...] = ()
    block, place = -1, 0
    elsewhere: dict[Finding, tuple[tuple[str, object], ...]] = {}
    first: set[tuple[str, object]] = set()
    for sentence in sentences:
        before = before if sentence.block == block else ()
        block = sentence.block
        told = _topic(materia, words, sentence)
        topic = told if told or sentence.heading else topic
        place += bool(told or sentence.heading)
        where = (("block", sentence.block), ("under", place), ("row", sentence.of))
        if _FIRST.search(sentence.text):
            first.update(where)
        if told:
            continue
        mentions, unknown, understood = _understand(materia, words, sentence, before, topic)
        made: list[Finding] = []
        already = judged
        for claim in understood.claims:
            for verdict in judge(materia.facts, claim):
                judged += 1
                kept += verdict.kind == "kept"
                if verdict.kind in GRAVE:
                    made.append(_finding(materia.facts, sentence, mentions, claim, verdict))
                    if claim.kind == "decocted":
                        under = any(verdict.subject in one.subjects for one in topic)
                        elsewhere[made[-1]] = (where[0], *where[1 : 1 + under], *where[2 : 2 + bool(sentence.of)])
        findings += _once(made)
        findings += [_plain(sentence, "unknown", "", name) for name in unknown]
        if mentions and judged == already and not unknown and not understood.warned:
            one = whom(mentions[0])
            findings.append(_plain(sentence, "not-judged", one, subject_name(materia.facts, one) if one else ""))
        before = understood.subjects or before
    findings = [one for one in findings if first.isdisjoint(elsewhere.get(one, ()))]
    not_judged = sum(finding.kind == "not-judged" for finding in findings)
    shown = tuple(finding for finding in findings if every or finding.kind != "not-judged")
    return Proof(shown, len(sentences), judged, kept, not_judged)


def _forms(materia: Materia) -> dict[tuple[str, str], str]:
    """The form of each herb and method of processing, where one alone is made so."""
    forms = materia.package.tables["forms"].columns
    made: dict[tuple[str, str], list[str]] = {}
    for id, herb, method in zip(forms["id"], forms["herb"], forms["method"], strict=True):
        made.setdefault((herb, method), []).append(id)
    return {key: ids[0] for key, ids in made.items() if key[1] and len(ids) == 1}


def _topic(materia: Materia, words: _Words, sentence: Sentence) -> tuple[Mention, ...]:
    """The medicinal that a heading, or a line by itself, puts over what follows."""
    if len(sentence.text) > _NAME:
        return ()
    return _herbs(materia.facts, only_a_name(sentence.text, find_mentions(words.looked, sentence.text)))


def _understand(
    materia: Materia, words: _Words, sentence: Sentence, before: tuple[Mention, ...], topic: tuple[Mention, ...]
) -> tuple[tuple[Mention, ...], tuple[str, ...], Understood]:
    """The names in a sentence, those nobody knows, and what it says. before: whom `it` means; topic: whom a line
    without a subject speaks of."""
    facts, text = materia.facts, sentence.text
    mentions = find_mentions(words.looked, text)
    if sentence.of:
        topic = only_a_name(sentence.of, find_mentions(words.looked, sentence.of))
    if topic and not mentions and not before and (whole := completed(text)) != text:
        text, before = whole, topic
    if sentence.quoted:
        return mentions, (), Understood(subjects=mentions)
    if mostly_han(text):
        if hedged(text):
            return mentions, (), Understood(subjects=mentions)
        understood = words.chinese(text, materia, _herbs(facts, mentions), before)
        return mentions, understood.unknown, understood
    named = find_phrases(words.english, text)
    heard, unknown = words.strangers.find(text, mentions, named)
    mentions = tuple(sorted((*mentions, *heard), key=lambda one: one.start))
    herbs = _herbs(facts, mentions)
    text = plainer(text, herbs)
    herbs = tuple(one for one in herbs if text[one.start : one.end].strip())
    formula = any(one not in herbs and text[one.start : one.end].strip() for one in mentions) or any(
        name.split()[-1] in _FORMULAS for name in unknown
    )
    understood = read_english(text, herbs, named, () if unknown else before, facts.vocabularies, formula)
    return mentions, tuple(unknown) if not hedged(text) else (), understood


def _herbs(facts: Facts, mentions: Iterable[Mention]) -> tuple[Mention, ...]:
    return tuple(one for one in mentions if any(facts.kind(subject) != "formulas" for subject in one.subjects))


def _finding(facts: Facts, sentence: Sentence, mentions: Sequence[Mention], claim: Claim, verdict: Verdict) -> Finding:
    meant = [one for one in claim.subjects if verdict.subject in one.subjects]
    place = next((one.start for one in meant if one in mentions), 0)
    heard = next((one.text for one in meant if one.by_ear), "")
    subject, fact = verdict.subject, verdict.fact
    return Finding(
        sentence.line_at(place), verdict.kind, sentence.text, subject, subject_name(facts, subject),
        _claimed(facts, claim), _said(facts, fact), fact.source, fact.locator, fact.basis, heard,
    )  # fmt: skip


def _claimed(facts: Facts, claim: Claim) -> str:
    """The claim in words."""
    labels = facts.vocabularies
    match claim.kind:
        case "nature" | "flavor" | "channel" | "toxicity" | "action":
            said = say(facts, claim.kind, claim.value).removeprefix("toxicity: ")
            return said if claim.stated else f"not {said}"
        case "allowed":
            vocabulary = labels["topics"] if claim.value in set(labels["topics"]) else labels["targets"]
            return f"may be given: {vocabulary.label(claim.value)}"
        case "dose":
            return f"{claim.amount:g} g"
        case "spared":
            return f"need not: {labels['handlings'].label(claim.value)}"
    return _CLAIMED[claim.kind]


def _said(facts: Facts, fact: Fact) -> str:
    """The fact in words; of a list the whole of it, since what it lacks is what contradicts."""
    if fact.predicate in ("flavor", "channel"):
        values = [say(facts, fact.predicate, one.value) for one in facts.of(fact.subject, fact.predicate)]
        return ", ".join(dict.fromkeys(values))
    said = say(facts, fact.predicate, fact.value, fact.qualifiers)
    if fact.predicate == "handling":
        minutes = [one for one in facts.of(fact.subject, "minutes-min") if ("handling", fact.value) in one.qualifiers]
        said += f", {say(facts, 'minutes-min', minutes[0].value)}" if minutes else ""
    return said if fact.stated else f"does not {said}"


def _plain(sentence: Sentence, kind: str, subject: str, name: str) -> Finding:
    return Finding(sentence.line, kind, sentence.text, subject, name, "", "", "", "", "", "")


def _once(findings: Iterable[Finding]) -> list[Finding]:
    """Each subject and fact once; a contradiction before an omission of the same subject."""
    made = list(dict.fromkeys(findings))
    against = {one.subject for one in made if one.kind == "contradiction"}
    return [one for one in made if one.kind == "contradiction" or one.subject not in against]
