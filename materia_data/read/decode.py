"""Bytes of a file to text with LF line ends, and what was wrong with them."""

import re

from materia_data.problem import Problem
from materia_data.read.files import file_problem

_BOM = b"\xef\xbb\xbf"
_PAIR = re.compile(rb"[\x80-\xff][\x40-\xff]")


def decode(data: bytes, path: str) -> tuple[str, list[Problem]]:
    """The text, and a problem for each thing about the bytes that is not UTF-8 with LF line ends.

    Another encoding is named if it can be told, and read as such, so that the rest can be checked in the same pass.
    """
    if data[:2] in (b"\xff\xfe", b"\xfe\xff") or (b"\0" in data and data.count(0) * 3 > len(data)):
        return _utf_16(data, path)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        return _other_encoding(data, path, error)
    return _line_ends(text, path)


def _line_ends(text: str, path: str) -> tuple[str, list[Problem]]:
    problems: list[Problem] = []
    if text.startswith("\ufeff"):
        problems.append(
            file_problem(
                path,
                "byte-order-mark",
                "The file begins with a byte order mark.",
                "Save it as UTF-8 without BOM.",
                line=1,
            )
        )
        text = text[1:]
    if "\r" in text:
        if "\r\n" in text:
            line = text.count("\n", 0, text.index("\r\n")) + 1
            message = "Lines end with CR LF."
            problems.append(file_problem(path, "crlf-line-ends", message, "Save it with LF line ends.", line=line))
            text = text.replace("\r\n", "\n")
        if "\n" not in text and "\r" in text:
            message = "The lines end with CR alone."
            problems.append(file_problem(path, "cr-line-ends", message, "Save it with LF line ends.", line=1))
            text = text.replace("\r", "\n")
    if text and text[-1] != "\n":
        message = "The last line does not end with a line feed; the file may have been cut short."
        tip = "See whether something is missing at the end, then end the line."
        problems.append(file_problem(path, "unfinished-last-line", message, tip, line=text.count("\n") + 1))
        text += "\n"
    return text, problems


def _utf_16(data: bytes, path: str) -> tuple[str, list[Problem]]:
    codec = "utf-16-le" if data[:2] == b"\xff\xfe" or data[1:2] == b"\0" else "utf-16-be"
    text, problems = _line_ends(data.decode(codec, "replace").removeprefix("\ufeff"), path)
    found = file_problem(path, "not-utf-8", "The file is UTF-16, not UTF-8.", "Save it as UTF-8 without BOM.", line=1)
    return text, [found, *problems]


def _other_encoding(data: bytes, path: str, error: UnicodeDecodeError) -> tuple[str, list[Problem]]:
    line = data.count(b"\n", 0, error.start) + 1
    name, codec = _guess(data)
    if codec:
        text, problems = _line_ends(data.decode(codec), path)
        found = file_problem(
            path,
            "not-utf-8",
            f"The file is not UTF-8; it looks like {name}.",
            f"Save it as UTF-8; open it as {name}.",
            line=line,
        )
        return text, [found, *problems]
    text, problems = _line_ends(data.decode("utf-8", "replace"), path)
    bad = [number for number, part in enumerate(data.split(b"\n"), 1) if not _is_utf_8(part)]
    return text, [
        file_problem(
            path, "not-utf-8", "This line holds bytes that are not UTF-8.", "Type the damaged cell again.", line=number
        )
        for number in bad
    ] + problems


def _guess(data: bytes) -> tuple[str, str]:
    """Name and codec of a Chinese encoding, if most lines beyond ASCII fail as UTF-8 (some pairs pass
    by chance) and the whole is valid in it."""
    beyond = [part for part in data.split(b"\n") if not part.isascii()]
    if sum(map(_is_utf_8, beyond)) * 4 > len(beyond):
        return "", ""
    pairs = [pair for part in beyond for pair in _PAIR.findall(part)]
    low = sum(pair[1] < 0xA1 for pair in pairs)
    order = (
        [("Big5", "big5hkscs"), ("GBK", "gb18030")]
        if low * 8 > len(pairs)
        else [("GBK", "gb18030"), ("Big5", "big5hkscs")]
    )
    for name, codec in order:
        try:
            text = data.decode(codec)
        except UnicodeDecodeError:
            continue
        if sum("\u4e00" <= char <= "\u9fff" for char in text) * 2 > sum(not char.isascii() for char in text):
            return name, codec
    return "", ""


def _is_utf_8(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True
