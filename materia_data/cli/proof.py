"""Lines of notes, slides' text or captions that contradict the data, leave out what safety asks for, or name nobody.

FILE is Markdown, plain text, SRT, VTT or DOCX, in English or Chinese. Only plain claims are judged: a sentence that is
not listed is not approved.
Exit 0 when nothing is found, 1 when something contradicts or is left out, 2 if the file cannot be read.
"""

import argparse
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from materia_data.cli.answer import answer, data_options, open_data
from materia_data.cli.trouble import Trouble
from materia_data.notice import TEACHING
from materia_data.teach.proof.proof import Finding, Proof, proof
from materia_data.teach.proof.reading import ProofError

_WORDS = {
    "contradiction": "contradicts the data",
    "omission": "leaves out",
    "unknown": "name not understood",
    "not-judged": "not judged",
}


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
    for finding in found.findings:
        yield f"{finding.line}: {_WORDS[finding.kind]}: {_about(finding)}".rstrip(": ")
        yield f"   {finding.text}"
        if finding.fact:
            yield f"   the data: {finding.fact} ({_word(finding)})"
    if found.findings:
        yield ""
    yield f"{found.sentences} sentences; {found.judged} claims judged, {found.kept} in keeping with the data"
    if found.not_judged:
        yield f"{found.not_judged} sentences name a medicinal and were not judged, which is no approval"
    yield TEACHING


def _about(finding: Finding) -> str:
    heard = f", heard in {finding.heard}" if finding.heard else ""
    return f"{finding.name} [{finding.subject}]{heard}" if finding.subject else finding.name


def _word(finding: Finding) -> str:
    return " ".join(filter(None, (finding.source, finding.locator, finding.basis.replace("-", " "))))
