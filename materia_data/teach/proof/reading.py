"""From a file of notes, slides' text or captions to sentences with the lines they begin on."""

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from materia_data.teach.proof.docx import docx_paragraphs
from materia_data.teach.proof.proof_error import ProofError

KINDS = (".md", ".markdown", ".txt", ".srt", ".vtt", ".docx")
_MOST = 10_000_000
_LONGEST = 1000
_CHUNK, _WRAPPED, _TAIL = 400, 50, 12
_TIME = re.compile(r"^\s*(?:\d+:)?\d+:\d+[.,]\d+\s*-->")
_TAG = re.compile(r"</?[A-Za-z][^<>]{0,80}>|<\d[\d:.]*>|\{\\[^{}]{0,40}\}")
_BULLET = re.compile(r"^\s*(?:[-*+•]|\d{1,3}[.)])\s+(?:\[[ xX]\]\s+)?|^\s*#{1,6}\s+")
_RULE = re.compile(r"^\s*(?:[-*_=]\s*){3,}$|^\s*\|?\s*:?-{2,}")
_SPEAKER = re.compile(r"^(?:>>|-\s|[A-Z][A-Z .]{1,20}:)\s*")
_END = re.compile(r"(?<=[。！？])|(?<=[.!?])(?=[\"”'’)]?\s)|(?<=[.!?][\"”'’)])(?=\s)")
_SHORTENED = re.compile(r"\b(?:e\.g|i\.e|approx|ca|vs|dr|cf|fig|resp|incl|max|min|[A-Z])\.$", re.IGNORECASE)
_PRIVATE = re.compile("[\ue000-\uf8ff\x00-\x08\x0b-\x1f\x7f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]")
_HEADING = re.compile(r"#{1,6}\s")
_GOING_ON = re.compile(
    r"\s*(?:is|are|and|or|nor|but|which|that|with|of|to|in|for|by|as|than|not|enters|goes|does)\b", re.IGNORECASE
)
_HALF_SAID = re.compile(
    r"[,，、-]$|\b(?:is|are|and|or|nor|the|a|an|of|to|in|for|by|with|not|enters|does)$", re.IGNORECASE
)
_COUNT = re.compile(r"^\s*\d{1,3}\.$")
_INLINE = re.compile(r"\*\*|__|`|~~|(?<![\w*])[*_](?=\S)|(?<=\S)[*_](?![\w*])")
_LINK = re.compile(r"!?\[([^\]\[]{0,300})\]\([^()]{0,300}\)")


@dataclass(frozen=True, slots=True)
class Sentence:
    """line: on which it begins, from 1 (of a DOCX the paragraph); block: a paragraph, list item or run of captions;
    quoted: somebody else's words; heading: it stands over what follows; of: the first cell of its row in a table;
    breaks: where in the text each further line begins, and its number; text: at most 1,000 characters."""

    line: int
    text: str
    block: int
    quoted: bool = False
    heading: bool = False
    of: str = ""
    breaks: tuple[tuple[int, int], ...] = ()

    def line_at(self, place: int) -> int:
        """The line of the file on which this character of the text stands."""
        return next((line for start, line in reversed(self.breaks) if start <= place), self.line)


@dataclass(slots=True)
class _Block:
    """Lines that belong together, with their numbers."""

    lines: list[tuple[int, str]]
    quoted: bool = False
    heading: bool = False
    of: str = ""


def read_sentences(path: Path) -> tuple[Sentence, ...]:
    """The sentences of a Markdown, plain text, SRT, VTT or DOCX file of up to 10 MB. ProofError: it cannot be read."""
    kind = path.suffix.casefold()
    if not path.is_file():
        what = f"{path} is a folder" if path.is_dir() else f"there is no file {path}"
        raise ProofError(f"{what}. Name a file of notes or captions.")
    if kind not in KINDS:
        raise ProofError(f"{path} is of no kind that can be read. Save it as one of {', '.join(KINDS)}.")
    raw = _raw(path)
    if kind == ".docx":
        blocks: Iterable[_Block] = (
            _Block([(number, text)], heading=heading) for number, text, heading in docx_paragraphs(str(path), raw)
        )
    else:
        lines = _text(path, raw).split("\n")
        blocks = {".srt": _captions, ".vtt": _captions, ".txt": _plain}.get(kind, _markdown)(lines)
    found = tuple(_sentences(blocks))
    if not found:
        raise ProofError(f"{path} holds no text. Check that it was saved.")
    return found


def sentences_of(text: str) -> tuple[Sentence, ...]:
    """The sentences of a plain text."""
    return tuple(_sentences(_plain(text.split("\n"))))


def _raw(path: Path) -> bytes:
    try:
        with path.open("rb") as stream:
            raw = stream.read(_MOST + 1)
    except OSError as error:
        raise ProofError(f"{path} cannot be read: {error.strerror}.") from None
    if len(raw) > _MOST:
        raise ProofError(f"{path} is larger than 10 MB. Save the text alone, or split it.")
    return raw


def _text(path: Path, raw: bytes) -> str:
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise ProofError(f"{path} is not in UTF-8 (line {line}). Save it again with that encoding.") from None
    if "\0" in text:
        raise ProofError(f"{path} holds binary data. Save the text alone.")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _captions(lines: list[str]) -> Iterator[_Block]:
    """Cues joined, with neither time codes nor their numbers; a note of VTT is no speech; a new speaker begins anew."""
    kept: list[tuple[int, str]] = []
    before, noting = "", False
    for number, line in enumerate(lines, 1):
        following = lines[number] if number < len(lines) else ""
        if not line.strip():
            noting = False
        elif line.startswith(("WEBVTT", "NOTE", "STYLE", "REGION")) and not before.strip():
            noting = True
        elif not noting and not _TIME.match(line) and not _TIME.match(following):
            said = _TAG.sub("", line).strip()
            if kept and _SPEAKER.match(said):
                yield _Block(kept)
                kept = []
            kept.append((number, _SPEAKER.sub("", said)))
        before = line
    yield _Block(kept)


