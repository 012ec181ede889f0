"""What the members share and why, with measures in words; and who breaks the pattern, and why."""

from collections import Counter

from materia_data.facts.facts import Facts
from materia_data.facts.match import match
from materia_data.facts.pattern import parse
from materia_data.materia import Materia
from materia_data.study.document import Line, Run, Runs, Section, joined
from materia_data.study.selection import Selection
from materia_data.study.writer import Writer, reason, sentence
from materia_data.teach.explain import PROPERTIES, Explained, explain
from materia_data.teach.standouts import Breaker, Shared, StandOuts

_STRONG = 0.7
_CELLS = 30
_ASIDE = "Nobody has recorded why."


def shared(writer: Writer, materia: Materia, chosen: Selection, found: StandOuts) -> Section:
    """What they share, counted over all that were asked about, also those not on the sheet."""
    writer.section = "Shared, and why"
    reasons = explain(materia, chosen.chosen).subjects if chosen.of != "formulas" else ()
    said = [_shared(writer, one, _why(materia, one, reasons)) for one in found.shared]
    text = chosen.shelf.get("tendency", "")
    lines = [Line((Run(sentence(text)),))] if text and chosen.kind in ("category", "group") else []
    over = len(found.members)
    note = f"Counted over all {over}" + (", also those not on this sheet" if over > len(chosen.chosen) else "")
    return Section("shared", writer.section, note if said else "", (*lines, *said))


def stand_outs(writer: Writer, chosen: Selection, found: StandOuts) -> Section:
    """Those on the sheet that break a strong tendency, with the reason on record or none; and what only one does."""
    writer.section = "Stand-outs"
    return Section("stand-outs", writer.section, "", tuple(_odd(writer, chosen, found)), columns=2)


def breaking(found: StandOuts) -> dict[str, set[str]]:
    """For each member the predicates in which it breaks a strong tendency."""
    broken: dict[str, set[str]] = {}
    for one in filter(_strong, found.shared):
        for breaker in one.breakers:
            broken.setdefault(breaker.id, set()).add(one.pattern.partition(":")[0])
    return broken


def _shared(writer: Writer, one: Shared, why: str) -> Line:
    count = f"all {one.of}" if one.holds == one.of else f"{one.holds} of {one.of}"
    silent = f", {len(one.silent)} not stated" if one.silent else ""
    rest = f"; of all others {one.rest_holds} of {one.rest_of}" if one.rest_of else ""
    label = one.label[:1].upper() + one.label[1:]
    runs: Runs = (Run(label, "strong"),)
    if one.definition:
        runs += (Run(", by what the category is"),)
    elif why:
        runs += (Run(", because "), writer.ask(reason(why), "l"))
    elif one.pattern.partition(":")[0] in PROPERTIES:
        runs += (Run(". No reason recorded"),)
    tally = (Run(_tally(one), "tally"), Run(" ")) if one.of <= _CELLS else ()
    return Line((*runs, Run(". "), *tally, Run(f"{count}{silent}{rest}.", "small")))


def _tally(one: Shared) -> str:
    """A letter a member: h holds, x contradicted, o not stated."""
    return "h" * one.holds + "x" * (one.of - one.holds - len(one.silent)) + "o" * len(one.silent)


def _why(materia: Materia, one: Shared, explained: tuple[Explained, ...]) -> str:
    """The reason that most of those on the sheet have on record for it; reasons by category alone come last."""
    predicate = one.pattern.partition(":")[0]
    if predicate not in PROPERTIES:
        return ""
    facts = materia.facts
    holding = {facts.subjects[n] for n in match(parse(one.pattern, facts), facts).true}
    wanted = one.pattern.partition(":")[2]
    vocabulary = facts.vocabularies[facts.predicates[predicate].values.name]
    narrower = vocabulary.down(wanted) if ".." not in wanted else None
    own, by_category = Counter[str](), Counter[str]()
    for subject in explained:
        for item in subject.properties if subject.id in holding else ():
            if item.predicate != predicate or (narrower is not None and item.value not in narrower):
                continue
            for place, given in enumerate(item.reasons):
                (by_category if given.only_category else own)[given.because] += 3 if place == 0 else 1
    best = own or by_category
    return min(best, key=lambda text: (-best[text], text)) if best else ""


def _odd(writer: Writer, chosen: Selection, found: StandOuts) -> list[Line]:
    breaks: dict[str, list[tuple[Shared, Breaker]]] = {}
    for one in found.shared:
        if _strong(one) and one.pattern.partition(":")[0] in (*PROPERTIES, "direction"):
            for breaker in one.breakers:
                breaks.setdefault(breaker.id, []).append((one, breaker))
    alone = {one.id: [text for text in one.alone if not text.startswith("part used")] for one in found.standouts}
    grave = _constituents(writer.facts)
    lines = []
    for subject in chosen.chosen:
        head = (*writer.name(subject, mark=True, strong=True), Run(" "))
        for one, breaker in breaks.get(subject, ()):
            said: Runs = (Run(_not(one.label), "odd"), Run(f" but {breaker.says.replace('enters the ', '')}"))
            if breaker.why:
                why = (Run(", because "), writer.ask(reason(breaker.why), "l"), Run("."))
                lines.append(Line((*head, *said, *why), "exception"))
            else:
                lines.append(Line((*head, *said, Run(f". {_ASIDE}")), "gap"))
        if alone.get(subject):
            first, *rest = alone[subject]
            asked = Run(first) if first in grave or writer.dangerous(subject) else writer.ask(first, "m")
            only = joined([(asked,), *((Run(text),) for text in rest)], "; ")
            lines.append(Line((*head, Run("alone of all: "), *only, Run("."))))
    return lines


def _not(label: str) -> str:
    return f"does not enter {label[7:]}" if label.startswith("enters ") else f"not {label}"


def _constituents(facts: Facts) -> set[str]:
    """The words for what must be read, not guessed: constituents that a caution rests on."""
    traits, marked = facts.vocabularies["traits"], facts.predicates["trait"].constituents
    return {traits.label(id) for id in traits if all(traits.cell(id, key) == cell for key, cell in marked.items())}


def _strong(one: Shared) -> bool:
    """Whether so many share it that breaking it is worth a word."""
    return one.holds >= _STRONG * one.of
