"""Which subject a messy name means, and what would hurt if it were another."""

from collections.abc import Iterator
from dataclasses import dataclass

from materia_data.find import Candidate, candidate
from materia_data.materia import Materia
from materia_data.names.hit import Hit
from materia_data.names.index import Index
from materia_data.names.search import READ, SURE, search
from materia_data.teach.words import listed

_SHARED = {
    "generic": "a general name that may mean another medicinal too; here",
    "joint": "one name for several at once:",
}
_GRAVE = ("of no grade", "slightly toxic", "toxic", "very toxic", "withdrawn, or destroys kidney or liver")
_CLOSE = 0.15
_NEAR = 0.8
_TOXIC = 2


@dataclass(frozen=True, slots=True)
class Named:
    """candidates: what the text may mean, best first, equal scores where it does not tell; warnings: what is uncertain
    in it, and which mistake would hurt."""

    candidates: tuple[Candidate, ...]
    warnings: tuple[str, ...]


def name(materia: Materia, text: str) -> Named:
    """Look a name up in any script, spelling or word order; never raises, whatever the text."""
    index = materia.names
    hits = search(index, text)
    said = dict.fromkeys(_warnings(materia, index, text, hits))
    return Named(tuple(candidate(index, hit) for hit in hits), tuple(said))


def _warnings(materia: Materia, index: Index, text: str, hits: list[Hit]) -> Iterator[str]:
    if len(text) > READ:
        yield f"Only the first {READ:,} characters were read."
    if not hits:
        return
    first = [hit for hit in hits if hit.score == hits[0].score]
    yield from _uncertain(index, hits, first)
    for hit in first:
        yield from _standing(materia, index, hit.subject)
    rows = _mix_ups(materia, index, [hit.subject for hit in first])
    yield from (_said(materia, index, row) for row in rows)
    if hits[0].score >= SURE and index.script.folded(text):
        table = materia.package.tables["confusions"].columns
        told = {table[side][row] for row in rows for side in ("a", "b")}
        for hit in first:
            yield from _one_character_off(index, hit, told)


def _uncertain(index: Index, hits: list[Hit], first: list[Hit]) -> Iterator[str]:
    if hits[0].rest:
        yield f"Only a part was understood: what {hits[0].rest} adds may make it another medicinal."
    elif hits[0].score < _NEAR:
        yield "No name on record is written so; these are the nearest. Ask before you act on it."
    told: set[str] = set()
    for kind, says in _SHARED.items():
        by_it = [hit for hit in first if index.names.kind[hit.place] == kind]
        if by_it:
            called = _listed(index, by_it)
            yield f"{index.names.text[by_it[0].place]} is {says} {called}."
            told.update(hit.subject for hit in by_it)
    if len(first) > max(1, len(told)):
        inside = all(hit.why.endswith(" stands in it") for hit in first)
        what = "The text holds more than one name" if inside else "The text does not tell which is meant"
        yield f"{what}: {_listed(index, first)}."
    grave = max(index.harm.get(hit.subject, 0) for hit in first)
    for hit in hits[len(first) :]:
        close = hits[0].score - hit.score <= _CLOSE and (hits[0].score < 1 or hit.score >= SURE)
        if close and index.harm.get(hit.subject, 0) > grave:
            yield f"It may also be {_shown(index, hit.subject)}, which is {_GRAVE[index.harm[hit.subject]]}."


def _standing(materia: Materia, index: Index, subject: str) -> Iterator[str]:
    herbs = materia.package.tables["herbs"]
    rows = herbs.rows_of("id").get(subject.partition(".")[0], ())
    status = herbs.columns["status"][rows[0]] if rows else "current"
    if status not in ("", "current"):
        yield f"{_shown(index, subject)} is {status}."


def _mix_ups(materia: Materia, index: Index, subjects: list[str]) -> list[int]:
    """Rows of mix-ups with something of another harm, or with a plant or animal that is none of ours."""
    table = materia.package.tables["confusions"]
    ours = dict.fromkeys([*subjects, *(subject.partition(".")[0] for subject in subjects)])
    found = []
    for row in sorted({row for side in ("a", "b") for one in ours for row in table.rows_of(side).get(one, ())}):
        a, b = table.columns["a"][row], table.columns["b"][row]
        if not {a, b} <= index.shown.keys() or index.harm.get(a, 0) != index.harm.get(b, 0):
            found.append(row)
    return found


def _said(materia: Materia, index: Index, row: int) -> str:
    one = materia.package.tables["confusions"].row(row)
    pair = listed(_shown(index, id) if id in index.shown else _taxon(materia, id) for id in (one["a"], one["b"]))
    return f"Not to be mixed up, {pair}: {one['harm']} {one['tell_apart']}".strip()


def _one_character_off(index: Index, hit: Hit, told: set[str]) -> Iterator[str]:
    """Toxic or withdrawn medicinals whose heading of three characters and more differs from the name in one."""
    written = index.script.folded(index.names.text[hit.place]) or index.shown[hit.subject][0]
    for other, (hans, _) in index.shown.items():
        herb = other.partition(".")[0]
        if len(hans) != len(written) or len(hans) < 3 or herb == hit.subject.partition(".")[0] or other in told:
            continue
        if sum(a != b for a, b in zip(hans, written, strict=True)) == 1 and index.harm.get(other, 0) >= _TOXIC:
            yield f"One character makes it {_shown(index, other)}, which is {_GRAVE[index.harm[other]]}."


def _listed(index: Index, hits: list[Hit]) -> str:
    return listed(_shown(index, hit.subject) for hit in hits)


def _shown(index: Index, subject: str) -> str:
    hans, pinyin = index.shown[subject]
    return f"{hans} {pinyin} [{subject}]"


def _taxon(materia: Materia, taxon: str) -> str:
    taxa = materia.package.tables["taxa"]
    rows = taxa.rows_of("id").get(taxon, ())
    return " ".join(taxa.columns["name_latin"][rows[0]].split()[:2]) if rows else taxon
