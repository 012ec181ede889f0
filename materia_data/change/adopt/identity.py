"""Which medicinal a name, or a row with several names, means; never a guess where a mistake would hurt."""

import re
from dataclasses import dataclass
from functools import cache
from itertools import permutations

from materia_data.change.adopt.lexicon import Lexicon
from materia_data.names.script import is_han

SURE = 0.95
_GRAVEST = 4
_GLOSS = re.compile(r"[(\[{](.*?)[)\]}]")
_PARTS = re.compile(r"[/,;、|\n]|\s-\s|\s=\s")
_MADE = re.compile(
    r"^[㐀-鿿]{1,2}$|\b(?:raw|fresh|processed|prepared|fried|stir|charred?|calcined|steamed|"
    r"honey|vinegar|wine|salt|ginger|frost|untreated|defatted)\b",
    re.IGNORECASE,
)
_MARKS = re.compile(r"[*†‡#?!★☆●○]+|^\d+[.)、]\s*")


@dataclass(frozen=True, slots=True)
class Meant:
    """What a text means. subjects: the ids it may mean, one where it is certain; sure: whether it is; why: in words;
    stated: whether the name itself is on record (not only like one)."""

    subjects: tuple[str, ...]
    sure: bool
    why: str
    stated: bool = False


@dataclass
class Identifier:
    """Looks names up, each text once.

    text: what one name means; may_hide: subjects that are withdrawn, or destroy kidney or liver, and whose name ends
    with the subject's: where only the shorter one is written, the other may stand on the shelf (木通 and 关木通).
    """

    lexicon: Lexicon

    def __post_init__(self) -> None:
        self.text = cache(self._text)
        self.may_hide = cache(self._may_hide)

    def _text(self, text: str) -> Meant:
        """One name: as it stands, then without what is in brackets, then its parts, which must agree."""
        found = self._plain(text)
        if found.stated:
            return found
        bare = _MARKS.sub("", text).strip()
        if bare != text and bare:
            found = self._plain(bare)
            if found.stated:
                return found
        pieces = [_GLOSS.sub(" ", bare), *_GLOSS.findall(bare)]
        pieces = [part.strip() for piece in pieces for part in _PARTS.split(piece) if part.strip()]
        pieces = [part for piece in pieces for part in _scripts(piece)]
        if len(pieces) > 1:
            made = [piece for piece in pieces if _MADE.search(piece) and not self._plain(piece).stated]
            if made:
                return self._prepared([piece for piece in pieces if piece not in made], made)
            together = self.together([self._plain(piece) for piece in pieces])
            if together.stated:
                return together
        return found

    def _prepared(self, names: list[str], made: list[str]) -> Meant:
        """A name with a word for how it was prepared beside it: the name that the two make, if there is one."""
        for word, name in permutations([*names, *made], 2):
            for text in (f"{word}{name}", f"{word} {name}"):
                if (word in made or name in made) and (found := self._plain(text)).sure:
                    return found
        bare = self.together([self._plain(name) for name in names])
        forms = self.lexicon.materia.package.tables["forms"]
        rows = [row for id in bare.subjects for row in forms.rows_of("herb").get(id, ())]
        ids = (*bare.subjects, *(forms.columns["id"][row] for row in rows))
        why = f"what {made[0]} makes of it is not on record under such a name"
        return Meant(ids, False, why, bare.stated)

    def together(self, each: list[Meant]) -> Meant:
        """What several names of one row mean: what all that are on record agree on."""
        if len(each) == 1:
            return each[0]
        stated = [one for one in each if one.stated]
        if not stated:
            return max(
                each, key=lambda one: len(one.subjects) == 1, default=Meant((), False, "no name of it is on record")
            )
        common = [id for id in stated[0].subjects if all(id in one.subjects for one in stated)]
        if len(common) == 1:
            return Meant((common[0],), True, stated[0].why if len(stated) == 1 else "its names agree", True)
        if common:
            return Meant(tuple(common), False, "its names may mean more than one medicinal", True)
        kin = self._kin(stated)
        if kin:
            return kin
        ids = tuple(dict.fromkeys(id for one in stated for id in one.subjects))
        return Meant(ids, False, "its names mean different medicinals", True)

    def _may_hide(self, subject: str) -> tuple[str, ...]:
        names = self.lexicon.materia.names
        if subject not in names.shown or names.harm.get(subject, 0) == _GRAVEST:
            return ()
        hans = names.shown[subject][0]
        return tuple(
            id
            for id, (other, _) in names.shown.items()
            if names.harm.get(id, 0) == _GRAVEST
            and "." not in id
            and len(other) > len(hans) > 1
            and other.endswith(hans)
        )

    def _kin(self, stated: list[Meant]) -> Meant | None:
        """A herb by one name and a form of it by another: the names differ in more than a spelling, so it is asked."""
        ids = {id for one in stated for id in one.subjects}
        herbs = [{id.partition(".")[0] for id in one.subjects} for one in stated]
        common = set.intersection(*herbs)
        if len(common) != 1:
            return None
        herb = common.pop()
        forms = sorted(id for id in ids if id.startswith(herb + "."))
        return Meant((*forms, herb), False, "one of its names is the herb's, another a form's", True)

    def _plain(self, text: str) -> Meant:
        materia = self.lexicon.materia
        if not text.strip() or not any(char.isalpha() for char in text):
            return Meant((), False, "no name")
        found = [one for one in materia.resolve(text) if materia.facts.kind(one.id) != "formulas"]
        if not found:
            return Meant((), False, "no name on record is like it")
        best = [one for one in found if one.score == found[0].score]
        if found[0].score < SURE:
            return Meant(tuple(one.id for one in found[:4]), False, f"only like a name on record: {found[0].why}")
        if len(best) == 1:
            return Meant((best[0].id,), True, best[0].why, True)
        return Meant(tuple(one.id for one in best), False, "the name may mean more than one medicinal", True)


def _scripts(text: str) -> list[str]:
    """Characters and Latin letters apart."""
    han = "".join(char for char in text if is_han(char))
    rest = re.sub(r"\s+", " ", "".join(" " if is_han(char) else char for char in text)).strip()
    both = bool(han) and any(char.isalpha() for char in rest)
    return [han, rest] if both else [text]
