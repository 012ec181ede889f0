"""Words of which English has two spellings, and the one that the data use."""

from functools import cache
from importlib import resources


@cache
def spellings() -> dict[str, str]:
    """From the spelling not used to the one used, in small letters: that of the WHO terminology (edema, diarrhea)."""
    text = resources.files(__name__).joinpath("words.tsv").read_text(encoding="utf-8")
    return dict(line.split("\t") for line in text.splitlines()[1:])
