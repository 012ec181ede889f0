"""Notes and captions held against the data: sentences written unseen, planted mistakes, files whole and damaged."""

import csv
import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from materia_data.cli import main
from materia_data.find import plain_reading
from materia_data.kept import open_kept
from materia_data.materia import Materia
from materia_data.teach.proof.proof import GRAVE, Finding, proof, proof_sentences
from materia_data.teach.proof.reading import ProofError, Sentence, read_sentences, sentences_of
from tests.docs.pages import ROOT

ROWS = list(csv.DictReader(Path(__file__).with_name("proof_sentences.csv").open(encoding="utf-8", newline="")))


@pytest.fixture(scope="module")
def shipped() -> Materia:
    return open_kept()


def findings(materia: Materia, text: str) -> tuple[Finding, ...]:
    return proof_sentences(materia, sentences_of(text)).findings


def accused(materia: Materia, text: str) -> set[tuple[str, str]]:
    """Kind and herb of each contradiction and omission."""
    return {(one.kind, one.subject.split(".")[0]) for one in findings(materia, text) if one.kind in GRAVE}


@pytest.mark.parametrize("half", ["tune", "look"])
def test_sentences_written_unseen_are_judged(
    half: str, shipped: Materia, record_property: Callable[[str, object], None]
) -> None:
    """At least 98 of 100 accusations are right; of the faults at least 75 of 100 are found.

    The sentences and what is to be said of them were written by somebody who had not seen the code, and parted by a
    seed. `tune` was worked with. `look` was looked at once: 65 of 66 accusations were right, 53 of 70 faults found;
    what was general in its faults was mended afterwards, so that its bound is what the first look gave, rounded down.
    """
    right = wrong = found = wanted = 0
    missed = []
    for row in (row for row in ROWS if row["half"] == half):
        meant = {subject.split(".")[0] for subject in row["subject"].split(";")}
        faulty = row["kind"] in GRAVE
        said = accused(shipped, row["text"])
        good = [subject for _, subject in said if faulty and subject in meant]
        right += len(good)
        wrong += len(said) - len(good)
        wanted += faulty
        found += bool(good)
        missed += [row["text"]] if faulty and not good else []
    record_property(
        "sample",
        f"proof, {half}: precision {right / (right + wrong):.3f} of {right + wrong}, recall {found / wanted:.3f} of "
        f"{wanted}, missed {missed}",
    )
    assert right / (right + wrong) >= 0.98
    assert found / wanted >= (0.85 if half == "tune" else 0.75)


def test_the_sentences_are_many_and_of_every_kind() -> None:
    """At least 200 sentences, none twice, both halves with every verdict."""
    assert len({row["text"] for row in ROWS}) == len(ROWS) >= 200
    for half in ("tune", "look"):
        kinds = {row["kind"] for row in ROWS if row["half"] == half}
        assert kinds == {"contradiction", "omission", "unknown", "not-judged", "ok"}


def test_what_the_package_says_of_itself_is_not_accused(shipped: Materia) -> None:
    """Nature, flavors, channels and grade of every herb, put into sentences in both languages, are in keeping; where
    reading a name leads elsewhere nothing is held against it."""
    herbs, facts = shipped.package.tables["herbs"].columns, shipped.facts
    terms = facts.vocabularies
    said = []
    for id, hans, pinyin in zip(herbs["id"], herbs["name_hans"], herbs["pinyin"], strict=True):
        nature = [terms["natures"].label(one.value) for one in facts.of(id, "nature")]
        flavors = [terms["flavors"].label(one.value) for one in facts.of(id, "flavor")]
        channels = [terms["channels"].label(one.value) for one in facts.of(id, "channel")]
        if nature and flavors and channels:
            name = plain_reading(pinyin).capitalize()
            said.append(f"{name} is {nature[0]} and {', '.join(flavors)}.")
            said.append(f"{hans} enters the {' and '.join(channels)} channels.")
    result = proof_sentences(shipped, [Sentence(n, text, n) for n, text in enumerate(said)])
    wrong = [(one.text, one.fact) for one in result.findings if one.kind in GRAVE]
    assert len(said) > 1000 and result.kept > 2000
    assert not wrong


