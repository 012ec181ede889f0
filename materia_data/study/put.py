"""A file that appears whole or not at all."""

import os
import tempfile
from pathlib import Path


def put(path: Path, content: bytes) -> None:
    """Write beside the file, flush to disk, put it in its place in one step. OSError: what stood there still does."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".new")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        Path(name).chmod(0o666 & ~_mask())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _mask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
