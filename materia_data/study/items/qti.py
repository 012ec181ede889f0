"""Items as a QTI 3.0 package: a manifest, a test for each version, a file for each item.

The key is in the item, where QTI has it. Why an option is right or wrong, and what that rests on, stand in the manifest
alone, which no student is shown.
"""

import io
import zipfile
from collections.abc import Iterable
from hashlib import sha256
from string import ascii_uppercase
from xml.sax.saxutils import escape, quoteattr

from materia_data.notice import LICENCE, TEACHING
from materia_data.study.items.choose import Quiz, Version
from materia_data.study.items.item import Item, claim_text

ITEM = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
PACKAGE = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
RESTS = "https://materia-data.example/ns/item"
_SCORED_BY = "https://purl.imsglobal.org/spec/qti/v3p0/rptemplates/match_correct.xml"
_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


def quiz_qti(quiz: Quiz) -> bytes:
    """The package as a zip: imsmanifest.xml, test-A.xml and so on, items/ID.xml; the same bytes for the same quiz."""
    files = {"imsmanifest.xml": _manifest(quiz)}
    for version in quiz.versions:
        files[f"test-{version.letter}.xml"] = _test(quiz, version)
        for number, item in enumerate(version.items, 1):
            files[_path(item)] = _item(quiz, item, f"{version.letter} {number}")
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files.items():
            entry = zipfile.ZipInfo(name)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, text)
    return out.getvalue()


def _path(item: Item) -> str:
    return f"items/{item.id}.xml"


def _item(quiz: Quiz, item: Item, title: str) -> str:
    choices = "".join(
        f'      <qti-simple-choice identifier="{letter}">{escape(option.text)}</qti-simple-choice>\n'
        for letter, option in zip(ascii_uppercase, item.options, strict=False)
    )
    return (
        f'{_HEAD}<qti-assessment-item xmlns="{ITEM}" identifier={quoteattr(item.id)} title={quoteattr(title)} '
        'adaptive="false" time-dependent="false" xml:lang="en">\n'
        '  <qti-response-declaration identifier="RESPONSE" cardinality="single" base-type="identifier">\n'
        f"    <qti-correct-response><qti-value>{ascii_uppercase[item.key]}</qti-value></qti-correct-response>\n"
        "  </qti-response-declaration>\n"
        '  <qti-outcome-declaration identifier="SCORE" cardinality="single" base-type="float">\n'
        "    <qti-default-value><qti-value>0</qti-value></qti-default-value>\n"
        "  </qti-outcome-declaration>\n"
        "  <qti-item-body>\n"
        '    <qti-choice-interaction response-identifier="RESPONSE" shuffle="false" max-choices="1">\n'
        f"      <qti-prompt>{escape(item.stem)}</qti-prompt>\n"
        f"{choices}"
        "    </qti-choice-interaction>\n"
        f"    <p>{escape(_foot(quiz))}</p>\n"
        "  </qti-item-body>\n"
        f'  <qti-response-processing template="{_SCORED_BY}"/>\n'
        "</qti-assessment-item>\n"
    )


def _test(quiz: Quiz, version: Version) -> str:
    title = f"{quiz.title}, version {version.letter}" if len(quiz.versions) > 1 else quiz.title
    refs = "".join(
        f'      <qti-assessment-item-ref identifier="{item.id}" href="{_path(item)}"/>\n' for item in version.items
    )
    return (
        f'{_HEAD}<qti-assessment-test xmlns="{ITEM}" identifier="test-{version.letter}" title={quoteattr(title)}>\n'
        '  <qti-test-part identifier="part" navigation-mode="nonlinear" submission-mode="simultaneous">\n'
        f'    <qti-assessment-section identifier="section" title={quoteattr(title)} visible="true">\n'
        f"{refs}"
        "    </qti-assessment-section>\n  </qti-test-part>\n</qti-assessment-test>\n"
    )


def _manifest(quiz: Quiz) -> str:
    made = [item for version in quiz.versions for item in version.items]
    name = sha256(" ".join([quiz.release, quiz.seed, *(item.id for item in made)]).encode()).hexdigest()[:16]
    tests = "".join(_test_resource(version) for version in quiz.versions)
    return (
        f'{_HEAD}<manifest xmlns="{PACKAGE}" xmlns:m="{RESTS}" identifier="quiz-{name}">\n'
        "  <metadata>\n    <schema>QTI Package</schema>\n    <schemaversion>3.0.0</schemaversion>\n"
        f"    <m:source>{escape(_foot(quiz))}</m:source>\n  </metadata>\n"
        f"  <organizations/>\n  <resources>\n{tests}{''.join(map(_item_resource, made))}  </resources>\n</manifest>\n"
    )


def _test_resource(version: Version) -> str:
    name = f"test-{version.letter}.xml"
    needs = "".join(f'      <dependency identifierref="{item.id}"/>\n' for item in version.items)
    return (
        f'    <resource identifier="resource-{version.letter}" type="imsqti_test_xmlv3p0" href="{name}">\n'
        f'      <file href="{name}"/>\n{needs}    </resource>\n'
    )


def _item_resource(item: Item) -> str:
    return (
        f'    <resource identifier="{item.id}" type="imsqti_item_xmlv3p0" href="{_path(item)}">\n'
        f"      <metadata>\n        <m:item kind={quoteattr(item.kind)}>\n{_rests(item)}        </m:item>\n"
        f'      </metadata>\n      <file href="{_path(item)}"/>\n    </resource>\n'
    )


def _rests(item: Item) -> str:
    lines: Iterable[str] = (
        f'          <m:option choice="{letter}" claim={quoteattr(claim_text(option.claim))}>'
        f"{escape(option.why)}</m:option>\n"
        for letter, option in zip(ascii_uppercase, item.options, strict=False)
    )
    return "".join([*lines, *(f"          <m:fact>{escape(fact)}</m:fact>\n" for fact in item.facts)])


def _foot(quiz: Quiz) -> str:
    return f"materia-data, release {quiz.release}, {quiz.signed}, {LICENCE}. {TEACHING}"
