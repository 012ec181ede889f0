"""Fetch the two open QTI players that the tests answer items in: `python tools/players.py`.

Pinned versions from the npm registry, by `npm pack`, into .cache/players. They are only tested with, never shipped.
"""

import shutil
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

FOLDER = Path(__file__).parents[1] / ".cache" / "players"
PINNED = {
    "qti3-item-player@1.1.20": "12e01ecc72b1d19c70e0712ebfa31c6b9ee9cf342bd71d27bfc143b0fc636936",
    "vue@2.7.16": "4f17d3265ff02a297224db426cc6a36c168b7f788f67de9440823432c75e3bd9",
    "@citolab/qti-components@7.27.4": "987050c94aa5bebb9509a49b4fb4122103390b51934ace26102e4619ccb482ac",
}


def packed(name: str) -> Path:
    """Where npm puts the package: `@a/b@1` becomes a-b-1.tgz."""
    return FOLDER / (name.removeprefix("@").replace("/", "-").replace("@", "-") + ".tgz")


def wrong() -> list[str]:
    """The packages that are missing, or are not the pinned ones."""
    return [
        name for name, digest in PINNED.items()
        if not packed(name).is_file() or sha256(packed(name).read_bytes()).hexdigest() != digest
    ]  # fmt: skip


def main() -> int:
    FOLDER.mkdir(parents=True, exist_ok=True)
    missing = wrong()
    npm = shutil.which("npm")
    if missing and npm is None:
        sys.stderr.write("The QTI players come from the npm registry; npm is missing. On Debian: apt-get install npm\n")
        return 1
    if missing:
        done = subprocess.run([str(npm), "pack", "--silent", *missing], cwd=FOLDER, capture_output=True, text=True)
        sys.stderr.write(done.stderr)
    if missing := wrong():
        sys.stderr.write(f"Not fetched, or not what was pinned: {', '.join(missing)}, in {FOLDER}\n")
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
