"""One claim that a sentence makes of medicinals."""

from dataclasses import dataclass

from materia_data.teach.proof.mentions import Mention


@dataclass(frozen=True, slots=True)
class Claim:
    """What a sentence says of the subjects.

    kind: nature, flavor, channel, action, toxicity (value: a term; stated false: it is denied) · harmless · allowed
    (value: a topic or a target of cautions; careful: said to be with care) · together (value: allowed, or taught: put
    together in an instruction) · dose (amount: the most said [g]; low: the least, where the range itself is taught;
    value: a route or nothing) · spared (value: a way of cooking said not to be needed) · cooked (amount: minutes or
    none; handled: ways of cooking said of these; careful: said to be long) · late · early
    (value: nothing) · swallowed (value: nothing, or amount: only an amount by mouth) · decocted (an amount in a
    decoction, with no word on how it is cooked).
    """

    kind: str
    subjects: tuple[Mention, ...]
    value: str = ""
    stated: bool = True
    amount: float | None = None
    low: float | None = None
    careful: bool = False
    handled: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Understood:
    """What was read in one sentence. subjects: whom the next sentence means by `it`; unknown: names not understood;
    warned: a warning or a prohibition was read, which calls for no judgement."""

    claims: tuple[Claim, ...] = ()
    subjects: tuple[Mention, ...] = ()
    unknown: tuple[str, ...] = ()
    warned: bool = False
