"""A text looked up among the stored names: what is the very name first, what only sounds or looks like it last."""

import unicodedata

from materia_data.names.hit import Hit
from materia_data.names.index import Index
from materia_data.names.like import like
from materia_data.names.same import apart, same

READ = 2000
SURE = 0.95
_FORMULA = 2


def search(index: Index, text: str, most: int = 10) -> list[Hit]:
    """The subjects that the text may mean, best first; of equal scores headings before by-names, formulas last.

    1 the very name; 0.95 to 0.99 the same name in another script, another spelling of its reading, or without tones;
    less than that where letters, sounds or words differ. Two that stand apart in harm are not put in an order that
    the text does not give: they get one score. Only the first 2,000 characters are read.
    """
    text = tidied(text)
    best: dict[str, Hit] = {}
    for hit in same(index, text):
        _keep(index, best, hit)
    _level(index, best)
    if max((hit.score for hit in best.values()), default=0.0) < SURE:
        for hit in like(index, text):
            _keep(index, best, hit)
    return sorted(best.values(), key=lambda hit: _rank(index, hit))[:most]


def tidied(text: str) -> str:
    """Without control and invisible characters, full-width letters as plain ones."""
    text = unicodedata.normalize("NFKC", text[:READ])
    spaced = "".join(" " if unicodedata.category(char) in ("Cc", "Zl", "Zp") else char for char in text)
    return "".join(char for char in spaced if unicodedata.category(char) not in ("Cf", "Cs")).strip()


def _keep(index: Index, best: dict[str, Hit], hit: Hit) -> None:
    """The better of two; of equals the one by a heading."""
    old = best.get(hit.subject)
    if old is None or (hit.score, _heading(index, hit)) > (old.score, _heading(index, old)):
        best[hit.subject] = hit


def _level(index: Index, best: dict[str, Hit]) -> None:
    """Give those that are read alike one score where they differ in harm and the text has not said which.

    It has said so with characters or a name that is no reading. A reading, with its tones or without, does not tell
    names apart that sound the same; those whose tones contradict it are no longer among them.
    """
    top = max((hit.score for hit in best.values()), default=0.0)
    first = [hit for hit in best.values() if hit.score == top]
    told = top >= 0.98 and any(hit.place not in index.tones for hit in first)
    if top < SURE or told:
        return
    subjects = [hit.subject for hit in first]
    for hit in [hit for hit in best.values() if SURE <= hit.score < top and apart(index, hit.subject, subjects)]:
        best[hit.subject] = Hit(hit.subject, top, hit.why, hit.place, hit.rest)


def _rank(index: Index, hit: Hit) -> tuple[float, bool, bool, int, str]:
    rank = index.order[hit.subject]
    return -round(hit.score, 4), rank == _FORMULA, not _heading(index, hit), rank, hit.subject


def _heading(index: Index, hit: Hit) -> bool:
    return index.names.kind[hit.place] == "standard"
