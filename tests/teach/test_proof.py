"""Notes and captions held against the data: sentences written unseen, planted mistakes, files whole and damaged."""

import csv
import io
import random
import re
import zipfile
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import materia_data
from materia_data.cli import main
from materia_data.find import plain_reading
from materia_data.kept import open_kept
from materia_data.materia import Materia
from materia_data.teach.proof.proof import GRAVE, Finding, proof, proof_sentences
from materia_data.teach.proof.proof_error import ProofError
from materia_data.teach.proof.reading import Sentence, read_sentences, sentences_of
from tests.docs.pages import ROOT

ROWS = list(csv.DictReader(Path(__file__).with_name("proof_sentences.csv").open(encoding="utf-8", newline="")))
MORE = list(csv.DictReader(Path(__file__).with_name("proof_sentences_2.csv").open(encoding="utf-8", newline="")))
CELL = re.compile(r"\b(?:herbs|herb_actions|cautions|doses|handling|antagonisms):([a-z~.-]+)")
PROSE = {
    "categories": ("definition", "strategy", "tendency", "caution"),
    "herbs": ("note",),
    "cautions": ("detail", "reason"),
    "pairs": ("effect",),
    "confusions": ("harm", "tell_apart"),
    "aids": ("text",),
    "forms": ("reason", "changes"),
    "formulas": ("note",),
    "formula_items": ("reason",),
}


@pytest.fixture(scope="module")
def shipped() -> Materia:
    return open_kept()


def grave_by_text(materia: Materia, texts: Sequence[str]) -> list[list[Finding]]:
    """Contradictions and omissions of each text, each proofed as a paragraph of its own."""
    sentences = [Sentence(number, one.text, number) for number, text in enumerate(texts) for one in sentences_of(text)]
    found = defaultdict(list)
    for finding in proof_sentences(materia, sentences).findings:
        if finding.kind in GRAVE:
            found[finding.line].append(finding)
    return [found[number] for number in range(len(texts))]


def herb(finding: Finding) -> str:
    return finding.subject.split(".")[0]


@pytest.mark.parametrize("half", ["tune", "look"])
def test_sentences_written_unseen_are_judged(
    half: str, shipped: Materia, record_property: Callable[[str, object], None]
) -> None:
    """At least 98 of 100 accusations are right; of the faults at least 85 of 100 are found where they were worked with.

    The sentences and what is to be said of them were written by somebody who had not seen the code, and parted by a
    seed. `tune` was worked with. `look` was looked at once: 65 of 66 accusations were right, 53 of 70 faults found;
    what was general in its faults was mended afterwards, so that its bound is what the first look gave, rounded down.
    """
    rows = [row for row in ROWS if row["half"] == half]
    right = wrong = found = wanted = 0
    for row, said in zip(rows, grave_by_text(shipped, [row["text"] for row in rows]), strict=True):
        meant = {subject.split(".")[0] for subject in row["subject"].split(";")}
        faulty = row["kind"] in GRAVE
        good = {herb(one) for one in said} & meant if faulty else set()
        right += len(good)
        wrong += len({herb(one) for one in said} - good)
        wanted += faulty
        found += bool(good)
    record_property(
        "sample",
        f"proof, {half}: {right} of {right + wrong} accusations right, {found} of {wanted} faults found",
    )
    assert right / (right + wrong) >= 0.98
    assert found / wanted >= (0.85 if half == "tune" else 0.75)


