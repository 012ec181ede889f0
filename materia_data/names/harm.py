"""How grave it is to be handed a subject by mistake, from the safety columns alone."""

from materia_data.read.package import Package

_TOXIC = {"slight": 1, "toxic": 2, "very-toxic": 3}
_TRAITS = frozenset({"aristolochic-acid", "pyrrolizidine"})


def harms(package: Package) -> dict[str, int]:
    """0 nothing on record, 1 slightly toxic, 2 toxic, 3 very toxic, 4 withdrawn or with a constituent that destroys
    kidney or liver. A form is never less than its herb."""
    found: dict[str, int] = {}
    herbs = package.tables["herbs"].columns
    for id, grade, status, traits in zip(herbs["id"], herbs["toxicity"], herbs["status"], herbs["traits"], strict=True):
        grave = status == "withdrawn" or not _TRAITS.isdisjoint(traits.split(";"))
        found[id] = 4 if grave else _TOXIC.get(grade, 0)
    forms = package.tables["forms"].columns
    for id, herb, grade, traits in zip(forms["id"], forms["herb"], forms["toxicity"], forms["traits"], strict=True):
        own = 4 if not _TRAITS.isdisjoint(traits.split(";")) else _TOXIC.get(grade, 0)
        found[id] = max(own, found.get(herb, 0))
    return found
