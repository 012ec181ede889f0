"""One digest over all effective safety facts: two outputs with the same digest say the same of safety."""

from hashlib import sha256

from materia_data.facts.facts import Facts


def safety_digest(facts: Facts) -> str:
    """SHA-256, as 64 hex digits, over every effective fact of a predicate that counts for safety.

    Each is a line of subject, predicate, value, qualifiers and polarity, parted by tabs; the lines are sorted.
    """
    lines = set()
    for name, predicate in facts.predicates.items():
        if predicate.safety == "no":
            continue
        for number, entries in facts.effective_entries[name].items():
            for entry in entries:
                kind = facts.entries.kind(entry)
                qualifiers = ";".join(f"{key}={value}" for key, value in kind.qualifiers)
                polarity = "stated" if kind.stated else "stated not"
                lines.add("\t".join((facts.subjects[number], name, kind.value, qualifiers, polarity)))
    return sha256("\n".join(sorted(lines)).encode()).hexdigest()