@pytest.mark.parametrize("half", ["tune", "look"])
def test_a_second_set_written_unseen_is_judged(
    half: str, shipped: Materia, record_property: Callable[[str, object], None]
) -> None:
    """98 of 100 accusations are right, no right sentence is accused, 95 of 100 faults are found where worked with.

    252 sentences, written from the tables by somebody who had not seen the code, and parted evenly. Before, 69 of
    all 114 faults were found and no right sentence was accused (`tune`: 34 of 58). `tune` was worked with. `look` was
    looked at once and nothing mended by it: 51 of 52 accusations were right, 45 of 56 faults found, no right sentence
    accused; its bound is that look, rounded down. It was not wholly unseen: the kinds of what was missed had been told
    of the whole set with short pieces of some sentences, and a few of its sentences had been seen. An accusation is
    right if its medicinal is one of a cell named under `why`; one row of `tune` was given the cells of two more
    medicinals that it lists. In `look` the one counted wrong is of a medicinal with a caution that `why` leaves out.
    """
    rows = [row for row in MORE if row["half"] == half]
    right = wrong = found = wanted = innocent = 0
    for row, said in zip(rows, grave_by_text(shipped, [row["text"] for row in rows]), strict=True):
        cells = {part.split(".")[0] for cell in CELL.findall(row["why"]) for part in cell.split("~")}
        faulty = row["kind"] in GRAVE
        good = {herb(one) for one in said} & (cells | {row["subject"]}) if faulty else set()
        right += len(good)
        wrong += len({herb(one) for one in said} - good)
        innocent += bool(said) and not faulty
        wanted += faulty
        found += bool(good)
    record_property(
        "sample",
        f"proof, second set, {half}: {right} of {right + wrong} accusations right, {innocent} right sentences accused, "
        f"{found} of {wanted} faults found",
    )
    assert right / (right + wrong) >= 0.98
    assert not innocent
    assert found / wanted >= (0.95 if half == "tune" else 0.8)


def test_the_sentences_are_many_and_of_every_kind() -> None:
    """At least 200 sentences, none twice, both halves with every verdict."""
    assert len({row["text"] for row in ROWS}) == len(ROWS) >= 200
    for half in ("tune", "look"):
        kinds = {row["kind"] for row in ROWS if row["half"] == half}
        assert kinds == {"contradiction", "omission", "unknown", "not-judged", "ok"}


def test_names_nobody_knows_are_told(shipped: Materia) -> None:
    """Of the sentences about an invented name nine in ten say so, and none of those that are right does."""
    sentences = [Sentence(number, row["text"], number) for number, row in enumerate(ROWS)]
    told = {one.line for one in proof_sentences(shipped, sentences).findings if one.kind == "unknown"}
    strange = {number for number, row in enumerate(ROWS) if row["kind"] == "unknown"}
    assert len(told & strange) >= 0.9 * len(strange) > 10
    assert not [ROWS[number]["text"] for number in told if ROWS[number]["kind"] == "ok"]


