"""SHA256SUMS: a line a file, its digest, two spaces and its name, as `sha256sum -c` reads it."""

import re
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path

FILE = "SHA256SUMS"
_LINE = re.compile(r"([0-9a-f]{64}) [ *](.+)")


def sums_text(digests: Mapping[str, str]) -> str:
    """The file's text, by name. digests: 64 hex digits by file name, with `/`."""
    return "".join(f"{digests[name]}  {name}\n" for name in sorted(digests))


def read_sums(raw: bytes) -> dict[str, str]:
    """Digests by file name. Raises ValueError naming the first line that is none, or a name that stands twice."""
    found: dict[str, str] = {}
    for number, line in enumerate(raw.decode("utf-8").splitlines(), 1):
        parts = _LINE.fullmatch(line)
        if not parts or parts[2] in found:
            raise ValueError(f"line {number} of {FILE} is no digest with a name of its own")
        found[parts[2]] = parts[1]
    return found


def file_sha256(path: Path) -> str:
    """The digest of a file as 64 hex digits."""
    with path.open("rb") as file:
        digest = sha256()
        while block := file.read(1 << 20):
            digest.update(block)
    return digest.hexdigest()
