"""Telling a git repository to merge tables by record and cell: two lines of its settings, one of .gitattributes."""

import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from materia_data.change.merge import MergeError
from materia_data.change.write import write_whole

_LINE = "*.csv merge=materia"


@dataclass(frozen=True, slots=True)
class SetUp:
    """What was set. config: the repository's configuration file; attributes: the file that names what is merged so;
    added: whether the line was added there (else it stood there already)."""

    config: str
    attributes: str
    added: bool


def set_up(folder: Path) -> SetUp:
    """Set the merge driver up for the repository that the folder stands in. Raises MergeError, OSError."""
    top = Path(_git(folder, "rev-parse", "--show-toplevel"))
    driver = f'"{sys.executable}" -P -m materia_data merge %O %A %B %P'
    _git(top, "config", "--local", "merge.materia.name", "tables, by record and cell")
    _git(top, "config", "--local", "merge.materia.driver", driver)
    attributes = top / ".gitattributes"
    text = attributes.read_text(encoding="utf-8") if attributes.is_file() else ""
    there = any("merge=materia" in line.split() for line in text.splitlines())
    if not there:
        begun = text if not text or text.endswith("\n") else f"{text}\n"
        write_whole(attributes, f"{begun}{_LINE}\n")
    config = Path(_git(top, "rev-parse", "--git-path", "config"))
    return SetUp(str(config if config.is_absolute() else top / config), str(attributes), not there)


def _git(folder: Path, *words: str) -> str:
    try:
        done = subprocess.run(["git", *words], cwd=folder, capture_output=True, text=True, check=False)
    except OSError:
        raise MergeError("git is not installed, and it is git that asks for merges.") from None
    if done.returncode:
        raise MergeError(f"{folder} is in no git repository. Go into the one that holds the data.")
    return done.stdout.strip()
