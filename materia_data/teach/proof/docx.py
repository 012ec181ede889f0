"""The paragraphs of a DOCX, read with the standard library alone and never trusting what the archive says of itself.

Source of the format: ECMA-376 part 1 (WordprocessingML): text in `w:t`, paragraphs `w:p`, styles `w:pStyle`.
"""

import io
import zipfile
from collections.abc import Iterator
from xml.parsers import expat

from materia_data.teach.proof.proof_error import ProofError

_LARGEST = 40 * 1024 * 1024
_PART = "word/document.xml"
_STEP = 64 * 1024
_WORD = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
_STRICT = "http://purl.oclc.org/ooxml/wordprocessingml/main"


def docx_paragraphs(name: str, content: bytes) -> Iterator[tuple[int, str, bool]]:
    """Each paragraph's number from 1, its text, and whether it is a heading. Raises ProofError."""
    reader = _Reader()
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive, archive.open(_PART) as part:
            read = 0
            while chunk := part.read(_STEP):
                read += len(chunk)
                if read > _LARGEST:
                    raise ProofError(f"{name} unpacks to more than 40 MB of text. Save the text alone, as .txt.")
                reader.parser.Parse(chunk, False)
            reader.parser.Parse(b"", True)
    except KeyError:
        raise ProofError(f"{name} holds no Word text ({_PART}). Save it again as .docx, or as .txt.") from None
    except expat.ExpatError as error:
        raise ProofError(f"{name} is damaged: its text breaks off or is no XML ({error}). Save it again.") from None
    except ProofError:
        raise
    except Exception as error:  # zipfile and what it unpacks with have many errors of their own for damaged files
        raise ProofError(f"{name} is no DOCX, or a damaged one: {error}. Save it again as .docx, or as .txt.") from None
    return iter(reader.paragraphs)


class _Reader:
    """Gathers paragraphs; a document type, which could name other files or swell, is refused."""

    def __init__(self) -> None:
        self.paragraphs: list[tuple[int, str, bool]] = []
        self._text: list[str] = []
        self._number, self._heading, self._inside = 0, False, False
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._characters
        self.parser.StartDoctypeDeclHandler = self._doctype

    def _doctype(self, *_: object) -> None:
        raise ProofError("the DOCX declares a document type, which no Word file has. Save it again as .docx.")

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        space, _, local = tag.rpartition(" ")
        if space not in (_WORD, _STRICT):
            return
        if local == "p":
            self._number += 1
            self._text, self._heading = [], False
        elif local == "t":
            self._inside = True
        elif local in ("tab", "br", "cr"):
            self._text.append(" ")
        elif local == "noBreakHyphen":
            self._text.append("-")
        elif local == "pStyle":
            style = next((value for key, value in attributes.items() if key.endswith(" val")), "")
            self._heading = style.lower().startswith(("heading", "title", "berschrift", "标题", "1", "2", "3"))

    def _end(self, tag: str) -> None:
        space, _, local = tag.rpartition(" ")
        if space not in (_WORD, _STRICT):
            return
        if local == "t":
            self._inside = False
        elif local == "p":
            text = "".join(self._text).strip()
            if text:
                self.paragraphs.append((self._number, text, self._heading))
            self._text = []

    def _characters(self, text: str) -> None:
        if self._inside:
            self._text.append(text)
