"""Actions in a school's own words matched to ours: by label, by phrase, by the words they share."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from math import prod

from materia_data.change.adopt.clauses import listed
from materia_data.change.adopt.say import Reading, Say, say
from materia_data.change.adopt.tables import noise, word_rows
from materia_data.change.adopt.words import tokens
from materia_data.names.script import is_han
from materia_data.read.package import Package

_NOT = re.compile(r"[不无勿非未忌]|\bnot\b|\bno\b|\bwithout\b|\bnever\b")
_HAN_NOISE = frozenset("、而以兼并且能可者之及和与善")
_POINTED = re.compile(r"\b([^\W\d_]{2,8})\.(?=\s+[^\W\d_])")
_POINT, _WAYS = "\u2024", 100
Found = tuple[str, str]
"""An action and a site, the site perhaps empty."""


@dataclass
class ActionWords:
    """The actions of a package, findable by what a school calls them."""

    package: Package
    fold: Callable[[str], str]

    def read(self, phrase: str) -> list[Reading]:
        """One phrase, such as `quickens the blood`: what it says, and what of it is not understood; or nothing, with
        the nearest actions as choices."""
        text = self.fold(phrase)
        found, left = self._chinese(text) if any(map(is_han, text)) else self._words(text)
        says = tuple(_says(found))
        if says and not left:
            return [Reading("actions", phrase, says, True, self._why(phrase, found))]
        if says and left != text and not _NOT.search(text):
            kept = Reading("actions", left, (), False, "no action of ours is called so")
            return [Reading("actions", phrase, says, True, self._why(phrase, found)), kept]
        if meant := self._meant(text):
            return [Reading("actions", phrase, tuple(_says(meant)), True, self._why(phrase, meant))]
        near = tuple((one,) for one in (*says, *_says((id, "") for id in self._near(text))))
        why = "no action of ours is called so"
        return [Reading("actions", phrase, (), False, why, tuple(dict.fromkeys(near))[:4])]

    def _why(self, phrase: str, found: list[Found]) -> str:
        columns = self.package.tables["actions"].columns
        labels = dict(zip(columns["id"], columns["name_en"], strict=True))
        said = ", ".join(labels[id] + (f" ({site})" if site else "") for id, site in found)
        return "the label of the action" if self.fold(said) == self.fold(phrase) else f"read as {said}"

    def phrases(self, text: str) -> list[str]:
        """The phrases of a list. The point of a word cut short (`tonif. blood`) ends none."""
        held = _POINTED.sub(
            lambda match: match[0].replace(".", _POINT) if self._cut_short(self.fold(match[1])) else match[0], text
        )
        return [phrase.replace(_POINT, ".") for phrase in listed(held)]

    @cached_property
    def _known(self) -> frozenset[str]:
        """Every word that an action is said with."""
        spelled = [*self._same, *self._same.values(), *self.package.tables["actions"].columns["name_en"]]
        spelled += [phrase for _, phrases in self._phrases for phrase in phrases]
        return frozenset(word for text in spelled for word in re.split(r"[^a-z]+", self.fold(text)) if word)

    def _cut_short(self, word: str) -> frozenset[str]:
        """The words that one which is no word may be the beginning of, each as the one we keep."""
        if len(word) < 2 or not word.isascii() or word in self._known or word in noise("actions"):
            return frozenset()
        return frozenset(self._same.get(known, known) for known in self._known if known.startswith(word))

    def _meant(self, text: str) -> list[Found]:
        """What a phrase with words cut short says, where all that they may be the beginning of comes to one thing."""
        words = [token.text for token in tokens(text)]
        ways = [sorted(self._cut_short(word)) or [word] for word in words]
        if not any(self._cut_short(word) for word in words) or prod(map(len, ways)) > _WAYS:
            return []
        read = (self._words(" ".join(way)) for way in product(*ways))
        found = {tuple(found) for found, left in read if found and not left}
        return list(found.pop()) if len(found) == 1 else []

    def key(self, text: str, *, category: bool = False) -> frozenset[str]:
        """The words that tell, each as the one we keep."""
        idle = noise("actions") | noise("category") if category else noise("actions")
        words = [token.text for token in tokens(self.fold(text).replace("-", " ") if category else self.fold(text))]
        if any(map(is_han, text)):
            return frozenset(["".join(word for word in words if word not in idle and not word.isascii())])
        return frozenset(self._kept(word for word in words if word not in idle))

    @cached_property
    def _same(self) -> dict[str, str]:
        return {word: row[0] for row in word_rows("action_words.tsv") for word in row[1].split(";")}

    def _kept(self, words: Iterable[str]) -> list[str]:
        rest, kept = list(words), []
        while rest:
            pair = " ".join(rest[:2])
            if len(rest) > 1 and (pair in self._same or "-".join(rest[:2]) in self._same):
                kept.append(self._same.get(pair) or self._same["-".join(rest[:2])])
                rest = rest[2:]
                continue
            word = rest.pop(0)
            kept.append(self._same.get(word) or self._same.get(_singular(word)) or _stem(word))
        return kept

    @cached_property
    def _by_key(self) -> dict[frozenset[str], tuple[str, ...]]:
        found: dict[frozenset[str], tuple[str, ...]] = {}
        columns = self.package.tables["actions"].columns
        for id, name in zip(columns["id"], columns["name_en"], strict=True):
            found.setdefault(self.key(name), (id,))
            found.setdefault(self.key(id.replace("-", " ")), (id,))
        for ids, phrases in self._phrases:
            for phrase in phrases:
                if not any(map(is_han, phrase)):
                    found.setdefault(self.key(phrase), ids)
        return found

    @cached_property
    def _labels(self) -> frozenset[str]:
        return frozenset(map(self.fold, self.package.tables["actions"].columns["name_hans"]))

    @cached_property
    def _label_keys(self) -> frozenset[frozenset[str]]:
        return frozenset(map(self.key, self.package.tables["actions"].columns["name_en"]))

    @cached_property
    def _phrases(self) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
        known = set(self.package.tables["actions"].columns["id"])
        rows = [(tuple(ids.split(";")), tuple(phrases.split(";"))) for ids, phrases in word_rows("action_phrases.tsv")]
        return [(ids, phrases) for ids, phrases in rows if known.issuperset(ids)]

    @cached_property
    def _by_character(self) -> dict[str, tuple[str, ...]]:
        found: dict[str, tuple[str, ...]] = {}
        columns = self.package.tables["actions"].columns
        for id, name in zip(columns["id"], columns["name_hans"], strict=True):
            found.setdefault(self.fold(name), (id,))
        for ids, phrases in self._phrases:
            for phrase in phrases:
                if any(map(is_han, phrase)):
                    found.setdefault(self.fold(phrase), ids)
        return found

    @cached_property
    def _sites(self) -> dict[str, str]:
        columns = self.package.tables["sites"].columns
        found: dict[str, str] = {}
        for id, name, hans in zip(columns["id"], columns["name_en"], columns["name_hans"], strict=True):
            for key in (*self.key(name), *self.key(id)):
                if len(self.key(name)) == 1:
                    found.setdefault(key, id)
            found.setdefault(hans, id)
        return found

    def _words(self, text: str) -> tuple[list[Found], str]:
        """What a phrase in Latin letters says, and the whole of it as not understood where some of it is not."""
        key = self.key(text)
        if key in self._label_keys:
            return [(id, "") for id in self._by_key[key]], ""
        whole = [(id, "") for id in self._by_key.get(key, ())]
        parts = [part for part in _split_and(text) if self.key(part)]
        if len(parts) < 2:
            whole = whole or self._one(key)
            return whole, "" if whole else text
        found: list[Found] = []
        verb = ""
        for part in parts:
            one = self._one(self.key(part))
            if not one and verb:
                one = self._one(self.key(f"{verb} {part}"))
            if not one:
                return whole, "" if whole else text
            found += one
            verb = part.split()[0]
        return self._with(whole, found), ""

    def _with(self, whole: list[Found], parts: list[Found]) -> list[Found]:
        """The whole, and those of its parts that it does not take in: 缓急止痛 relaxes tension and stops pain."""
        return whole + [part for part in parts if not any(part[0] in self._up(id) for id, _ in whole)]

    def _up(self, action: str) -> frozenset[str]:
        """The action and all that is broader."""
        columns = self.package.tables["actions"].columns
        broader = dict(zip(columns["id"], columns["broader"], strict=True))
        found, todo = set[str](), [action]
        while todo:
            id = todo.pop()
            if id and id not in found:
                found.add(id)
                todo += broader.get(id, "").split(";")
        return frozenset(found)

    def _one(self, key: frozenset[str]) -> list[Found]:
        """The action with exactly these words, or with these and a site."""
        if key in self._by_key:
            return [(id, "") for id in self._by_key[key]]
        for word in sorted(key & self._sites.keys()):
            rest = key - {word}
            if len(rest) > 1 and rest in self._by_key:
                return [(id, self._sites[word]) for id in self._by_key[rest]]
        return []

    def _chinese(self, text: str) -> tuple[list[Found], str]:
        """What a phrase in characters says, and the characters that are not understood."""
        if any(char.isalnum() and not is_han(char) for char in text):
            return [], text
        run = "".join(char for char in text if is_han(char))
        found, left = self._greedy(run, 8)
        if len(run) == 4 and not left and run not in self._labels:
            halves, rest = self._greedy(run, 2)
            found = found if rest else self._with(found, halves)
        return found, left

    def _greedy(self, run: str, longest: int) -> tuple[list[Found], str]:
        """From the left the longest phrase that is known; 清肺热 is clearing heat with a site."""
        found: list[Found] = []
        at, left = 0, ""
        while at < len(run):
            for end in range(min(len(run), at + longest), at + 1, -1):
                if one := self._phrase(run[at:end]):
                    found += one
                    at = end
                    break
            else:
                left += "" if run[at] in _HAN_NOISE else run[at]
                at += 1
        return found, left

    def _phrase(self, part: str) -> list[Found]:
        if part in self._by_character:
            return [(id, "") for id in self._by_character[part]]
        organ = self._sites.get(part[1:2]) if len(part) in (3, 4) else None
        return [(id, organ) for id in self._by_character.get(part[:1] + part[2:], ())] if organ else []

    def _near(self, text: str) -> list[str]:
        """Up to three actions that share most words or characters."""
        if any(map(is_han, text)):
            scored = [
                (len(set(text) & set(name)) / len(set(text) | set(name)), ids[0])
                for name, ids in self._by_character.items()
            ]
        else:
            key = self.key(text)
            scored = [(len(key & other) / max(1, len(key | other)), ids[0]) for other, ids in self._by_key.items()]
        best = sorted((pair for pair in scored if pair[0] >= 0.3), reverse=True)
        return list(dict.fromkeys(id for _, id in best))[:3]


def _says(found: Iterable[Found]) -> list[Say]:
    made = [say("herb_actions", {"action": id, "site": site, "polarity": "does"}) for id, site in found]
    return list(dict.fromkeys(made))


def _stem(word: str) -> str:
    """`settles`, `settling` and `settle` alike."""
    for end in ("s", "ing", "ed", "e"):
        if word.endswith(end) and len(word) - len(end) >= 3 and not word.endswith("ss"):
            word = word[: -len(end)]
    return word


def _singular(word: str) -> str:
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def _split_and(text: str) -> list[str]:
    for sign in (" and ", " & ", "&", "+", " then ", " to "):
        text = text.replace(sign, "\n")
    return [part.strip() for part in text.split("\n") if part.strip()]
