"""Imports run one way: read, facts, check, teach and change, cli; exporters import only the face."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MAY = {
    "read": set(),
    "facts": {"read"},
    "check": {"read", "facts"},
    "names": {"read", "check"},
    "teach": {"read", "facts", "check", "names"},
    "study": {"read", "facts", "check", "names", "teach"},
    "change": {"read", "facts", "check", "names", "exporting"},
    "exporting": {"read", "facts", "check", "teach"},
    "cli": {"read", "facts", "check", "teach", "change", "study", "exporting"},
}
FREE = {"problem", "places", "suggest", "materia", "kept", "find", "record", "columns", "testing", "notice"}
MODULES = {path.stem for path in (ROOT / "materia_data").iterdir() if path.name[0] != "_"}
FILES = sorted((ROOT / "materia_data").rglob("*.py"))


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            names.add(node.module)
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


@pytest.mark.parametrize("room", sorted(MAY))
def test_a_room_imports_only_the_rooms_before_it(room: str) -> None:
    """No module of a room imports from a room that comes after it or beside it."""
    for path in FILES:
        if path.relative_to(ROOT / "materia_data").parts[0] != room:
            continue
        seen = {name.split(".")[1] for name in imported(path) if name.startswith("materia_data.")} & MODULES
        wrong = seen - MAY[room] - {room} - FREE
        assert not wrong, f"{path.relative_to(ROOT)} imports {', '.join(sorted(wrong))}"


def test_read_and_facts_import_nothing_outside_the_standard_library() -> None:
    """The rooms that `check` and `load` stand on need no dependency."""
    import sys

    for path in FILES:
        if path.relative_to(ROOT / "materia_data").parts[0] in ("read", "facts", "check"):
            outside = {name.split(".")[0] for name in imported(path)} - {"materia_data"} - set(sys.stdlib_module_names)
            assert not outside, f"{path.relative_to(ROOT)} imports {', '.join(sorted(outside))}"


def test_exporters_import_only_the_face() -> None:
    """Built-in exporters use the outsiders' door: `from materia_data import …`, never a room."""
    for path in sorted((ROOT / "exporters").rglob("*.py")):
        inside = {name.split(".")[1] for name in imported(path) if name.startswith("materia_data.")} & MODULES - {
            "testing"
        }
        assert not inside, f"{path.relative_to(ROOT)} imports from {', '.join(sorted(inside))}"


def test_every_room_says_what_it_holds() -> None:
    """Each room has a docstring."""
    for room in MAY:
        path = ROOT / "materia_data" / room / "__init__.py"
        if path.exists():
            assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))), room
