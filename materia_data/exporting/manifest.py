"""manifest.json: what an output folder holds, of which release, and whether it still stands as it was written."""

import json
from collections import Counter
from dataclasses import asdict
from hashlib import sha256
from pathlib import Path
from typing import Any

from materia_data.check.safety import safety_digest
from materia_data.exporting.listing import Exporter
from materia_data.exporting.place import files_in
from materia_data.materia import Materia
from materia_data.notice import LICENCE, TEACHING

MANIFEST = "manifest.json"
_MADE_WITH = "materia export"


def describe(materia: Materia) -> dict[str, Any]:
    """What every manifest says of the data: release, counts, and the digest over the safety facts."""
    facts = materia.facts
    counts: Counter[str] = Counter(facts.kind(subject) for subject in facts.subjects)
    counts["cautions"] = sum(len(entries) for entries in facts.effective_entries["caution"].values())
    return {
        "made_with": _MADE_WITH,
        "release": materia.release_id,
        "data_version": materia.package.version,
        "signed_off": materia.signed_off,
        **({"layers": _layers(materia), "loosened": _loosened(materia)} if materia.layers else {}),
        "counts": {key: counts[key] for key in ("herbs", "forms", "formulas", "cautions")},
        "safety_sha256": safety_digest(materia),
        "licence": LICENCE,
        "note": TEACHING,
    }


def _layers(materia: Materia) -> list[dict[str, str]]:
    return [{key: getattr(layer, key) for key in ("id", "title", "base", "digest")} for layer in materia.layers]


def _loosened(materia: Materia) -> list[dict[str, Any]]:
    """What the layers weaken or hide, so that no output can leave it out."""
    return [{key: value for key, value in asdict(one).items() if value != ""} for one in materia.all_loosened]


def write_manifest(folder: Path, exporter: Exporter, about: dict[str, Any]) -> dict[str, Any]:
    """Add manifest.json to a finished folder and return it. Raises ValueError if it holds what no output may."""
    paths = files_in(folder)
    if MANIFEST in paths:
        raise ValueError(f"it wrote {MANIFEST} itself, which is the host's to write")
    if not paths:
        raise ValueError("it wrote no file")
    files = [
        {"path": path, "bytes": (folder / path).stat().st_size, "sha256": _sha256(folder / path)} for path in paths
    ]
    made_by = {"exporter": exporter.name, "distribution": exporter.distribution, "version": exporter.version}
    manifest = {**made_by, **about, "files": files}
    text = json.dumps(manifest, ensure_ascii=False, indent=1) + "\n"
    (folder / MANIFEST).write_text(text, encoding="utf-8", newline="\n")
    return manifest


def whole(folder: Path) -> bool:
    """Whether the folder holds a manifest, and exactly the files it names, byte for byte."""
    manifest = _read(folder)
    if manifest is None:
        return False
    try:
        paths = files_in(folder)
    except ValueError:
        return False
    named = {file["path"]: file["sha256"] for file in manifest["files"]}
    return sorted([*named, MANIFEST]) == paths and all(
        _sha256(folder / path) == digest for path, digest in named.items()
    )


def not_ours(folder: Path, name: str) -> str:
    """Why the output `name` must not replace the folder, or "" if it is free, empty or an output of that name."""
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        return "is not a folder"
    if not folder.exists() or not any(folder.iterdir()):
        return ""
    manifest = _read(folder)
    if manifest is None or manifest["exporter"] != name:
        return f"holds files and no manifest of {name}: it is not an output of this exporter"
    known = {MANIFEST, *(file["path"] for file in manifest["files"])}
    found = {
        path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_symlink() or not path.is_dir()
    }
    strange = sorted(found - known)
    if not strange:
        return ""
    return f"holds {strange[0]}{' and other files' if len(strange) > 1 else ''}, which the export did not write"


def _read(folder: Path) -> dict[str, Any] | None:
    path = folder / MANIFEST
    try:
        manifest = json.loads(path.read_bytes()) if path.is_file() and not path.is_symlink() else None
    except (ValueError, RecursionError):
        return None
    if not isinstance(manifest, dict) or manifest.get("made_with") != _MADE_WITH or "exporter" not in manifest:
        return None
    files = manifest.get("files")
    if not isinstance(files, list) or not all(
        isinstance(file, dict) and {"path", "sha256"} <= file.keys() for file in files
    ):
        return None
    return manifest


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        digest = sha256()
        while block := file.read(1 << 20):
            digest.update(block)
    return digest.hexdigest()
