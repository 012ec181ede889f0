"""A quiz item: a question, its options, and what each option rests on."""

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256


@dataclass(frozen=True, slots=True)
class Claim:
    """What an option says, for a program to judge: that `subject` has (`holds`), or is known not to have, the value.

    predicate: one of the facts', or `pair`: the two are taught together; value: a term, an id or a number.
    """

    subject: str
    predicate: str
    value: str
    holds: bool = True


@dataclass(frozen=True, slots=True)
class Option:
    """One answer: its text, whether it is right, why, and the claim that its being right or wrong rests on."""

    text: str
    right: bool
    why: str
    claim: Claim


@dataclass(frozen=True, slots=True)
class Item:
    """A question with one right answer.

    id: of what is asked and offered, so that a changed fact makes another; kind: how it was made; about: the subjects
    it is about; facts: the rows it rests on, as `file record column`; category: of its first subject; difficulty: 0
    easy to 1 hard; safety: whether it asks about what may hurt.
    """

    id: str
    kind: str
    stem: str
    options: tuple[Option, ...]
    about: tuple[str, ...]
    facts: tuple[str, ...]
    category: str
    difficulty: float
    safety: bool

    @property
    def key(self) -> int:
        """The place of the right option, from 0."""
        return next(place for place, option in enumerate(self.options) if option.right)


def item_id(kind: str, stem: str, options: Iterable[Option], facts: Iterable[str]) -> str:
    """The same for the same question whatever the order of its options; another if a text, claim or fact differs."""
    said = sorted(f"{one.text}\0{one.right}\0{one.claim}" for one in options)
    return f"{kind}-{sha256(chr(1).join([stem, *said, *sorted(facts)]).encode()).hexdigest()[:10]}"


def claim_text(claim: Claim) -> str:
    """`subject|predicate|value|yes`, or `no` where it is known not to hold."""
    return f"{claim.subject}|{claim.predicate}|{claim.value}|{'yes' if claim.holds else 'no'}"


def read_claim(text: str) -> Claim | None:
    """The claim that was written so; None if it was not."""
    parts = text.split("|")
    if len(parts) != 4 or parts[3] not in ("yes", "no"):
        return None
    return Claim(parts[0], parts[1], parts[2], parts[3] == "yes")