def test_prose_that_is_right_is_hardly_ever_accused(
    shipped: Materia, record_property: Callable[[str, object], None]
) -> None:
    """Of a seeded sample of the package's own prose, which no pattern was made for, at most one sentence in a thousand
    is accused. (Over all 19,000 the first look gave 11, of which amounts in ratios and old measures were mended.)"""
    texts = [
        text
        for table, columns in PROSE.items()
        for column in columns
        for text in shipped.package.tables[table].columns[column]
        if text
    ]
    some = random.Random(20261125).sample(sorted(set(texts)), 1000)
    accused = [findings for findings in grave_by_text(shipped, some) if findings]
    record_property("sample", f"proof: {len(accused)} of 1000 right passages accused, of {len(set(texts))}")
    assert len(accused) <= 1


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
    several share, or a source beside the cell that says so)."""
    herbs, facts = shipped.package.tables["herbs"].columns, shipped.facts
    neutral = facts.vocabularies["natures"].rank("neutral") or 0.0
    asked = []
    for id, hans in zip(herbs["id"], herbs["name_hans"], strict=True):
        rank = [facts.vocabularies["natures"].rank(one.value) or 0.0 for one in facts.of(id, "nature")]
        if rank and rank[0] != neutral:
            asked.append((id, f"{hans} is {'very hot' if rank[0] < neutral else 'very cold'}."))
    caught = [
        id in {one.subject for one in found}
        for (id, _), found in zip(asked, grave_by_text(shipped, [text for _, text in asked]), strict=True)
    ]
    assert len(asked) > 400
    assert sum(caught) >= 0.9 * len(asked)


def test_right_sentences_that_are_hard_to_read_are_not_accused(shipped: Materia) -> None:
    """Asides, lists that share out their values, two subjects in one breath, forms, stories, amounts in a recipe: none
    of these sentences is held against anybody, and half of them and more are judged and found in keeping."""
    texts = Path(__file__).with_name("proof_right.txt").read_text(encoding="utf-8").splitlines()
    found = grave_by_text(shipped, texts)
    assert [text for text, said in zip(texts, found, strict=True) if said] == []
    kept = proof_sentences(shipped, [Sentence(n, one.text, n) for n, t in enumerate(texts) for one in sentences_of(t)])
    assert kept.kept > len(texts) / 2 > 80


def test_talk_in_a_lesson_is_not_accused(shipped: Materia) -> None:
    """Jars, lists, weights, likenesses, things said beside a name: none of it is held against anybody."""
    texts = Path(__file__).with_name("proof_lesson.txt").read_text(encoding="utf-8").splitlines()
    found = grave_by_text(shipped, texts)
    assert len(texts) > 70
    assert [text for text, said in zip(texts, found, strict=True) if said] == []


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
        "E zhu enters the lung.",
        "9 g of horn to 144 g of gypsum.",
        "Two qian of myrrh in the book; one gram above the range.",
    ],
)
def test_more_or_less_than_a_plain_claim_is_not_accused(text: str, shipped: Materia) -> None:
    """Hearsay, questions, supposition, history, quotation, comparison, warnings, silence of the data, and what another
    cited source says too accuse nobody."""
    assert not grave_by_text(shipped, [text])[0]


@pytest.mark.parametrize(
    ("text", "kind", "meant", "claim"),
    [
        ("Gan jiang is cool.", "contradiction", {"gan-jiang"}, "cool"),
        ("Gou qi zi is hot.", "contradiction", {"gou-qi-zi"}, "hot"),
        ("Huang lian tastes sweet.", "contradiction", {"huang-lian"}, "sweet"),
        ("Jie geng goes to the kidney.", "contradiction", {"jie-geng"}, "enters the kidney"),
        ("Ban xia does not enter the spleen.", "contradiction", {"ban-xia"}, "not enters the spleen"),
        ("Cang er zi is non-toxic.", "contradiction", {"cang-er-zi"}, "non-toxic"),
        ("E jiao moves the blood.", "contradiction", {"e-jiao"}, "move the blood"),
        ("Fu ling never calms the spirit.", "contradiction", {"fu-ling"}, "not calm the spirit"),
        ("She xiang is safe in pregnancy.", "contradiction", {"she-xiang"}, "may be given: pregnancy"),
        ("Gan cao and gan sui are safe together.", "contradiction", {"gan-cao", "gan-sui"}, "given together"),
        ("Combine gan cao with gan sui.", "omission", {"gan-cao", "gan-sui"}, "given together"),
        ("Take 30 g of fu zi a day.", "contradiction", {"fu-zi"}, "30 g"),
        ("Xuan fu hua need not be wrapped.", "contradiction", {"xuan-fu-hua"}, "need not: decoct wrapped"),
        ("Put fu zi in at the end.", "omission", {"fu-zi"}, "put in late"),
        ("Boil fu zi for ten minutes.", "omission", {"fu-zi"}, "cooked with the rest"),
        ("生半夏研末吞服。", "omission", {"ban-xia"}, "swallowed raw"),
        ("半夏性寒。", "contradiction", {"ban-xia"}, "cold"),
        ("麻黄归肝经。", "contradiction", {"ma-huang"}, "enters the liver"),
        ("甘草与甘遂可以同用。", "contradiction", {"gan-cao", "gan-sui"}, "given together"),
        ("细辛煎服用量为10克。", "contradiction", {"xi-xin"}, "10 g"),
        ("Fu zi is toxic. It is safe in pregnancy.", "omission", {"fu-zi"}, "may be given: pregnancy"),
        ("Coptis: a hot herb for a weak stomach.", "contradiction", {"huang-lian"}, "hot"),
        ("When it burns we take shi gao, which is a warm mineral.", "contradiction", {"shi-gao"}, "warm"),
        ("A cold root, gan jiang goes to the spleen.", "contradiction", {"gan-jiang"}, "cold"),
        ("Gan jiang = cold, pungent.", "contradiction", {"gan-jiang"}, "cold"),
        ("Cao wu contains no poison.", "contradiction", {"cao-wu"}, "non-toxic"),
        ("Ban xia + fu zi: a fine couple.", "omission", {"ban-xia", "fu-zi"}, "given together"),
        ("Add gan cao to gan sui.", "omission", {"gan-cao", "gan-sui"}, "given together"),
        ("Ma huang suits athletes.", "contradiction", {"ma-huang"}, "may be given: sport"),
        ("Mu li, 20 g in decoction.", "omission", {"mu-li"}, "decocted, not said to be first"),
        ("Boil bo he from the start.", "contradiction", {"bo-he"}, "cooked from the start"),
        ("Raw ban xia, 6 g in a capsule.", "omission", {"ban-xia"}, "swallowed raw"),
        ("shee shin is very cold.", "contradiction", {"xi-xin"}, "very cold"),
    ],
)
def test_each_kind_of_claim_is_judged(text: str, kind: str, meant: set[str], claim: str, shipped: Materia) -> None:
    """Worked by hand: nature, flavor, channel, grade, action, denial, pregnancy, opposed pair, amount, cooking, a raw
    drug swallowed; the finding names who is meant and what was said (common practice, no source, as the data have it).
    """
    found = grave_by_text(shipped, [text])[0]
    assert {(one.kind, herb(one)) for one in found} == {(kind, one) for one in meant}
    assert {one.claim for one in found} == {claim}


def test_what_is_said_elsewhere_under_the_same_name_is_not_left_out(shipped: Materia, tmp_path: Path) -> None:
    """An amount in decoction leaves out nothing where the paragraph, or the lines under the same name, say `first`."""
    under = "## Fu zi\n\n- Dose: 3 to 15 g in decoction.\n- Decoct it first.\n"
    beside = "Fu zi is dosed at 3 to 15 g in decoction. It is boiled first.\n"
    assert proofed(shipped, tmp_path / "a.md", under) == proofed(shipped, tmp_path / "b.md", beside) == []
    alone = "## Notes\n\nFu zi is dosed at 3 to 15 g in decoction.\n\nMu li is boiled first.\n"
    assert proofed(shipped, tmp_path / "c.md", alone) == [(3, "fu-zi", "decocted, not said to be first")]


def test_a_name_only_heard_says_so(shipped: Materia) -> None:
    """Where a name only sounds like the one meant, the finding shows how it was written."""
    (finding,) = grave_by_text(shipped, ["shee shin is very cold."])[0]
    assert finding.heard == "shee shin" and finding.subject == "xi-xin"


def proofed(materia: Materia, path: Path, content: str | bytes) -> list[tuple[int, str, str]]:
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return [(one.line, herb(one), one.claim) for one in proof(materia, path).findings if one.kind in GRAVE]


def test_a_finding_has_the_line_the_fact_and_whose_word_it_is(shipped: Materia, tmp_path: Path) -> None:
    """The line is that on which the name stands, in a wrapped paragraph too; the fact comes with its basis."""
    path = tmp_path / "notes.md"
    path.write_text("# Notes\n\nGinger is taught\nnext week. Ban xia\nis cold.\n", encoding="utf-8")
    (finding,) = [one for one in proof(shipped, path).findings if one.kind in GRAVE]
    assert (finding.line, finding.subject, finding.fact) == (4, "ban-xia", "warm")
    assert finding.basis in ("collated", "memory", "common-practice")


MARKDOWN = """---
title: ban xia is cold
---
## Ban xia 半夏

