"""The QTI 3.0 package: held to our RELAX NG, stepped down to 2.1 by another's converter, answered in two players."""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from lxml import etree
from playwright.sync_api import Browser
from qti_convert import convert_manifest_to_qti21, convert_qti3_to_qti21

from materia_data.materia import load
from materia_data.places import schema_root
from materia_data.study.items.choose import Quiz, items
from materia_data.study.items.item import Item, claim_text
from materia_data.study.items.kinds import NAMES
from materia_data.study.items.qti import ITEM, quiz_qti
from tests.little import little
from tests.study.players import PlayerOfAmpUp, PlayerOfCito, fetched

NS = {"q": ITEM}
OLD = {"q": "http://www.imsglobal.org/xsd/imsqti_v2p1"}


@pytest.fixture(scope="module")
def quiz() -> Quiz:
    """One item of each kind, in each of two versions."""
    return items(load(), count=len(NAMES), versions=2, seed="package")


@pytest.fixture(scope="module")
def files(quiz: Quiz) -> dict[str, bytes]:
    return _files(quiz)


def _files(quiz: Quiz) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(quiz_qti(quiz))) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _schema(name: str) -> etree.RelaxNG:
    return etree.RelaxNG(etree.parse(schema_root() / "qti" / f"{name}.rng"))


def _made(quiz: Quiz) -> list[Item]:
    return [item for version in quiz.versions for item in version.items]


def test_every_file_is_what_the_schemas_say(files: dict[str, bytes]) -> None:
    """Manifest, tests and items, each by its own RELAX NG (ISO/IEC 19757-2, by the library lxml)."""
    schemas = {name: _schema(name) for name in ("manifest", "test", "item")}
    seen = set()
    for name, text in files.items():
        kind = {"imsmanifest.xml": "manifest", "test-A.xml": "test", "test-B.xml": "test"}.get(name, "item")
        seen.add(kind)
        schemas[kind].assertValid(etree.fromstring(text))
    assert seen == set(schemas) and len(files) == 3 + 2 * len(NAMES)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("</qti-value></qti-correct-response>", "</qti-value><qti-value>B</qti-value></qti-correct-response>"),
        ('identifier="D"', 'identifier="C"'),
        ('max-choices="1"', 'max-choices="2"'),
        ("match_correct.xml", "map_response.xml"),
        ("<qti-prompt>", "<qti-prompt><b>x</b>"),
        ('adaptive="false"', ""),
    ],
)
def test_the_schema_refuses_an_item_that_is_spoilt(old: str, new: str, files: dict[str, bytes]) -> None:
    """Two keys, an option twice, several choices, another scoring, markup in the question, a missing attribute."""
    text = next(text for name, text in files.items() if name.startswith("items/")).decode()
    assert old in text
    assert not _schema("item").validate(etree.fromstring(text.replace(old, new, 1).encode()))


def test_the_manifest_names_every_file_and_no_other(files: dict[str, bytes], quiz: Quiz) -> None:
    """Each href is in the package and each file has a resource; each test needs its version's items, in order."""
    manifest = etree.fromstring(files["imsmanifest.xml"])
    hrefs = [one.get("href") for one in manifest.iter("{*}resource")]
    assert sorted([*hrefs, "imsmanifest.xml"]) == sorted(files)
    for version in quiz.versions:
        refs = etree.fromstring(files[f"test-{version.letter}.xml"]).iter("{*}qti-assessment-item-ref")
        ids = [item.id for item in version.items]
        assert [one.get("identifier") for one in refs] == ids
        (test,) = (one for one in manifest.iter("{*}resource") if one.get("href") == f"test-{version.letter}.xml")
        assert [one.get("identifierref") for one in test.iter("{*}dependency")] == ids


def test_what_the_items_rest_on_is_in_the_manifest_and_not_in_what_students_see(
    files: dict[str, bytes], quiz: Quiz
) -> None:
    """Each option's claim and reason and each fact stand in the manifest; no item file has a reason or a claim."""
    manifest = etree.fromstring(files["imsmanifest.xml"])
    for item in _made(quiz):
        (resource,) = (one for one in manifest.iter("{*}resource") if one.get("identifier") == item.id)
        options = [(one.get("claim"), one.text) for one in resource.iter("{*}option")]
        assert options == [(claim_text(option.claim), option.why) for option in item.options]
        assert [one.text for one in resource.iter("{*}fact")] == list(item.facts)
        shown = etree.fromstring(files[f"items/{item.id}.xml"])
        said = " ".join(shown.itertext())
        assert not [option.why for option in item.options if option.why.rstrip(".") in said]
        assert not shown.xpath("//@*[contains(., '|')]")


def test_the_same_quiz_gives_the_same_bytes(quiz: Quiz) -> None:
    """Twice, to the byte."""
    assert quiz_qti(quiz) == quiz_qti(quiz)


def test_marks_in_names_stay_text(tmp_path: Path) -> None:
    """A term called `<b>&"x` is read back as it was."""
    evil = '<b>&"x'
    made = load(little(tmp_path / "package", natures=[{"id": "warm", "name_en": evil}]))
    text = _files(items(made, kinds=["property"], count=25))
    choices = [
        one.text
        for name, file in text.items() if name.startswith("items/")
        for one in etree.fromstring(file).iter("{*}qti-simple-choice")
    ]  # fmt: skip
    assert evil in choices


def test_another_converter_steps_it_down_to_the_older_standard(files: dict[str, bytes], quiz: Quiz) -> None:
    """citolab-qti-convert makes QTI 2.1 of every item and of the manifest: same question, options and key, nothing
    warned of, no element of 3.0 left."""
    for item in _made(quiz):
        stepped = convert_qti3_to_qti21(files[f"items/{item.id}.xml"].decode())
        old = etree.fromstring(stepped.xml.encode())
        assert not stepped.warnings
        assert old.tag == f"{{{OLD['q']}}}assessmentItem" and not old.xpath("//*[starts-with(local-name(), 'qti-')]")
        assert old.findtext(".//q:prompt", namespaces=OLD) == item.stem
        assert [one.text for one in old.iter("{*}simpleChoice")] == [option.text for option in item.options]
        assert old.findtext(".//q:correctResponse/q:value", namespaces=OLD) == "ABCD"[item.key]
    manifest = convert_manifest_to_qti21(files["imsmanifest.xml"].decode())
    text = manifest if isinstance(manifest, str) else manifest.xml
    assert "imsqti_item_xmlv2p1" in text and "v3p0" not in text


def test_two_open_players_score_right_and_wrong(
    browser: Browser, files: dict[str, bytes], quiz: Quiz, record_property: Callable[[str, object], None]
) -> None:
    """One item of each kind, clicked in Chromium: the right option gives 1 and a wrong one 0 in both players, which
    show the question and every option."""
    fetched()
    answered = 0
    for player in (PlayerOfCito(browser), PlayerOfAmpUp(browser)):
        for item in quiz.versions[0].items:
            text = files[f"items/{item.id}.xml"].decode()
            right = item.options[item.key].text
            wrong = next(option.text for option in item.options if not option.right)
            shown, score = player.score(text, right)
            assert score == 1 and item.stem in shown
            assert all(option.text in shown for option in item.options)
            assert player.score(text, wrong)[1] == 0
            answered += 2
    record_property("sample", f"{answered} answers in two players, half of them right")
    assert answered == 4 * len(NAMES)
