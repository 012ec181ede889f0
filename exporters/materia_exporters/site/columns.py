"""Which column of a row a correction is most likely about."""

from functools import cache

from materia_data import table_schemas

_PROVENANCE = ("source", "locator", "basis")


@cache
def columns_of(file: str) -> tuple[str, ...]:
    """The columns of the table in this file, of the base or a layer, that say something of what its key names."""
    path = file.rpartition(":")[2]
    schema = next(schema for schema in table_schemas().values() if schema.path == path)
    return tuple(name for name in schema.by_name if name not in schema.key)


def column_of(file: str) -> str:
    """The column that a row of the table in this file is there for: the first that is neither key nor source."""
    return next((name for name in columns_of(file) if name not in _PROVENANCE), columns_of(file)[0])
