"""What is true of one and not of the other: the right property is the one's, and the other's list is closed."""

from collections.abc import Sequence

from materia_data.study.items.bench import OPTIONS, Bench, claim_of
from materia_data.study.items.item import Item, Option

_SAYS = {"nature": "It is {}", "flavor": "It has the flavor {}", "channel": "It enters the {} channel"}
Frame = tuple[str, str]


def frames(bench: Bench) -> Sequence[Frame]:
    """Pairs that the data teach to tell apart, either way round."""
    about, points = set(bench.subjects), bench.facts.package.tables["contrast_points"]
    found = set()
    for rows in points.rows_of("contrast").values():
        subjects = sorted({points.columns["subject"][row] for row in rows} & set(bench.facts.number))
        found |= {(one, two) for one in subjects for two in subjects if one != two and about & {one, two}}
    return sorted(found)


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item: a distractor is true of both, or is certainly not true of the first."""
    one, two = frame
    right, wrong = [], []
    for predicate in _SAYS:
        mine, theirs = bench.closed(one, predicate), bench.closed(two, predicate)
        if not mine or not theirs:
            continue
        right += [(predicate, value) for value in sorted(mine) if bench.apart(predicate, value, theirs)]
        wrong += [(predicate, value) for value in sorted(mine & theirs)]
        wrong += [(predicate, value) for value in sorted(theirs) if bench.apart(predicate, value, mine)]
    if not right or len(wrong) < OPTIONS - 1:
        return None
    asked = bench.chance.choice(right)
    chosen = bench.chance.sample(wrong, OPTIONS - 1)

    def option(said: tuple[str, str]) -> Option:
        predicate, value = said
        text = _SAYS[predicate].format(bench.label(predicate, value))
        held = bench.closed(one, predicate) or frozenset()
        if said == asked:
            why = f"True of {bench.name(one)}; {bench.name(two)} has {_list(bench, two, predicate)}."
        elif value in held:
            why = "True of both."
        else:
            why = f"{bench.name(one)} has {_list(bench, one, predicate)}, and nothing else."
        subject = two if said == asked or value in held else one
        return Option(text, said == asked, why, claim_of(subject, predicate, value, said != asked and value in held))

    facts = [place for subject in frame for predicate in _SAYS for place in bench.places(subject, predicate)]
    stem = f"Which of these is true of {bench.name(one)} and not of {bench.name(two)}?"
    return bench.item(
        "told-apart", stem, option(asked), map(option, chosen), [one, two], facts, 0.3 + 0.7 * bench.alike(one, two)
    )


def _list(bench: Bench, subject: str, predicate: str) -> str:
    values = [fact.value for fact in bench.facts.of(subject, predicate)]
    return f"{predicate} {', '.join(bench.label(predicate, value) for value in values)}"