- **Nature**: cold
- Channels: spleen, stomach, kidney
- Enters the liver.

```
Ban xia is cold.
```
> Ban xia is cold.
<!-- Ban xia is cold. -->

## Something else

- Nature: cold

| Name | Nature | Flavors |
|---|---|---|
| [Huang lian](a.md) | warm | bitter |

### 石膏
性味：苦，大寒。
"""
PLAIN = (
    "licorice is cold by nature\nMu li is sweet\n\nfu zi\nnature: cold\n\n"
    "Everyone knows by now that the seed that we call\nku xing ren is very toxic.\n"
)
SRT = "1\n00:00:01,000 --> 00:00:03,000\nWell, so ban\n\n2\n00:00:03,000 --> 00:00:05,000\nxia is cold, right.\n"
VTT = "WEBVTT\n\nNOTE ban xia is hot and cold\n\n00:01.000 --> 00:03.000\n<v Teacher>Ban xia is cold.</v>\n"


@pytest.mark.parametrize(
    ("name", "content", "meant"),
    [
        (
            "a.md",
            MARKDOWN,
            [
                (6, "ban-xia", "cold"),
                (7, "ban-xia", "enters the kidney"),
                (8, "ban-xia", "enters the liver"),
                (22, "huang-lian", "warm"),
                (25, "shi-gao", "bitter"),
            ],
        ),
        (
            "a.txt",
            PLAIN,
            [(1, "gan-cao", "cold"), (2, "mu-li", "sweet"), (5, "fu-zi", "cold"), (8, "ku-xing-ren", "very toxic")],
        ),
        ("b.txt", PLAIN.encode("utf-16"), None),
        ("a.srt", SRT, [(3, "ban-xia", "cold")]),
        ("b.srt", SRT.replace("\n", "\r\n"), [(3, "ban-xia", "cold")]),
        ("a.vtt", VTT, [(6, "ban-xia", "cold")]),
    ],
)
def test_each_kind_of_file_is_read(
    name: str, content: str | bytes, meant: list[tuple[int, str, str]] | None, shipped: Materia, tmp_path: Path
) -> None:
    """Headings and tables name whom their lines speak of; code, comments, quotations, time codes and notes are no
    claims; wrapped lines and cues are joined; the lines are those of the file."""
    wanted = meant if meant is not None else proofed(shipped, tmp_path / "plain.txt", PLAIN)
    assert proofed(shipped, tmp_path / name, content) == wanted != []


def test_captions_without_a_full_stop_are_read_to_the_end(shipped: Materia, tmp_path: Path) -> None:
    """An hour of speech in which no sentence ends loses nothing."""
    cues = "".join(
        f"{n}\n00:00:{n % 60:02},000 --> 00:00:{n % 60:02},900\nand so we go on talking\n\n" for n in range(300)
    )
    end = "301\n00:59:00,000 --> 00:59:01,000\nso ban xia is cold\n"
    assert proofed(shipped, tmp_path / "a.srt", cues + end) == [(1203, "ban-xia", "cold")]


def test_an_endless_line_is_read_to_the_end() -> None:
    """No letter of a line without a full stop is lost, and no sentence is longer than a thousand characters."""
    text = "and so on " * 500 + "ban xia is cold"
    found = [one.text for one in sentences_of(text)]
    assert " ".join(found) == text and max(map(len, found)) <= 1000 < len(text)


WORD = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"


def docx(body: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("word/document.xml", body.replace("<w:body>", f'<w:body xmlns:w="{WORD}">'))
    return out.getvalue()


def test_a_word_document_is_read_by_paragraph(shipped: Materia, tmp_path: Path) -> None:
    """Runs of one paragraph are one text, a heading names whom the next speaks of, deleted text is gone (ECMA-376,
    part 1, 17.3.2, 17.9.23, 17.3.3.7)."""
    body = (
        "<w:body><w:p><w:r><w:t>Notes.</w:t></w:r></w:p><w:p><w:r><w:t>Ban xia </w:t></w:r>"
        "<w:r><w:t>is cold.</w:t></w:r>"
        '</w:p><w:p><w:pPr><w:pStyle w:val="Heading2"/></w:pPr><w:r><w:t>Fu zi</w:t></w:r></w:p>'
        "<w:p><w:r><w:t>Nature: cold</w:t></w:r></w:p>"
        "<w:p><w:del><w:r><w:delText>Fu zi is cold.</w:delText></w:r></w:del>"
        "</w:p></w:body>"
    )
    assert proofed(shipped, tmp_path / "a.docx", docx(body)) == [(2, "ban-xia", "cold"), (4, "fu-zi", "cold")]


BOMB = docx(f"<w:body><w:p><w:r><w:t>{'a' * 45_000_000}</w:t></w:r></w:p></w:body>")
LAUGHS = '<!DOCTYPE a [<!ENTITY b "c">]><w:body></w:body>'


@pytest.mark.parametrize(
    ("name", "raw", "said"),
    [
        ("a.pdf", b"x", "no kind"),
        ("a", b"x", "no kind"),
        ("a.md", b"", "no text"),
        ("a.txt", b" \n\n", "no text"),
        ("a.srt", b"1\n00:00:01,000 --> 00:00:02,000\n", "no text"),
        ("a.md", b"ok\n\xff\xfa\xfb", "line 2"),
        ("a.txt", b"a\0b", "binary"),
        ("a.txt", b"a" * 10_000_001, "10 MB"),
        ("a.docx", b"PK no zip", "no DOCX"),
        ("a.docx", docx("<w:body><w:p>"), "damaged"),
        ("a.docx", docx("<w:body><w:p/></w:body>")[:-30], "no DOCX"),
        ("a.docx", docx("<w:body></w:body>").replace(b"word/document", b"word/documend"), "no Word text"),
        ("a.docx", docx(LAUGHS), "document type"),
        ("a.docx", docx(LAUGHS).replace(b"PK\x03\x04", b"PK\x03\x05"), "no DOCX"),
        ("a.docx", BOMB, "40 MB"),
    ],
)
def test_a_file_that_cannot_be_read_is_told_in_a_sentence(
    name: str, raw: bytes, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Unknown kind, empty, other encoding, binary, too large, damaged, swelling: exit 2 and one message."""
    path = tmp_path / name
    path.write_bytes(raw)
    with pytest.raises(ProofError, match=said):
        read_sentences(path)
    assert main(["proof", str(path)]) == 2
    message = capsys.readouterr().err.splitlines()
    assert said in message[-1] and sum(line.startswith("materia:") for line in message) == 1


