"""The contract of exporters, as a test that their authors run.

def test_contract(tmp_path):
    exporter_keeps_contract("bench-labels", tmp_path)
"""

import html
import os
import re
import shutil
import tempfile
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

from materia_data.exporting.listing import exporters
from materia_data.exporting.place import files_in
from materia_data.exporting.process import run_apart
from materia_data.exporting.trial import odd_package, small_package
from materia_data.materia import Materia, load

Export = Callable[[Materia, Path, Mapping[str, str]], object]
_TIME_LIMIT = 300.0
_PAGES = (".html", ".htm", ".svg", ".xhtml", ".xml")
_HAN = "\u3400-\u9fff\U00020000-\U0003ffff"


@dataclass(frozen=True, slots=True)
class Caution:
    """One effective caution of a herb, form or formula; target is "" where it is about the whole topic."""

    subject: str
    topic: str
    target: str
    state: str


def exporter_keeps_contract(
    exporter: str | Export,
    folder: Path,
    *,
    read_back: Callable[[Path], Iterable[Caution]] | None = None,
    options: Mapping[str, str] | None = None,
) -> None:
    """Run the exporter on a small package and on one with odd texts; raise AssertionError where it breaks its word.

    exporter: the name of an installed one, run in processes of its own, or the function itself, run in this one;
    folder: an empty folder to work in; options: passed to the exporter. It has to

    - give the same bytes twice: into another folder, with the data elsewhere, under another hash seed and time zone;
    - write plain files, into `out` only: nothing beside it, in the data, at home or left in the temporary folder;
    - state the release id in at least one file, plain or inside a zip;
    - let nothing odd come alive: no tag and no `javascript:` link of the data in a page or a .md file;
    - carry every effective caution of every herb, form and formula. `read_back` reads an output folder and gives all
      that stands in it; a caution too many is as wrong as one too few. Without it the output is judged as text: one
      line must hold the state, the topic and the target, each as id or English name, and either name the subject, by
      id or characters, or stand in a file or folder named for its id.
    """
    for kind, make in (("small", small_package), ("odd", odd_package)):
        data = make(folder / f"{kind} data")
        moved = Path(shutil.copytree(data, folder / "elsewhere" / f"{kind} data"))
        first = _run(exporter, data, folder / f"{kind} 1", options or {}, {"PYTHONHASHSEED": "1", "TZ": "UTC"})
        second = _run(exporter, moved, folder / f"{kind} 2", options or {}, {"PYTHONHASHSEED": "2", "TZ": "Asia/Tokyo"})
        _same_bytes(first, second)
        materia = load(data)
        _states_release(materia, first)
        _nothing_alive(first)
        _carries(materia, first, read_back)


def cautions_of(materia: Materia) -> set[Caution]:
    """Every effective caution of every herb, form and formula."""
    facts = (fact for subject in materia for fact in materia.facts.of(subject, "caution"))
    held = ((fact, dict(fact.qualifiers)) for fact in facts)
    return {Caution(fact.subject, about.get("topic", ""), about.get("target", ""), fact.value) for fact, about in held}


def _run(
    exporter: str | Export, data: Path, place: Path, options: Mapping[str, str], environment: Mapping[str, str]
) -> Path:
    """Run it once and return its folder, having looked that nothing else was touched."""
    out, home, temporary = place / "out", place / "home", place / "temporary"
    for folder in (out, home, temporary):
        folder.mkdir(parents=True)
    before = _contents(data)
    variables = {**environment, "HOME": str(home), "TMPDIR": str(temporary)}
    if isinstance(exporter, str):
        found = [one for one in exporters() if one.name == exporter and not one.refused]
        assert found, f"no exporter {exporter} is installed, or its name is refused; see `materia export --list`"
        answer = place / "answer.json"
        ended = run_apart(found[0], data, out, answer, timeout=_TIME_LIMIT, options=options, environment=variables)
        answer.unlink(missing_ok=True)
        assert not ended.message, f"{exporter} failed on {data.name}: {ended.message}\n{ended.log}"
    else:
        summary = getattr(exporter, "summary", "")
        assert isinstance(summary, str) and summary and "\n" not in summary, "the exporter has no one-line `summary`"
        with _standing_in(out, variables):
            exporter(load(data), out, options)
    assert _contents(data) == before, f"the exporter changed the data in {data}"
    beside = sorted(path.name for path in place.iterdir()) + sorted(path.name for path in temporary.iterdir())
    left = [*beside, *(path.name for path in home.iterdir() if path.name != ".cache")]
    assert left == ["home", "out", "temporary"], f"the exporter left something outside of its folder: {left}"
    try:
        assert files_in(out), "the exporter wrote no file"
    except ValueError as error:
        raise AssertionError(f"the exporter wrote what is no plain file: {error}") from None
    return out


@contextmanager
def _standing_in(folder: Path, variables: Mapping[str, str]) -> Iterator[None]:
    kept, here, temporary = dict(os.environ), Path.cwd(), tempfile.tempdir
    os.environ.update(variables)
    os.chdir(folder)
    tempfile.tempdir = variables["TMPDIR"]
    try:
        yield
    finally:
        tempfile.tempdir = temporary
        os.chdir(here)
        os.environ.clear()
        os.environ.update(kept)


