"""The release id: which state of which data this is."""

from pathlib import Path

from materia_data.read.descriptor import data_version, released
from materia_data.read.digest import digest


def release_id(root: Path, whole: str = "") -> str:
    """The plain data version if the files are those of that release, `0.2.0`; else with the first eight hex digits of
    the digest over them, `0.2.0+1a2b3c4d`.

    whole: that digest, if it is known already. A release leaves the digest of its files in the descriptor.
    """
    whole = whole or digest(root)
    version = data_version(root)
    return version if whole == released(root) else f"{version}+{whole[:8]}"