def test_the_other_side_of_neutral_is_accused_of_every_herb(shipped: Materia) -> None:
    """A nature on the far side of neutral contradicts, for nine of ten herbs with a nature (the rest have names that
    several share)."""
    herbs, facts = shipped.package.tables["herbs"].columns, shipped.facts
    neutral = facts.vocabularies["natures"].rank("neutral") or 0.0
    asked = []
    for id, hans in zip(herbs["id"], herbs["name_hans"], strict=True):
        rank = [facts.vocabularies["natures"].rank(one.value) or 0.0 for one in facts.of(id, "nature")]
        if rank and rank[0] != neutral:
            asked.append((id, f"{hans} is {'hot' if rank[0] < neutral else 'very cold'}."))
    result = proof_sentences(shipped, [Sentence(n, text, n) for n, (_, text) in enumerate(asked)])
    caught = {(asked[one.line][0], one.subject) for one in result.findings if one.kind == "contradiction"}
    assert len(asked) > 400
    assert sum((id, id) in caught for id, _ in asked) >= 0.9 * len(asked)


@pytest.mark.parametrize(
    "text",
    [
        "Some say ban xia is cold.",
        "Is ban xia cold?",
        "If ban xia were cold, what then?",
        "The old books call ban xia cold.",
        'The slide read "ban xia is cold".',
        "Ban xia is colder than gan jiang.",
        "据说半夏性寒。",
        "半夏性寒吗？",
        "Ban xia grows in cold fields.",
        "Never combine gan cao with gan sui.",
        "Do not give ba dou in pregnancy.",
        "孕妇忌用三棱。",
        "More than 15 g of fu zi is dangerous.",
        "Gou teng cools the liver.",
        "Wine-fried da huang is warm.",
        "Hou po does not tonify.",
    ],
)
def test_more_or_less_than_a_plain_claim_is_not_accused(text: str, shipped: Materia) -> None:
    """Hearsay, questions, supposition, history, quotation, comparison, warnings and silence of the data accuse
    nobody."""
    assert not accused(shipped, text)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("Gan cao and gan sui are safe together.", {("contradiction", "gan-cao"), ("contradiction", "gan-sui")}),
        ("Combine gan cao with gan sui.", {("omission", "gan-cao"), ("omission", "gan-sui")}),
        ("Take 30 g of fu zi a day.", {("contradiction", "fu-zi")}),
        ("Fu zi is toxic. It is safe in pregnancy.", {("omission", "fu-zi")}),
        ("Boil fu zi for ten minutes.", {("omission", "fu-zi")}),
        ("生半夏研末吞服。", {("omission", "ban-xia")}),
        ("shee shin is very cold.", {("contradiction", "xi-xin")}),
    ],
)
def test_each_kind_of_danger_is_named(text: str, meant: set[tuple[str, str]], shipped: Materia) -> None:
    """An opposed pair, an amount above the ceiling, a caution left out, a short boiling, a raw drug swallowed: each is
    told of its medicinal (common practice, no source, as the data state it)."""
    assert accused(shipped, text) == meant


def test_a_name_only_heard_says_so(shipped: Materia) -> None:
    """Where a name only sounds like the one meant, the finding shows how it was written."""
    (finding,) = [one for one in findings(shipped, "shee shin is very cold.") if one.kind in GRAVE]
    assert finding.heard == "shee shin" and finding.subject == "xi-xin"


def test_a_finding_has_the_line_the_fact_and_whose_word_it_is(shipped: Materia, tmp_path: Path) -> None:
    """The line is that on which the sentence begins, in a wrapped paragraph too; the fact comes with its basis."""
    path = tmp_path / "notes.md"
    path.write_text("# Notes\n\nGinger is taught\nnext week. Ban xia\nis cold.\n", encoding="utf-8")
    (finding,) = [one for one in proof(shipped, path).findings if one.kind in GRAVE]
    assert (finding.line, finding.subject, finding.fact) == (4, "ban-xia", "warm")
    assert finding.basis in ("collated", "memory", "common-practice")


