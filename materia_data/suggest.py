"""The nearest known words to one that is not known."""

from collections.abc import Iterable
from difflib import get_close_matches


def nearest(word: str, words: Iterable[str], n: int = 3) -> list[str]:
    """Up to n of the words most like the given one, best first; `-` and `_` count as the same character."""
    spelled = {known.replace("_", "-").lower(): known for known in words}
    return [spelled[close] for close in get_close_matches(word.replace("_", "-").lower(), spelled, n=n, cutoff=0.6)]


def did_you_mean(word: str, words: Iterable[str]) -> str:
    """`Did you mean x, y or z?`, or the empty string where nothing is near."""
    near = nearest(word, words)
    if not near:
        return ""
    listed = near[0] if len(near) == 1 else f"{', '.join(near[:-1])} or {near[-1]}"
    return f"Did you mean {listed}?"
