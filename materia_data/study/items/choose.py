"""Choose items: by seed, by what they are about, by kind and difficulty, or by a blueprint; versions share no item.

Difficulty is half the likeness of the distractors and half the rarity of the fact, 0 to 1. Likeness: of a value, how
many of the medicinal's category have it; of a medicinal, how much it shares of nature, flavors and channels with the
right one. Rarity: how few of the category have the right value. A kind that has only one of the two uses that.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from random import Random

from materia_data.check.signoffs import in_words
from materia_data.materia import Materia
from materia_data.study.items.bench import Bench
from materia_data.study.items.blueprint import BlueprintError, Want
from materia_data.study.items.item import Item
from materia_data.study.items.kinds import NAMES, kind
from materia_data.study.selection import select

VERSIONS = "ABCDEFGHIJ"
_MOST = 20_000


@dataclass(frozen=True, slots=True)
class Version:
    """A letter, and the items in the order of the paper."""

    letter: str
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Quiz:
    """asked: what the items are about, or empty; title: that, for print; seed: as given; release, signed: of the data
    they are made from."""

    asked: str
    title: str
    seed: str
    release: str
    signed: str
    versions: tuple[Version, ...]


def items(
    materia: Materia,
    asked: str = "",
    *,
    wants: Sequence[Want] = (),
    kinds: Sequence[str] = (),
    count: int = 20,
    seed: str = "1",
    difficulty: tuple[float, float] = (0.0, 1.0),
    versions: int = 1,
    depth: str = "",
    course: str = "",
) -> Quiz:
    """Choose. Without wants, count items over the kinds, as evenly as the data allow.

    Raises SelectionError if nothing is asked about, BlueprintError if there are not enough items: which kind runs out,
    and by how many.
    """
    if not 1 <= versions <= len(VERSIONS):
        raise BlueprintError(f"There are 1 to {len(VERSIONS)} versions; {versions} is none of these.")
    if not 1 <= count * versions <= _MOST:
        raise BlueprintError(f"{count * versions} items are asked for; make 1 to {_MOST} at a time.")
    chance = Random(f"{seed} {asked}")
    if wants:
        papers = _by_wants(materia, asked, wants, seed, versions, depth, course)
    else:
        papers = _evenly(materia, asked, kinds or tuple(NAMES), count, seed, difficulty, versions, depth, course)
    for paper in papers:
        chance.shuffle(paper)
    return Quiz(
        asked, _title(materia, asked), seed, materia.release_id,
        in_words(materia, {one for paper in papers for item in paper for one in item.about}),
        tuple(Version(letter, tuple(paper)) for letter, paper in zip(VERSIONS, papers, strict=False)),
    )  # fmt: skip


def _title(materia: Materia, asked: str) -> str:
    row = select(materia, asked, depth="all").row if asked else {}
    return row.get("name_en") or row.get("title") or asked or "Quiz"


def _by_wants(
    materia: Materia, asked: str, wants: Sequence[Want], seed: str, versions: int, depth: str, course: str
) -> list[list[Item]]:
    papers: list[list[Item]] = [[] for _ in range(versions)]
    used: set[str] = set()
    short = []
    benches: dict[str, Bench] = {}
    for want in wants:
        of = want.of or asked
        benches[of] = benches.get(of) or _bench(materia, of, depth, course)
        stream = _stream(benches[of], want.kind, f"{seed} {of}", want.difficulty)
        got = _take(stream, want.count * versions, used)
        if len(got) < want.count * versions:
            about = f" of {of}" if of else ""
            missing = want.count * versions - len(got)
            short.append(f"{want.kind}{about} runs out after {len(got)}: {missing} more are needed")
        for place, item in enumerate(got):
            papers[place % versions].append(item)
    if short:
        raise BlueprintError(f"The blueprint cannot be met. {'; '.join(short)}. Ask for fewer, or widen what it is of.")
    return papers


def _evenly(
    materia: Materia, asked: str, kinds: Sequence[str], count: int, seed: str, difficulty: tuple[float, float],
    versions: int, depth: str, course: str,
) -> list[list[Item]]:  # fmt: skip
    bench = _bench(materia, asked, depth, course)
    streams = {one: _stream(bench, one, f"{seed} {asked}", difficulty) for one in kinds}
    got: list[Item] = []
    used: set[str] = set()
    while streams and len(got) < count * versions:
        for one in list(streams):
            taken = _take(streams[one], 1, used) if len(got) < count * versions else [None]
            if not taken:
                del streams[one]
            elif taken[0] is not None:
                got.append(taken[0])
    if len(got) < count * versions:
        tally = Counter(item.kind for item in got)
        said = ", ".join(f"{one} {tally[one]}" for one in kinds)
        raise BlueprintError(
            f"{count * versions} items are asked for and {len(got)} can be made ({said}). "
            "Ask for fewer, for more kinds, or about more."
        )
    return [got[place::versions] for place in range(versions)]


def _bench(materia: Materia, asked: str, depth: str, course: str) -> Bench:
    chosen = select(materia, asked, depth=depth or "all", course=course).chosen if asked else materia.facts.subjects
    return Bench(materia, tuple(chosen), Random())


def _stream(bench: Bench, kind_name: str, seed: str, difficulty: tuple[float, float]) -> Iterator[Item]:
    """Items of one kind, each subject's first before any subject's second."""
    chance = Random(f"{seed} {kind_name}")
    bench = replace(bench, chance=chance)
    maker = kind(kind_name)
    frames = list(maker.frames(bench))
    chance.shuffle(frames)
    seen: Counter[str] = Counter()
    rounds = []
    for frame in frames:
        first = frame[1] if frame[0] == "dose" else frame[0]
        rounds.append((seen[first], frame))
        seen[first] += 1
    rounds.sort(key=lambda one: one[0])
    low, high = difficulty
    for _, frame in rounds:
        item = maker.make(bench, frame)
        if item is not None and low <= item.difficulty <= high:
            yield item


def _take(stream: Iterator[Item], count: int, used: set[str]) -> list[Item]:
    taken: list[Item] = []
    while len(taken) < count:
        item = next(stream, None)
        if item is None:
            break
        asked = f"{item.kind} {item.stem} {item.options[item.key].text}"
        if asked not in used:
            used.add(asked)
            taken.append(item)
    return taken
