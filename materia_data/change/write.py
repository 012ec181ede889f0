"""Write a file whole or not at all."""

from pathlib import Path


def write_whole(path: Path, text: str) -> None:
    """Write the text as UTF-8 beside the file, then put it in its place in one step. OSError: the file is as it was."""
    beside = path.with_name(path.name + ".new")
    beside.write_text(text, encoding="utf-8", newline="\n")
    beside.replace(path)
