"""The one door round every verb: expected trouble in a sentence, surprises into a report file, never a traceback."""

import argparse
import gc
import os
import platform
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType
from typing import NoReturn

from materia_data.change.write import CannotWrite
from materia_data.cli.trouble import Trouble

REPORT = "materia-report.txt"


def through_the_door(module: ModuleType, verb: str, words: Sequence[str]) -> int:
    """Parse a verb's words and run it. Exit code as the verb says; 2 on trouble or surprise, 130 when interrupted."""
    parser = _Parser(
        prog=f"materia {verb}", description=module.__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    module.register(parser)
    gc.disable()  # the process ends with the verb, and collecting over millions of cells costs a third of its time
    try:
        return int(module.run(parser.parse_args(words)))
    except Trouble as trouble:
        sys.stderr.write(f"materia: {trouble}\n")
        return 2
    except CannotWrite as error:
        sys.stderr.write(f"materia: {error}\n")
        return 2
    except KeyboardInterrupt:
        sys.stderr.write("materia: interrupted\n")
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 2
    except Exception:
        return _surprise(verb)


def _surprise(verb: str) -> int:
    from materia_data import __version__

    versions = f"materia {__version__}, verb {verb}\nPython {platform.python_version()} on {platform.system()}"
    text = f"{versions}\n\n{traceback.format_exc()}"
    try:
        Path(REPORT).write_text(text, encoding="utf-8")
        where = f"{REPORT} has the details, and nothing of your data; please send it."
    except OSError:
        where = f"The details:\n{text}"
    sys.stderr.write(f"materia stopped at something we did not foresee. {where}\n")
    return 2


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        sys.stderr.write(f"{self.prog}: {message}\n`{self.prog} --help` tells what it takes.\n")
        raise SystemExit(2)