def _plain(lines: list[str]) -> Iterator[_Block]:
    """Paragraphs; an empty line, a bullet and a line that was not wrapped end one."""
    kept: list[tuple[int, str]] = []
    for number, line in enumerate(lines, 1):
        if kept and (not line.strip() or _BULLET.match(line) or not _goes_on(kept[-1][1], line)):
            yield _Block(kept)
            kept = []
        if line.strip():
            kept.append((number, _BULLET.sub("", line)))
    yield _Block(kept)


def _goes_on(line: str, following: str) -> bool:
    """Whether a line break is only that of a wrapped line: it was long, or ended in the middle of something."""
    line = line.rstrip()
    wide = sum(1 + (char > "\u2e80") for char in line)
    return wide >= _WRAPPED or bool(_GOING_ON.match(following) or _HALF_SAID.search(line))


def _markdown(lines: list[str]) -> Iterator[_Block]:
    """The same without front matter, code and comments; headings stand alone, cells of tables are read with the name
    of their column, block quotes are quotations."""
    kept: list[tuple[int, str]] = []
    columns: list[str] = []
    quoted, fenced, comment, front = False, "", False, lines[:1] == ["---"]
    for number, line in enumerate(lines, 1):
        bare = line.strip()
        if front:
            front = number == 1 or bare not in ("---", "...")
            continue
        if fenced or bare.startswith(("```", "~~~")):
            fenced = "" if fenced and bare.startswith(fenced) else fenced or bare[:3]
            continue
        comment = comment or "<!--" in line
        if comment:
            comment = "-->" not in line
            continue
        quote, heading, table = bare.startswith(">"), bool(_HEADING.match(bare)), bare.startswith("|")
        breaks = not bare or heading or table or quote != quoted or _BULLET.match(line)
        if kept and (breaks or not _goes_on(kept[-1][1], line)):
            yield _Block(kept, quoted)
            kept = []
        quoted, columns = quote, columns if table else []
        if table:
            cells = [_unmarked(cell) for cell in bare.strip("|").split("|")]
            if columns and not _RULE.match(line):
                yield from _row(number, columns, cells)
            columns = columns or cells
        elif heading:
            yield _Block([(number, _unmarked(line).rstrip("# "))], heading=True)
        elif bare and not _RULE.match(line):
            kept.append((number, _unmarked(line)))
    yield _Block(kept, quoted)


def _row(number: int, columns: list[str], cells: list[str]) -> Iterator[_Block]:
    """A row of a table: its first cell names whom the others speak of."""
    yield _Block([(number, cells[0])])
    for column, cell in zip(columns[1:], cells[1:], strict=False):
        if cell:
            yield _Block([(number, f"{column}: {cell}" if column else cell)], of=cells[0])


def _unmarked(line: str) -> str:
    text = _BULLET.sub("", re.sub(r"^\s*>[>\s]*", "", line))
    return _INLINE.sub("", _LINK.sub(r"\1", _TAG.sub("", text))).strip()


def _sentences(blocks: Iterable[_Block]) -> Iterator[Sentence]:
    for place, block in enumerate(blocks):
        whole, starts = _joined(block.lines)
        numbers = [number for number, _ in block.lines]
        at = 0
        for piece in _pieces(whole):
            for part in _chunks(piece, at, starts):
                text = part.strip()
                begins = at + len(part) - len(part.lstrip())
                at += len(part)
                if any(map(str.isalnum, text)):
                    first, last = bisect_right(starts, begins), bisect_left(starts, at)
                    further = zip(starts[first:last], numbers[first:last], strict=True)
                    breaks = tuple((start - begins, number) for start, number in further)
                    line = numbers[max(first - 1, 0)]
                    yield Sentence(line, text, place, block.quoted, block.heading, block.of, breaks)


def _joined(lines: list[tuple[int, str]]) -> tuple[str, list[int]]:
    """The lines as one text, and where in it each begins; Chinese lines join without a space."""
    parts: list[str] = []
    starts: list[int] = []
    length, last = 0, ""
    for _, raw in lines:
        line = _PRIVATE.sub("", raw).strip()
        if last and not (last > "\u2e80" and line[:1] > "\u2e80"):
            parts.append(" ")
            length += 1
        starts.append(length)
        parts.append(line)
        length, last = length + len(line), line[-1:] or last
    return "".join(parts), starts


def _chunks(piece: str, at: int, starts: list[int]) -> Iterator[str]:
    """A run without a full stop, as captions often are, cut where a line begins, or else between words."""
    begin = 0
    if len(piece) > _CHUNK:
        for start in starts[bisect_right(starts, at) : bisect_left(starts, at + len(piece))]:
            if begin + _CHUNK // 2 < start - at:
                yield piece[begin : start - at]
                begin = start - at
    while len(piece) - begin > _LONGEST:
        end = max(piece.rfind(mark, begin, begin + _LONGEST) for mark in (" ", "，", "、"))
        end = begin + _LONGEST if end <= begin else end + 1
        yield piece[begin:end]
        begin = end
    yield piece[begin:]


def _pieces(text: str) -> Iterator[str]:
    kept = ""
    for piece in _END.split(text):
        kept += piece
        if not _SHORTENED.search(kept[-_TAIL:].rstrip()) and not _COUNT.match(kept):
            yield kept
            kept = ""
    yield kept