SRT = "1\n00:00:01,000 --> 00:00:03,000\nSo ban xia\n\n2\n00:00:03,000 --> 00:00:05,000\nis cold, right.\n"
VTT = "WEBVTT\n\nNOTE ban xia is hot and cold\n\n00:01.000 --> 00:03.000\n<v Teacher>Ban xia is cold.</v>\n"


@pytest.mark.parametrize(("name", "text", "line"), [("a.srt", SRT, 3), ("a.vtt", VTT, 6)])
def test_captions_are_joined_to_sentences(name: str, text: str, line: int, shipped: Materia, tmp_path: Path) -> None:
    """A sentence over two cues is one, its line that of the first; notes and time codes are no speech."""
    (tmp_path / name).write_text(text, encoding="utf-8")
    grave = [one for one in proof(shipped, tmp_path / name).findings if one.kind in GRAVE]
    assert [(one.line, one.subject) for one in grave] == [(line, "ban-xia")]


def _docx(body: str) -> bytes:
    out = io.BytesIO()
    name = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("word/document.xml", body.replace("<w:body>", f'<w:body xmlns:w="{name}">'))
    return out.getvalue()


def test_a_word_document_is_read_by_paragraph(shipped: Materia, tmp_path: Path) -> None:
    """Runs of one paragraph are one text (ECMA-376, Part 1, 17.3.2)."""
    body = "<w:body><w:p><w:r><w:t>Notes.</w:t></w:r></w:p><w:p><w:r><w:t>Ban xia </w:t></w:r><w:r><w:t>is cold.</w:t></w:r></w:p></w:body>"  # noqa: E501
    (tmp_path / "a.docx").write_bytes(_docx(body))
    (finding,) = [one for one in proof(shipped, tmp_path / "a.docx").findings if one.kind in GRAVE]
    assert (finding.line, finding.subject) == (2, "ban-xia")


@pytest.mark.parametrize(
    ("name", "raw", "said"),
    [
        ("a.pdf", b"x", "no kind"),
        ("a.md", b"", "no text"),
        ("a.md", b"\xff\xfa\xfb", "UTF-8"),
        ("a.txt", b"a\0b", "binary"),
        ("a.txt", b"a" * 10_000_001, "10 MB"),
        ("a.docx", b"PK no zip", "no DOCX"),
        ("a.docx", _docx("<w:body><w:p>"), "no DOCX"),
        ("a.docx", _docx('<!DOCTYPE a [<!ENTITY b "c">]><w:body></w:body>'), "document type"),
    ],
)
def test_a_file_that_cannot_be_read_is_told_in_a_sentence(
    name: str, raw: bytes, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Unknown kind, empty, other encoding, binary, too large, damaged: exit 2 and one message, no traceback."""
    path = tmp_path / name
    path.write_bytes(raw)
    with pytest.raises(ProofError, match=said):
        read_sentences(path)
    assert main(["proof", str(path)]) == 2
    assert said in capsys.readouterr().err


def test_the_example_ends_with_one_and_clean_notes_with_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 1 where something is found, 0 where nothing is."""
    assert main(["proof", str(ROOT / "examples" / "lecture-notes.md")]) == 1
    clean = tmp_path / "clean.txt"
    clean.write_text("Ban xia is warm.\n", encoding="utf-8")
    assert main(["proof", str(clean)]) == 0
    assert "1 claims judged, 1 in keeping" in capsys.readouterr().out


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.sampled_from(
            ["ban xia", "半夏", "is", "cold", ", ", ". ", "not ", "性", "寒", "归", "经", "9 g", "with", "fu zi", "safe"]
            + ["？", "\n", "never", "\ue000", "raw", "生", "(", "和"]
        ),
        max_size=25,
    ).map(" ".join)
)
def test_any_text_is_read_without_an_error(text: str) -> None:
    """No order of words, names and signs stops it, and each finding is of a sentence that was read."""
    sentences = sentences_of(text)
    texts = {sentence.text for sentence in sentences}
    assert all(one.text in texts for one in proof_sentences(open_shipped(), sentences).findings)


_OPEN: list[Materia] = []


def open_shipped() -> Materia:
    if not _OPEN:
        _OPEN.append(open_kept())
    return _OPEN[0]
