"""A blueprint: so many items of each kind, of which categories, how hard. A short TOML file of ours."""

import tomllib
from dataclasses import dataclass

from materia_data.study.items.kinds import NAMES
from materia_data.suggest import did_you_mean

_MOST = 64 * 1024
_WORDS = ("kind", "count", "of", "difficulty")


class BlueprintError(ValueError):
    """The blueprint cannot be read, or cannot be met: says where, what, and what to do."""


@dataclass(frozen=True, slots=True)
class Want:
    """count: how many; kind: of which kind; of: a category, group, unit or pattern, or empty for all that is asked
    about; difficulty: from, to, each 0 to 1."""

    kind: str
    count: int
    of: str = ""
    difficulty: tuple[float, float] = (0.0, 1.0)


def read_blueprint(text: str) -> tuple[Want, ...]:
    """Read `[[want]]` blocks. Raises BlueprintError naming the block."""
    if len(text.encode()) > _MOST:
        raise BlueprintError("The blueprint is larger than 64 KiB, which no blueprint needs.")
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BlueprintError(f"The blueprint is no TOML: {error}.") from None
    other = sorted(document.keys() - {"want"})
    blocks = document.get("want")
    if other or not isinstance(blocks, list) or not blocks:
        found = f"{other[0]} is not one of them" if other else "there is none"
        raise BlueprintError(f"A blueprint is [[want]] blocks with kind and count; {found}.")
    return tuple(_want(number, block) for number, block in enumerate(blocks, 1))


def _want(number: int, block: object) -> Want:
    where = f"[[want]] {number}"
    if not isinstance(block, dict):
        raise BlueprintError(f"{where} is no block.")
    if other := sorted(block.keys() - set(_WORDS)):
        raise BlueprintError(f"{where}: {other[0]} is not known. {did_you_mean(other[0], _WORDS)}".strip())
    kind, count, of, hard = (block.get(word) for word in _WORDS)
    if not isinstance(kind, str) or kind not in NAMES:
        raise BlueprintError(f"{where}: there is no kind {kind}. {did_you_mean(str(kind), NAMES)}".strip())
    if type(count) is not int or not 1 <= count <= 10_000:
        raise BlueprintError(f"{where}: count is {count}; write a whole number from 1 to 10000.")
    if of is not None and not isinstance(of, str):
        raise BlueprintError(f"{where}: of takes a category, unit or pattern in quotes.")
    return Want(kind, count, of or "", _range(where, hard))


def _range(where: str, hard: object) -> tuple[float, float]:
    if hard is None:
        return 0.0, 1.0
    numbers = hard if isinstance(hard, list) and all(isinstance(one, int | float) for one in hard) else []
    if len(numbers) != 2 or not 0 <= numbers[0] <= numbers[1] <= 1:
        raise BlueprintError(f"{where}: difficulty is two numbers from 0 to 1, such as [0.3, 0.7].")
    return float(numbers[0]), float(numbers[1])
