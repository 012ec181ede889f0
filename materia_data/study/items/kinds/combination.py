"""What is never combined with a medicinal. Wrong: partners that the data teach beside it."""

from collections.abc import Sequence

from materia_data.study.items.bench import OPTIONS, Bench, claim_of
from materia_data.study.items.item import Item, Option

_GOOD = ("need", "assist", "restrained-by", "restrains")
Frame = tuple[str, str]


def frames(bench: Bench) -> Sequence[Frame]:
    """A medicinal with what it opposes."""
    return [
        (subject, fact.value)
        for subject in bench.subjects
        if bench.facts.kind(subject) == "herbs"
        for fact in bench.facts.of(subject, "opposes")
        if fact.value in bench.facts.number
    ]


def make(bench: Bench, frame: Frame) -> Item | None:
    """One item; None where fewer than three partners are taught."""
    subject, other = frame
    opposed = {fact.value for fact in bench.facts.of(subject, "opposes")}
    herbs = {bench.facts.herb_of(one) for one in opposed if one in bench.facts.number}
    partners = [one for one in partners_of(bench).get(subject, ()) if bench.facts.herb_of(one) not in herbs]
    if len(partners) < OPTIONS - 1:
        return None
    chosen = bench.nearest(other, partners, OPTIONS - 1)
    name = bench.name(subject)

    def option(one: str) -> Option:
        if one == other:
            why = f"{name} and {bench.name(one)} are on record as never combined."
        else:
            why = f"{name} and {bench.name(one)} are taught as a pair."
        return Option(bench.name(one), one == other, why, claim_of(subject, "opposes" if one == other else "pair", one))

    facts = [bench.place(fact) for fact in bench.facts.of(subject, "opposes") if fact.value == other]
    facts += [f"relations/pairs.csv {id} subjects" for one in chosen for id in _pairs(bench)[frozenset((subject, one))]]
    alike = sum(bench.alike(other, one) for one in chosen) / len(chosen)
    stem = f"Which of these is never combined with {name}?"
    return bench.item(
        "combination", stem, option(other), map(option, chosen), [subject, other], facts, 0.3 + 0.7 * alike, safety=True
    )


def partners_of(bench: Bench) -> dict[str, list[str]]:
    """By medicinal those that the data teach to use beside it."""
    if "partners" not in bench.kept:
        found: dict[str, list[str]] = {}
        for pair in sorted(map(sorted, _pairs(bench))):
            if len(pair) == 2:
                found.setdefault(pair[0], []).append(pair[1])
                found.setdefault(pair[1], []).append(pair[0])
        bench.kept["partners"] = found
    partners: dict[str, list[str]] = bench.kept["partners"]
    return partners


def _pairs(bench: Bench) -> dict[frozenset[str], list[str]]:
    if "pairs" not in bench.kept:
        table, found = bench.facts.package.tables["pairs"], dict[frozenset[str], list[str]]()
        for number in range(len(table)):
            row = table.row(number)
            subjects = frozenset(row["subjects"].split(";"))
            if row["relation"] in _GOOD and len(subjects) == 2 and subjects <= bench.facts.number.keys():
                found.setdefault(subjects, []).append(row["id"])
        bench.kept["pairs"] = found
    pairs: dict[frozenset[str], list[str]] = bench.kept["pairs"]
    return pairs
