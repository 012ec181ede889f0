"""What several checks ask about a subject."""

from materia_data.facts.facts import Facts


def herb_of(facts: Facts, subject: str) -> str:
    """The herb of a form; any other text itself."""
    return facts.herb_of(subject) if subject in facts.number else subject


def graded_toxic(facts: Facts, subject: str) -> bool:
    """Whether the subject, or the form that its bare name means, has a grade of toxicity above none."""
    if subject not in facts.number:
        return False
    return any(_above_none(facts, one) for one in {subject, facts.default_form(subject)})


def withdrawn(facts: Facts, subject: str) -> bool:
    """Whether the medicinal is withdrawn from use."""
    herb = herb_of(facts, subject)
    return "withdrawn" in values(facts, herb, "status")


def values(facts: Facts, subject: str, predicate: str) -> set[str]:
    """The values that hold of the subject."""
    number = facts.number.get(subject)
    if number is None:
        return set()
    found = (facts.entries.kind(entry) for entry in facts.effective_entries[predicate].get(number, ()))
    return {kind.value for kind in found if kind.stated}


def _above_none(facts: Facts, subject: str) -> bool:
    grades = facts.vocabularies["toxicities"]
    none = grades.rank("none") or 0.0
    ranks = (grades.rank(value) for value in values(facts, subject, "toxicity"))
    return any(rank is not None and rank > none for rank in ranks)
