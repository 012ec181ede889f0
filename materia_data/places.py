"""Where the shipped data and schemas stand: inside a wheel, or in a checkout."""

from pathlib import Path

_HERE = Path(__file__).resolve().parent


def data_root() -> Path:
    """The folder of the shipped data package."""
    return _shipped("datapackage")


def schema_root() -> Path:
    """The folder of the schemas that the installed code goes by."""
    return _shipped("schemas")


def _shipped(name: str) -> Path:
    inside = _HERE / "_data" / name
    return inside if inside.is_dir() else _HERE.parent / name
