"""Parquet: one typed file a table; `medicinals`, one row a herb or form with what is effective of it.

Each file carries release, licence, the teaching line and its own description as metadata, each column its title.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.parquet as pq

from materia_data import LICENCE, TEACHING, table_schemas
from materia_exporters.parquet.medicinals import MEDICINALS, medicinals

if TYPE_CHECKING:
    from materia_data import Materia


def export(materia: "Materia", out: Path, options: Mapping[str, str]) -> None:
    """Write every table of the package, empty ones too, and the wide one, as zstd-compressed Parquet."""
    tables = {name: materia.arrow(name) for name in table_schemas()}
    for name, schema in table_schemas().items():
        _write(tables[name], out / f"{name}.parquet", materia, f"{schema.title}. {schema.description}", schema.key)
    _write(medicinals(materia, tables), out / "medicinals.parquet", materia, MEDICINALS, ("id",))


export.summary = "every table typed, and one row a medicinal or form with what is effective"  # type: ignore[attr-defined]


def _write(table: pa.Table, path: Path, materia: "Materia", description: str, key: tuple[str, ...]) -> None:
    about = {
        "release": materia.release_id,
        "signed_off": materia.signed_off,
        "licence": LICENCE,
        "note": TEACHING,
        "description": description,
        "key": ",".join(key),
    }
    pq.write_table(table.replace_schema_metadata(about), path, compression="zstd")
