"""Lines of notes, slides' text or captions that contradict the data, leave out what safety asks for, or name nobody.

FILE is Markdown, plain text, SRT, VTT or DOCX, in English or Chinese. Only plain claims are judged: a sentence that is
not listed is not approved.
Exit 0 when nothing is found, 1 when something contradicts or is left out, 2 if the file cannot be read.
"""

import argparse
from collections.abc import Iterator
from dataclasses import asdict
from itertools import groupby
from pathlib import Path

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.notice import TEACHING
from materia_data.teach.proof.proof import Finding, Proof, proof
from materia_data.teach.proof.proof_error import ProofError

_KINDS = {
    "contradiction": "contradicts the data",
    "omission": "leaves out",
    "unknown": "name not understood",
    "not-judged": "not judged",
}
_BASES = {"collated": "read in the source", "memory": "recalled", "common-practice": "common practice"}


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="notes or captions: .md .txt .srt .vtt .docx")
    parser.add_argument("--all", action="store_true", help="list the sentences that were not judged too")
    data_options(parser)


def run(args: argparse.Namespace) -> int:
    materia = open_data(args, kept=True)
    try:
        found = proof(materia, Path(args.file), every=args.all)
    except ProofError as error:
        raise Trouble(str(error)) from None
    answer(args, lambda: asdict(found), lambda: "\n".join(_text(found)) + "\n")
    return 1 if found.grave else 0


def _text(found: Proof) -> Iterator[str]:
    for (line, text), findings in groupby(found.findings, key=lambda one: (one.line, one.text)):
        yield f"line {line}: {text}"
        yield from (f"  {_KINDS[one.kind]}: {_about(one)}" for one in findings)
    if found.findings:
        yield ""
    yield (
        f"{_count(found.sentences, 'sentence')}; {_count(found.judged, 'claim')} judged, {found.kept} in keeping with "
        "the data"
    )
    if found.not_judged:
        verbs = "names a medicinal and was" if found.not_judged == 1 else "name a medicinal and were"
        yield f"{_count(found.not_judged, 'sentence')} {verbs} not judged, which is no approval"
    yield TEACHING


def _count(number: int, what: str) -> str:
    return f"{number:,} {what}{'' if number == 1 else 's'}"


def _about(one: Finding) -> str:
    named = f"{one.name} [{one.subject}]" if one.subject else one.name
    named += f", heard in “{one.heard}”" if one.heard else ""
    word = ", ".join(filter(None, (f"{one.source} {one.locator}".strip(), _BASES.get(one.basis, ""))))
    return f"{named}, {one.claim}; on record: {one.fact} ({word})" if one.fact else named
