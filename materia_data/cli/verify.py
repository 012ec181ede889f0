"""Whether a released archive, a wheel or a release folder holds exactly what was released.

Exit 0 when every file is what its checksum says, 1 when one differs, is missing, extra or unsafe, 2 when it could not
run.
"""

import argparse
from dataclasses import asdict
from pathlib import Path

from materia_data.change.verify import Verified, verify
from materia_data.check.report import visible
from materia_data.cli.answer import answer
from materia_data.cli.trouble import Trouble

_TODO = "Do not take it for the release: fetch it again where it was published, and compare SHA256SUMS with that there."


def register(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("archive", metavar="ARCHIVE", help="a .tar.gz, .zip or .whl, or the folder of a release")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="how to answer (default: text)")


def run(args: argparse.Namespace) -> int:
    try:
        found = verify(Path(args.archive))
    except FileNotFoundError:
        raise Trouble(f"there is no file or folder {args.archive}. Name an archive of a release.") from None
    except OSError as error:
        raise Trouble(f"{args.archive} cannot be read: {(error.strerror or str(error)).lower()}.") from None
    answer(args, lambda: asdict(found), lambda: _text(found))
    return int(bool(found.findings))


def _text(found: Verified) -> str:
    lines = [f"{visible(one.file)}  {one.kind.upper()}: {visible(one.message)}" for one in found.findings]
    number = f"{found.files} file{'' if found.files == 1 else 's'}"
    told = f"{number}, each as its checksum says" if not lines else f"{number} looked at, {len(lines)} wrong"
    todo = [_TODO] if lines else []
    return "\n".join([*lines, f"{visible(found.archive)}: {told}", *todo]) + "\n"
