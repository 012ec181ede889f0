"""From a file of notes, slides' text or captions to sentences with the lines they begin on."""

import re
import xml.etree.ElementTree as xml
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

KINDS = (".md", ".markdown", ".txt", ".srt", ".vtt", ".docx")
_MOST = 10_000_000
_LONGEST = 1000
_W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_TIME = re.compile(r"^\s*(?:\d+:)?\d+:\d+[.,]\d+\s*-->")
_TAG = re.compile(r"</?[A-Za-z][^<>]{0,80}>|<\d[\d:.]*>|\{\\[^{}]{0,40}\}")
_BULLET = re.compile(r"^\s*(?:[-*+•]|\d{1,3}[.)])\s+(?:\[[ xX]\]\s+)?|^\s*#{1,6}\s+")
_RULE = re.compile(r"^\s*(?:[-*_=]\s*){3,}$|^\s*\|?\s*:?-{2,}")
_SPEAKER = re.compile(r"^(?:>>|-\s|[A-Z][A-Z .]{1,20}:)\s*")
_END = re.compile(r"(?<=[。！？])|(?<=[.!?])(?=[\"”'’)]?\s)|(?<=[.!?][\"”'’)])(?=\s)")
_SHORTENED = re.compile(r"\b(?:e\.g|i\.e|approx|ca|vs|dr|cf|fig|resp|incl|max|min|[A-Z])\.$", re.IGNORECASE)
_PRIVATE = re.compile("[\ue000-\uf8ff\x00-\x08\x0b-\x1f\x7f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]")
_COUNT = re.compile(r"^\s*\d{1,3}\.$")
_INLINE = re.compile(r"\*\*|__|`|~~|(?<![\w*])[*_](?=\S)|(?<=\S)[*_](?![\w*])")
_LINK = re.compile(r"!?\[([^\]\[]{0,300})\]\([^()]{0,300}\)")

Block = tuple[list[tuple[int, str]], bool]


class ProofError(ValueError):
    """A file that cannot be read: the text says what, and what to do."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """line: on which it begins, from 1 (of a DOCX the paragraph); block: a paragraph, list item or run of captions;
    quoted: somebody else's words; text: at most 1,000 characters."""

    line: int
    text: str
    block: int
    quoted: bool = False


def read_sentences(path: Path) -> tuple[Sentence, ...]:
    """The sentences of a Markdown, plain text, SRT, VTT or DOCX file of up to 10 MB. ProofError: it cannot be read."""
    kind = path.suffix.casefold()
    if not path.is_file():
        raise ProofError(f"there is no file {path}. Name a file of notes or captions.")
    if kind not in KINDS:
        raise ProofError(f"{path} is of no kind that can be read. Save it as one of {', '.join(KINDS)}.")
    if path.stat().st_size > _MOST:
        raise ProofError(f"{path} is larger than 10 MB. Save the text alone, or split it.")
    if kind == ".docx":
        blocks: Iterable[Block] = (([(n, text)], False) for n, text in enumerate(_paragraphs(path), 1))
    else:
        lines = _text(path).split("\n")
        blocks = {".srt": _captions, ".vtt": _captions, ".txt": _plain}.get(kind, _markdown)(lines)
    found = tuple(_sentences(blocks))
    if not found:
        raise ProofError(f"{path} holds no text. Check that it was saved.")
    return found


def sentences_of(text: str) -> tuple[Sentence, ...]:
    """The sentences of a plain text."""
    return tuple(_sentences(_plain(text.split("\n"))))


def _text(path: Path) -> str:
    raw = path.read_bytes()
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError:
        raise ProofError(f"{path} is not in UTF-8. Save it again with that encoding.") from None
    if "\0" in text:
        raise ProofError(f"{path} holds binary data. Save the text alone.")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _paragraphs(path: Path) -> list[str]:
    """The text of each paragraph; only the one part is unpacked, with a limit, and a document type is refused."""
    try:
        with zipfile.ZipFile(path) as packed, packed.open("word/document.xml") as stream:
            raw = stream.read(4 * _MOST + 1)
        if len(raw) > 4 * _MOST:
            raise ProofError(f"{path} holds more than 40 MB of text. Split it.")
        if b"<!DOCTYPE" in raw or b"<!ENTITY" in raw:
            raise ProofError(f"{path} declares a document type, as no word processor does. Save it again as DOCX.")
        tree = xml.fromstring(raw)
    except ProofError:
        raise
    except Exception:  # zipfile, zlib and the XML parser each have errors of their own for damaged files
        raise ProofError(f"{path} is no DOCX that can be read. Save it again, or as plain text.") from None
    return ["".join(_runs(paragraph)) for paragraph in tree.iter(f"{_W}p")]


def _runs(paragraph: xml.Element) -> Iterator[str]:
    for part in paragraph.iter():
        if part.tag == f"{_W}t":
            yield part.text or ""
        elif part.tag in (f"{_W}tab", f"{_W}br"):
            yield " "


def _captions(lines: list[str]) -> Iterator[Block]:
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
                yield kept, False
                kept = []
            kept.append((number, _SPEAKER.sub("", said)))
        before = line
    yield kept, False


def _plain(lines: list[str]) -> Iterator[Block]:
    """Paragraphs parted by empty lines; a bullet begins one of its own."""
    kept: list[tuple[int, str]] = []
    for number, line in enumerate(lines, 1):
        if kept and (not line.strip() or _BULLET.match(line)):
            yield kept, False
            kept = []
        if line.strip():
            kept.append((number, _BULLET.sub("", line)))
    yield kept, False


def _markdown(lines: list[str]) -> Iterator[Block]:
    """The same without front matter, code and comments; headings and rows of tables stand alone, block quotes are
    quotations."""
    kept: list[tuple[int, str]] = []
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
        quote, alone = bare.startswith(">"), bare.startswith(("#", "|"))
        if kept and (not bare or alone or quote != quoted or _BULLET.match(line)):
            yield kept, quoted
            kept = []
        quoted = quote
        if bare and not _RULE.match(line):
            kept.append((number, _unmarked(line)))
        if kept and alone:
            yield kept, quoted
            kept = []
    yield kept, quoted


def _unmarked(line: str) -> str:
    text = _BULLET.sub("", re.sub(r"^\s*>[>\s]*", "", line))
    text = _INLINE.sub("", _LINK.sub(r"\1", _TAG.sub("", text)))
    return re.sub(r"\s*\|\s*", " ; ", text.strip().strip("|")) if line.strip().startswith("|") else text


def _sentences(blocks: Iterable[Block]) -> Iterator[Sentence]:
    for block, (lines, quoted) in enumerate(blocks):
        whole, starts = "", []
        for number, line in lines:
            joint = "" if not whole or (whole[-1] > "\u2e80" and line.lstrip()[:1] > "\u2e80") else " "
            starts.append((len(whole) + len(joint), number))
            whole += joint + _PRIVATE.sub("", line).strip()
        at = 0
        for piece in _pieces(whole):
            text = piece.strip()
            begins = at + len(piece) - len(piece.lstrip())
            at += len(piece)
            if text:
                first = next((number for start, number in reversed(starts) if start <= begins), starts[0][1])
                yield Sentence(first, text[:_LONGEST], block, quoted)


def _pieces(text: str) -> Iterator[str]:
    kept = ""
    for piece in _END.split(text):
        kept += piece
        if not _SHORTENED.search(kept.rstrip()) and not _COUNT.match(kept):
            yield kept
            kept = ""
    yield kept
