"""Terms that were moved: what a fact that names them, or a broader one, no longer says."""

from collections.abc import Iterator, Mapping

from materia_data.check.safety.change import Change
from materia_data.check.safety.gather import COVERING, Held, SafetySet, safety_predicates
from materia_data.facts.vocabulary import Vocabulary
from materia_data.read.table import Table

_Terms = tuple[str, Vocabulary, Vocabulary, Table, Table]


def term_changes(old: SafetySet, new: SafetySet, successors: Mapping[str, str]) -> Iterator[Change]:
    """Changed `broader`, `rank` and `topic` cells of the terms that effective safety facts read."""
    ranked = {predicate.values.name for predicate in safety_predicates().values() if predicate.compare == "rank"}
    for name in sorted(old.named.keys() | ranked):
        if name in old.facts.package.tables:
            before, now = old.facts.vocabularies[name], new.facts.vocabularies[name]
            terms = name, before, now, old.facts.package.tables[name], new.facts.package.tables[name]
            yield from _broader(terms, old, new, successors)
            if name in ranked:
                yield from _ranks(terms)
            yield from _topics(terms, old)


def _broader(terms: _Terms, old: SafetySet, new: SafetySet, successors: Mapping[str, str]) -> Iterator[Change]:
    name, before, now, *_ = terms
    named = old.named.get(name, frozenset())
    spoken_of = {above for term in named for above in before.up(term)}
    for term, was, is_ in _changed(terms, "broader"):
        lost = before.up(term) - now.up(term)
        if term in spoken_of or any(term in before.down(above) for above in named):
            weaker = bool(lost) and (
                term in spoken_of or _uncovered(name, term, lost & named, before, old, new, successors)
            )
            gained = bool(now.up(term) - before.up(term))
            yield _change(terms, term, "broader", was, is_,
                          "weakened" if weaker else "strengthened" if gained else "none")  # fmt: skip


def _uncovered(
    name: str,
    term: str,
    lost: frozenset[str],
    before: Vocabulary,
    old: SafetySet,
    new: SafetySet,
    successors: Mapping[str, str],
) -> bool:
    """Whether some subject's fact about a lost broader term spoke for this one, and nothing as strict does any more."""
    for predicate, key in COVERING:
        if old.facts.predicates[predicate].asked[key].name != name:
            continue
        for subject, held in _naming(old, predicate, key, lost):
            stands = successors.get(subject, subject)
            if stands not in new.facts.number:
                continue
            for below in before.down(term):
                narrowed = held._replace(
                    qualifiers=tuple((each, below if each == key else value) for each, value in held.qualifiers)
                )
                if not _still(predicate, key, narrowed, stands, new):
                    return True
    return False


def _naming(safety: SafetySet, predicate: str, key: str, terms: frozenset[str]) -> Iterator[tuple[str, Held]]:
    for number, subjects in safety.facts.by_kind(predicate).items():
        kind = safety.facts.entries.kinds[number]
        if dict(kind.qualifiers).get(key) in terms:
            for subject in subjects:
                yield safety.facts.subjects[subject], Held(kind.value, kind.qualifiers, 0)


def _still(predicate: str, key: str, held: Held, subject: str, new: SafetySet) -> bool:
    terms = new.facts.vocabularies[new.facts.predicates[predicate].asked[key].name]
    rank = new.facts.vocabularies[new.facts.predicates[predicate].values.name].rank
    for other in new.of(subject).get(predicate, ()):
        covers = not other.get(key) or other.get(key) in terms.up(held.get(key))
        alike = all(other.get(each) == value for each, value in held.qualifiers if each != key)
        strict = other.value == held.value or (rank(other.value) or 0) > (rank(held.value) or 0)
        if covers and alike and strict:
            return True
    return False


def _ranks(terms: _Terms) -> Iterator[Change]:
    _, before, now, *_ = terms
    for term, was, is_ in _changed(terms, "rank"):
        if not was:
            continue
        others = [other for other in before if other in now and other != term]
        moves = [_order(now, term, other) - _order(before, term, other) for other in others]
        effect = "weakened" if min(moves, default=0) < 0 or not is_ else "strengthened" if any(moves) else "none"
        yield _change(terms, term, "rank", was, is_, effect)


def _order(vocabulary: Vocabulary, term: str, other: str) -> int:
    """1 above, 0 beside, -1 below; a term without a rank is below every other."""
    ranks = [vocabulary.rank(each) for each in (term, other)]
    mine, theirs = (float("-inf") if rank is None else rank for rank in ranks)
    return (mine > theirs) - (mine < theirs)


def _topics(terms: _Terms, old: SafetySet) -> Iterator[Change]:
    """Targets that a caution on a whole topic no longer takes in."""
    name, _, now, *_ = terms
    predicate = old.facts.predicates["caution"]
    for key, over in predicate.empty_covers.items():
        if predicate.asked[key].name != name:
            continue
        topics = old.facts.vocabularies[predicate.asked[over].name]
        kinds = [dict(old.facts.entries.kinds[number].qualifiers) for number in old.facts.by_kind("caution")]
        whole = {held.get(over, "") for held in kinds if not held.get(key)}
        for term, was, is_ in _changed(terms, over):
            took_in = whole & topics.up(was) if was else whole
            takes_in = whole & topics.up(is_) if is_ and term in now else whole if term in now else frozenset[str]()
            effect = "weakened" if took_in - takes_in else "none"
            yield _change(terms, term, over, was, is_, effect)


def _changed(terms: _Terms, column: str) -> Iterator[tuple[str, str, str]]:
    """Each old term whose cell in the column is another one now, with both texts."""
    _, _, _, old, new = terms
    if column not in old.columns:
        return
    now = dict(zip(new.columns["id"], new.columns[column], strict=True))
    for term, was in zip(old.columns["id"], old.columns[column], strict=True):
        if now.get(term, "") != was:
            yield term, was, now.get(term, "")


def _change(terms: _Terms, term: str, column: str, was: str, is_: str, effect: str) -> Change:
    name, _, _, _, table = terms
    rows = table.rows_of("id").get(term)
    file, line = table.place(rows[0], column) if rows else (table.file, 0)
    return Change(term, column, f"terms={name}", was, is_, effect, file, name, term, line, column if rows else "")
