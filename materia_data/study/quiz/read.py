"""Read a quiz: CSV with a header, a QTI package (.zip), or one QTI item (.xml), 3.0 or 2.x."""

import csv
import io
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from string import ascii_uppercase
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from materia_data.study.items.item import read_claim
from materia_data.study.items.kinds import NAMES
from materia_data.study.quiz.asked import Asked, QuizFileError

_LARGEST = 50 * 1024 * 1024
_LETTERS = "abcdefgh"
_HEADER = "a column `stem` (or `question`), columns `a`, `b` and so on for the options, and `answer` (or `key`)"


def read_quiz(path: Path) -> tuple[Asked, ...]:
    """The questions in their order. Raises QuizFileError; OSError if the file cannot be opened."""
    if path.suffix.lower() not in (".csv", ".zip", ".xml"):
        raise QuizFileError(f"{path.name} ends in none of .csv, .zip, .xml, which say how to read it.")
    if path.stat().st_size > _LARGEST:
        raise QuizFileError(f"{path.name} is larger than 50 MB, which no quiz needs.")
    content = path.read_bytes()
    if path.suffix.lower() == ".csv":
        found = tuple(_csv(path.name, content))
    else:
        files = item_files(path)
        rests = _rests(files)
        found = tuple(
            _item(name, root, rests) for name, text in files.items() if (root := parsed(name, text)) is not None
            and _local(root) == "assessment-item"
        )  # fmt: skip
    if not found:
        raise QuizFileError(f"{path.name} holds no question. A CSV has {_HEADER}; a package has QTI items.")
    return found


def item_files(path: Path) -> dict[str, bytes]:
    """The XML files of a package by name, or the one file. QuizFileError: no package, or it unpacks to too much."""
    if path.suffix.lower() == ".xml":
        return {path.name: path.read_bytes()}
    files, read = {}, 0
    try:
        with zipfile.ZipFile(path) as archive:
            for entry in archive.infolist():
                if not entry.filename.lower().endswith(".xml"):
                    continue
                with archive.open(entry) as part:
                    files[entry.filename] = part.read(_LARGEST - read + 1)
                read += len(files[entry.filename])
                if read > _LARGEST:
                    raise QuizFileError(f"{path.name} unpacks to more than 50 MB. Split it.")
    except QuizFileError:
        raise
    except Exception as error:  # zipfile and what it unpacks with have many errors of their own for damaged files
        raise QuizFileError(f"{path.name} is no package, or a damaged one: {error}.") from None
    return files


def parsed(name: str, text: bytes) -> Element:
    """The root of an XML file. QuizFileError: it is no XML, or declares what it could blow up with."""
    if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
        raise QuizFileError(f"{name} has a document type, which QTI does not use. Save it without.")
    try:
        return ElementTree.fromstring(text)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        raise QuizFileError(f"{name} is no XML: {error}.") from None


def _csv(name: str, content: bytes) -> Iterator[Asked]:
    try:
        rows = csv.DictReader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True)
        names = {(column or "").strip().lower(): column for column in rows.fieldnames or ()}
        stem = next((name for name in ("stem", "question") if name in names), None)
        key = next((name for name in ("answer", "key") if name in names), None)
        letters = [letter for letter in _LETTERS if letter in names]
        if stem is None or key is None or len(letters) < 2:
            raise QuizFileError(f"{name} has no header of a quiz: it needs {_HEADER}.")
        for row in rows:
            cells = {column: _plain(row.get(written) or "") for column, written in names.items()}
            options = tuple(cells[letter] for letter in letters if cells[letter])
            if cells[stem] or options:
                yield _row(f"line {rows.line_num}", cells, cells[stem], options, cells[key])
    except UnicodeDecodeError:
        raise QuizFileError(f"{name} is no UTF-8 text. Save it as CSV UTF-8.") from None
    except csv.Error as error:
        raise QuizFileError(f"{name} is no CSV: {error}.") from None


def _plain(cell: str) -> str:
    """The cell without the apostrophe that keeps a spreadsheet from reckoning."""
    cell = cell.strip()
    return cell[1:] if cell[:1] == "'" and cell[1:2] in ("=", "+", "-", "@") else cell


def _row(place: str, cells: Mapping[str, str], stem: str, options: tuple[str, ...], key: str) -> Asked:
    said = [part.strip() for part in key.replace(",", ";").split(";")] if key not in options else [key]
    keys = tuple(
        at for at, option in enumerate(options)
        if any(one in (ascii_uppercase[at], ascii_uppercase[at].lower(), str(at + 1), option) for one in said)
    )  # fmt: skip
    claims = [read_claim(cells.get(f"claim_{letter}", "")) for letter in _LETTERS[: len(options)]]
    made = cells.get("kind", "") in NAMES and None not in claims
    return Asked(
        place, cells.get("id", ""), stem, options, keys, cells["kind"] if made else "",
        tuple(one for one in claims if one) if made else (),
        tuple(filter(None, cells.get("facts", "").split(";"))) if made else (),
    )  # fmt: skip


def _local(element: Element) -> str:
    """The name without namespace: `assessment-item` of 3.0's qti-assessment-item and of 2.x's assessmentItem."""
    name = str(element.tag).rpartition("}")[2].removeprefix("qti-")
    return "".join(f"-{mark.lower()}" if mark.isupper() else mark for mark in name)


def _under(element: Element, name: str) -> Iterator[Element]:
    return (one for one in element.iter() if isinstance(one.tag, str) and _local(one) == name)


def _said(element: Element) -> str:
    return " ".join("".join(element.itertext()).split())


def _item(name: str, root: Element, rests: Mapping[str, Element]) -> Asked:
    choices = list(_under(root, "simple-choice"))
    ids = [one.get("identifier", "") for one in choices]
    right = {_said(value) for key in _under(root, "correct-response") for value in _under(key, "value")}
    prompt = next(_under(root, "prompt"), None)
    body = next(_under(root, "item-body"), None)
    paragraphs = [_said(one) for one in _under(body, "p")] if body is not None else []
    stem = _said(prompt) if prompt is not None else " ".join(paragraphs)
    id = root.get("identifier", "")
    resting = rests.get(id)
    claims = {one.get("choice", ""): read_claim(one.get("claim", "")) for one in resting or ()}
    known = [claims.get(one) for one in ids]
    made = resting is not None and None not in known
    return Asked(
        name, id, stem, tuple(map(_said, choices)), tuple(at for at, one in enumerate(ids) if one in right),
        resting.get("kind", "") if resting is not None and made else "", tuple(one for one in known if one),
        tuple(_said(one) for one in _under(resting, "fact")) if resting is not None and made else (),
    )  # fmt: skip


def _rests(files: Mapping[str, bytes]) -> dict[str, Element]:
    """What the manifest says each of our items rests on, by identifier."""
    found = {}
    for name, text in files.items():
        if name.rpartition("/")[2] == "imsmanifest.xml":
            for resource in _under(parsed(name, text), "resource"):
                resting = next(_under(resource, "item"), None)
                if resting is not None:
                    found[resource.get("identifier", "")] = resting
    return found
