"""What several checks ask about a subject."""

from materia_data.facts.facts import Facts


def herb_of(facts: Facts, subject: str) -> str:
    """The herb of a form; any other text itself."""
    return facts.herb_of(subject) if subject in facts.number else subject


def graded_toxic(facts: Facts) -> set[str]:
    """The subjects with a grade of toxicity above none, and those whose bare name means a form with one."""
    grades = facts.vocabularies["toxicities"]
    none = grades.rank("none") or 0.0
    numbers = set[int]()
    for kind, having in facts.by_kind("toxicity").items():
        rank = grades.rank(facts.entries.kinds[kind].value)
        if rank is not None and rank > none:
            numbers.update(having)
    toxic = {facts.subjects[number] for number in numbers}
    for kind, having in facts.by_kind("default-form").items():
        if facts.entries.kinds[kind].value in toxic:
            toxic.update(facts.subjects[number] for number in having)
    return toxic


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
