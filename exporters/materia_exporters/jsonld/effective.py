"""What holds of a subject beside what its own rows state: a form is said to have the safety it has from its herb."""

from typing import TYPE_CHECKING, Any

from materia_exporters.jsonld.address import address, reference

if TYPE_CHECKING:
    from materia_data import Fact, Materia

Statements = dict[str, dict[str, Any]]


def effective(materia: "Materia") -> Statements:
    """By a subject's address: effective cautions and controls (rows), toxicity, opposed subjects, topics open."""
    facts = materia.facts
    topics = materia.package.tables["topics"].columns["id"]
    row = _Rows(materia)
    found: Statements = {}
    for subject in facts.subjects:
        cautions, controls = facts.of(subject, "caution"), facts.of(subject, "control")
        checked = {value for fact in cautions for key, value in fact.qualifiers if key == "topic"}
        said = {
            "m:effectiveCaution": [row.address(fact) for fact in cautions],
            "m:effectiveControl": [row.address(fact) for fact in controls],
            "m:effectiveToxicity": [address("toxicities", [fact.value]) for fact in facts.of(subject, "toxicity")],
            "m:opposes": [reference(materia, ("herbs", "forms"), fact.value) for fact in facts.of(subject, "opposes")],
            "m:notChecked": [address("topics", [topic]) for topic in topics if topic not in checked],
        }
        found[address(facts.kind(subject), [subject])] = {
            term: [{"@id": each} for each in sorted(set(values))] for term, values in said.items() if values
        }
    return found


def not_confirmed(materia: "Materia") -> Statements:
    """By a row's address: predicates whose value there does not hold, being looser than the herb's, not confirmed."""
    row = _Rows(materia)
    found: dict[str, set[str]] = {}
    for fact in materia.facts.looser:
        found.setdefault(row.address(fact), set()).add(fact.predicate)
    return {place: {"m:notConfirmed": sorted(names)} for place, names in found.items()}


class _Rows:
    """From facts to the addresses of the rows they were read from."""

    def __init__(self, materia: "Materia") -> None:
        self._tables = materia.package.tables

    def address(self, fact: "Fact") -> str:
        table = self._tables[fact.table]
        row = table.row_at(fact.file, fact.line)
        return address(fact.table, [table.columns[column][row] for column in table.schema.key])
