"""Names in Latin letters that are no readings, such as Latin and English ones, as words."""

import re
import unicodedata

_WORD = re.compile(r"[^\W_]+")
SMALL = frozenset({"of", "the", "a", "an", "et", "seu", "cum", "and", "or", "from"})


def words_of(text: str) -> list[str]:
    """Small letters without accents; an apostrophe inside a word falls out, and so do words such as `of` and `et`."""
    bare = unicodedata.normalize("NFD", re.sub(r"[’'`]", "", text.casefold()))
    bare = "".join(char for char in bare if not unicodedata.combining(char))
    return [word for word in _WORD.findall(bare) if word not in SMALL]
