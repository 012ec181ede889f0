"""The Chinese materia medica as checked data: `from materia_data import load`.

Everything an exporter or a caller may use is named here and loaded when first used.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from materia_data.check.measure import Measure as Measure
    from materia_data.check.measure import measure_all as measure_all
    from materia_data.check.rules import Rule as Rule
    from materia_data.check.rules import read_rules as read_rules
    from materia_data.facts.fact import Fact as Fact
    from materia_data.facts.facts import Facts as Facts
    from materia_data.facts.pattern import PatternError as PatternError
    from materia_data.materia import Materia as Materia
    from materia_data.materia import load as load
    from materia_data.notice import LICENCE as LICENCE
    from materia_data.notice import TEACHING as TEACHING
    from materia_data.places import schema_root as schema_root
    from materia_data.problem import Problem as Problem
    from materia_data.read.schema import TableSchema as TableSchema
    from materia_data.read.schema import table_schemas as table_schemas
    from materia_data.teach.explain import Explained as Explained
    from materia_data.teach.explain import Explanation as Explanation
    from materia_data.teach.explain import Property as Property
    from materia_data.teach.explain import Reason as Reason
    from materia_data.teach.explain import explain as explain
    from materia_data.teach.explain import explain_all as explain_all

_HOME = {
    "Explanation": ".teach.explain",
    "Explained": ".teach.explain",
    "Fact": ".facts.fact",
    "Facts": ".facts.facts",
    "LICENCE": ".notice",
    "Materia": ".materia",
    "Measure": ".check.measure",
    "PatternError": ".facts.pattern",
    "Problem": ".problem",
    "Property": ".teach.explain",
    "Reason": ".teach.explain",
    "Rule": ".check.rules",
    "TEACHING": ".notice",
    "TableSchema": ".read.schema",
    "explain": ".teach.explain",
    "explain_all": ".teach.explain",
    "load": ".materia",
    "measure_all": ".check.measure",
    "read_rules": ".check.rules",
    "schema_root": ".places",
    "table_schemas": ".read.schema",
}
__all__ = sorted(_HOME)
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"materia_data offers {', '.join(__all__)}; not {name}")
    return getattr(import_module(_HOME[name], __name__), name)


def __dir__() -> list[str]:
    return __all__