def test_what_is_no_file_is_told_in_a_sentence(tmp_path: Path) -> None:
    """A folder, and a name that leads nowhere."""
    with pytest.raises(ProofError, match="is a folder"):
        read_sentences(tmp_path)
    with pytest.raises(ProofError, match="there is no file"):
        read_sentences(tmp_path / "a.md")


def test_the_example_ends_with_one_and_clean_notes_with_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 1 where something is found, 0 where nothing is."""
    assert main(["proof", str(ROOT / "examples" / "lecture-notes.md")]) == 1
    clean = tmp_path / "clean.txt"
    clean.write_text("Ban xia is warm.\n", encoding="utf-8")
    assert main(["proof", str(clean)]) == 0
    assert "1 claim judged, 1 in keeping" in capsys.readouterr().out


def test_python_offers_it(shipped: Materia, tmp_path: Path) -> None:
    """`from materia_data import proof`: what was not judged is counted, and listed only where all is asked for."""
    path = tmp_path / "a.txt"
    path.write_text("Perhaps ban xia is cold.\n", encoding="utf-8")
    found, every = materia_data.proof(shipped, path), materia_data.proof(shipped, path, every=True)
    assert (found.findings, found.not_judged, found.grave) == ((), 1, False)
    assert [one.kind for one in every.findings] == ["not-judged"]


PIECES = [
    "ban xia",
    "半夏",
    "is",
    "cold",
    ", ",
    ". ",
    "not",
    "性寒",
    "归",
    "经",
    "9 g",
    "safe",
    "？",
    "\n",
    "raw",
    "生",
]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.lists(st.sampled_from([*PIECES, "with", "fu zi", "never", "\ue000", "(", "和", ":"]), max_size=20)))
def test_any_text_is_read_without_an_error(words: list[list[str]]) -> None:
    """No order of words, names and signs stops it, and each finding is of a sentence that was read."""
    sentences = sentences_of("\n\n".join(" ".join(line) for line in words))
    texts = {sentence.text for sentence in sentences}
    assert all(one.text in texts for one in proof_sentences(open_shipped(), sentences).findings)


_OPEN: list[Materia] = []


def open_shipped() -> Materia:
    if not _OPEN:
        _OPEN.append(open_kept())
    return _OPEN[0]
