"""A digest over the files of a data package, the same wherever the folder stands."""

from hashlib import sha256
from pathlib import Path

from materia_data.read.pending import place
from materia_data.read.schema import table_schemas


def digest(root: Path) -> str:
    """SHA-256 over the names and bytes of the table and rule files, in name order, as 64 hex digits. Missing files
    count as empty."""
    tables = [schema.path for schema in table_schemas().values()]
    names = sorted([*tables, *(f"rules/{path.name}" for path in (root / "rules").glob("*.toml"))])
    whole = sha256()
    for name in names:
        path = place(root, name)
        content = path.read_bytes() if path.is_file() and not path.is_symlink() else b""
        whole.update(f"{name}\0{len(content)}\0".encode())
        whole.update(content)
    return whole.hexdigest()
