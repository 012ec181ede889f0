"""A value as it may stand in a sentence."""

_LONGEST = 60


def shown(value: str) -> str:
    """The value with what cannot be seen written as `\\u200b`, cut at 60 characters."""
    visible = (
        value
        if value.isprintable()
        else "".join(char if char.isprintable() else _escaped(char) for char in value[: _LONGEST + 1])
    )
    return visible if len(visible) <= _LONGEST else visible[: _LONGEST - 1] + "…"


def _escaped(char: str) -> str:
    number = ord(char)
    return f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}"