def _contents(folder: Path) -> dict[str, bytes]:
    return {path: (folder / path).read_bytes() for path in files_in(folder)}


def _same_bytes(first: Path, second: Path) -> None:
    one, two = _contents(first), _contents(second)
    assert sorted(one) == sorted(two), f"two runs wrote different files: {sorted(set(one) ^ set(two))[:5]}"
    for path, content in one.items():
        if content != two[path]:
            where = next((n for n, pair in enumerate(zip(content, two[path], strict=False)) if pair[0] != pair[1]), 0)
            shown = content[max(0, where - 40) : where + 40]
            raise AssertionError(f"{path} is not the same twice, from byte {where} on: {shown!r}")


def _states_release(materia: Materia, out: Path) -> None:
    wanted = materia.release_id.encode()
    assert any(wanted in content for content in _all_contents(out)), f"no file states the release {materia.release_id}"


def _all_contents(out: Path) -> Iterator[bytes]:
    for path in files_in(out):
        yield (out / path).read_bytes()
        if zipfile.is_zipfile(out / path):
            with zipfile.ZipFile(out / path) as archive:
                yield from (archive.read(name) for name in archive.namelist())


def _nothing_alive(out: Path) -> None:
    for path in files_in(out):
        if path.endswith(_PAGES):
            page = _Page()
            page.feed((out / path).read_text(encoding="utf-8"))
            assert not page.alive, f"{path}: text of the data came alive as {page.alive[0]}"
        elif path.endswith(".md"):
            alive = _ALIVE_IN_MARKDOWN.search((out / path).read_text(encoding="utf-8"))
            assert not alive, f"{path}: text of the data comes alive as {alive[0] if alive else ''}"


_ALIVE_IN_MARKDOWN = re.compile(r"(?<!\\)<(?:script|b>|javascript:)|(?<!\\)\]\(\s*<?\s*(?:javascript|data):", re.I)


class _Page(HTMLParser):
    """Finds what the odd texts would become if they were not escaped."""

    def __init__(self) -> None:
        super().__init__()
        self.alive: list[str] = []
        self._inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._inside = tag
        for name, value in attrs:
            link = re.sub(r"\s", "", value or "").lower()
            if name in ("href", "src", "action", "xlink:href") and link.startswith(("javascript:", "data:text")):
                self.alive.append(f'{name}="{value}"')

    def handle_endtag(self, tag: str) -> None:
        self._inside = ""

    def handle_data(self, data: str) -> None:
        if (self._inside == "script" and data.lstrip().startswith("odd(")) or (self._inside == "b" and data == "bold"):
            self.alive.append(f"<{self._inside}>{data}")


def _carries(materia: Materia, out: Path, read_back: Callable[[Path], Iterable[Caution]] | None) -> None:
    wanted = cautions_of(materia)
    if read_back is not None:
        found = set(read_back(out))
        for what, some in (("does not carry", wanted - found), ("states, though it does not hold,", found - wanted)):
            assert not some, f"the output {what} {len(some)} of {len(wanted)} cautions, first {min(map(str, some))}"
        return
    judge = _Text(materia, out)
    lost = sorted(str(caution) for caution in wanted if not judge.carries(caution))
    assert not lost, f"no line carries {len(lost)} of {len(wanted)} cautions, first {lost[0]}"


class _Text:
    """An output as lines of text, without the escapes of HTML and Markdown."""

    def __init__(self, materia: Materia, out: Path) -> None:
        self._materia = materia
        self._files: list[tuple[frozenset[str], list[str]]] = []
        for path in files_in(out):
            try:
                text = (out / path).read_bytes().decode("utf-8")
            except UnicodeDecodeError:
                continue
            plain = re.sub(r"\\([!-/:-@\[-`{-~])", r"\1", html.unescape(text))
            named = frozenset((*Path(path).parent.parts, Path(path).stem))
            self._files.append((named, plain.casefold().splitlines()))
        vocabularies = ((name, materia.package.tables[name].columns) for name in ("topics", "targets"))
        self._labels = {name: dict(zip(table["id"], table["name_en"], strict=True)) for name, table in vocabularies}

    def carries(self, caution: Caution) -> bool:
        wanted = [_word(caution.state, caution.state.replace("-", " ")), self._term("topics", caution.topic)]
        wanted += [self._term("targets", caution.target)] if caution.target else []
        table = self._materia.package.tables[self._materia.package.subject_table(caution.subject) or "herbs"]
        characters = table.columns["name_hans"][table.rows_of("id")[caution.subject][0]]
        subject = re.compile(f"{_word(caution.subject).pattern}|(?<![{_HAN}]){re.escape(characters)}(?![{_HAN}])")
        for named, lines in self._files:
            mine = lines if caution.subject in named else [line for line in lines if subject.search(line)]
            if any(all(word.search(line) for word in wanted) for line in mine):
                return True
        return False

    def _term(self, table: str, id: str) -> re.Pattern[str]:
        return _word(id, self._labels[table].get(id, id))


def _word(*texts: str) -> re.Pattern[str]:
    either = "|".join(re.escape(text.casefold()) for text in texts)
    return re.compile(rf"(?<![\w.-])(?:{either})(?![\w-]|\.\w)")
