"""Check a quiz against the data: keys that contradict it, second right answers, items whose facts changed since."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from random import Random
from string import ascii_lowercase

from materia_data.materia import Materia
from materia_data.study.items.bench import Bench
from materia_data.study.items.item import Claim, Option, item_id
from materia_data.study.quiz.asked import Asked
from materia_data.study.quiz.truth import truth
from materia_data.study.quiz.words import claims_in_words
from materia_data.teach.proof.mentions import Looked
from materia_data.teach.words import subject_name


@dataclass(frozen=True, slots=True)
class Wrong:
    """place: line or file; id: of the item, or nothing; stem; kind: key (contradicts the data, or is none), second (a
    further option is right, or may be), changed (what it rests on is no longer so), schema; says: in words."""

    place: str
    id: str
    stem: str
    kind: str
    says: str


@dataclass(frozen=True, slots=True)
class Checked:
    """items: how many were read; judged: of these, those the data speak to; not_judged: the rest, by place, which are
    neither right nor wrong; wrong: what was found, in the order of the file; release: of the data."""

    items: int
    judged: int
    not_judged: tuple[str, ...]
    wrong: tuple[Wrong, ...]
    release: str


def check_quiz(materia: Materia, quiz: Sequence[Asked]) -> Checked:
    """Check. An item that we made is held to its own claims; any other is judged only where it is plainly worded."""
    bench = Bench(materia, materia.facts.subjects, Random())
    looked = Looked(materia.names)
    found: list[Wrong] = []
    not_judged = []
    for asked in quiz:
        wrong = list(_of_form(asked))
        said = _ours(bench, asked) if asked.claims else _theirs(bench, looked, asked)
        if said is None and not wrong:
            not_judged.append(asked.place)
        told = sorted([*wrong, *(said or ())], key=lambda one: one[0] != "key")
        found += [Wrong(asked.place, asked.id, asked.stem, kind, says) for kind, says in told]
    return Checked(len(quiz), len(quiz) - len(not_judged), tuple(not_judged), tuple(found), materia.release_id)


Found = tuple[str, str]


def _of_form(asked: Asked) -> Iterator[Found]:
    if not asked.keys:
        yield "key", "The key names no option."
    if len(asked.keys) > 1:
        yield "second", f"The key names {len(asked.keys)} options: {', '.join(_name(asked, at) for at in asked.keys)}."
    texts = [option.casefold() for option in asked.options]
    for at, text in enumerate(texts):
        if text in texts[:at]:
            yield "second", f"{_name(asked, texts.index(text))} and {_name(asked, at)} say the same."


def _ours(bench: Bench, asked: Asked) -> list[Found]:
    """An item with its claims: is it as it was made, and is what it rests on still so?"""
    key = asked.keys[0] if len(asked.keys) == 1 else -1
    made = next((at for at in range(len(asked.options)) if _id_with(asked, at) == asked.id), None)
    if made is None:
        return [("changed", "Its words are not those it was made with, so that its claims say nothing of it.")]
    found: list[Found] = []
    if made != key:
        found.append(("key", f"The item was made with {_name(asked, made)} as the right answer."))
    for at, claim in enumerate(asked.claims):
        now = truth(bench, claim)
        if now is None:
            found.append(("changed", f"{_name(asked, at)}: the data no longer say whether {_claim(bench, claim)}."))
        elif now is not claim.holds and at == made:
            found.append(("key", f"{_name(asked, at)}: in the data {_claim(bench, claim, now)}."))
        elif now is not claim.holds:
            found.append(("second", f"{_name(asked, at)} may be right too: in the data {_claim(bench, claim, now)}."))
    if not found:
        gone = [place for place in asked.facts if not _stands(bench, place)]
        found += [("changed", f"It rests on {place}, which is no longer there.") for place in gone]
    return found


def _id_with(asked: Asked, right: int) -> str:
    options = [
        Option(text, at == right, "", claim)
        for at, (text, claim) in enumerate(zip(asked.options, asked.claims, strict=True))
    ]
    return item_id(asked.kind, asked.stem, options, asked.facts)


def _stands(bench: Bench, place: str) -> bool:
    """Whether the row and column are there: `file record column`."""
    file, _, rest = place.partition(" ")
    key, _, column = rest.rpartition(" ")
    tables: dict[str, tuple[frozenset[str], frozenset[str]]] = bench.kept.setdefault("places", {})
    if file not in tables:
        table = next((one for one in bench.facts.package.tables.values() if one.file == file), None)
        keys = frozenset(map(table.key, range(len(table)))) if table is not None else frozenset[str]()
        tables[file] = keys, frozenset(table.columns if table is not None else ())
    return key in tables[file][0] and column in tables[file][1]


def _theirs(bench: Bench, looked: Looked, asked: Asked) -> list[Found] | None:
    """A plainly worded item: what the data say of each option; None where they say nothing of any."""
    claims = claims_in_words(bench.materia, looked, asked)
    truths = [truth(bench, claim) for claim in claims]
    if all(one is None for one in truths):
        return None
    found: list[Found] = []
    for at, (claim, now) in enumerate(zip(claims, truths, strict=True)):
        if now is None:
            continue
        right = now is claim.holds
        if at in asked.keys and not right:
            found.append(("key", f"{_name(asked, at)}: in the data {_claim(bench, claim, now)}."))
        elif asked.keys and at not in asked.keys and right:
            found.append(("second", f"{_name(asked, at)} is right too: in the data {_claim(bench, claim, now)}."))
    return found


def _name(asked: Asked, at: int) -> str:
    return f"{ascii_lowercase[at]}) {asked.options[at]}"


def _claim(bench: Bench, claim: Claim, holds: bool = True) -> str:
    """The claim in words."""
    name = subject_name(bench.facts, claim.subject) if claim.subject in bench.facts.number else claim.subject
    label = _labelled(bench, claim)
    says: dict[str, Callable[[], str]] = {
        "nature": lambda: f"{name} is {'' if holds else 'not '}{label}",
        "flavor": lambda: f"{name} {'has' if holds else 'does not have'} the flavor {label}",
        "channel": lambda: f"{name} {'enters' if holds else 'does not enter'} the {label} channel",
        "action": lambda: f"{name} is stated {'' if holds else 'not '}to {label}",
    }
    other = f"{claim.predicate} {claim.value or 'none'} {'holds' if holds else 'does not hold'} of {name}"
    return says.get(claim.predicate, lambda: other)()


def _labelled(bench: Bench, claim: Claim) -> str:
    predicate = bench.facts.predicates.get(claim.predicate)
    terms = bench.facts.vocabularies.get(predicate.values.name) if predicate else None
    return terms.label(claim.value) if terms is not None and claim.value in terms else claim.value
