"""Who a pattern of our own is true of, in a package that may lack its words."""

from materia_data.facts.facts import Facts
from materia_data.facts.match import Truth, match
from materia_data.facts.pattern import PatternError, parse


def holders(facts: Facts, text: str) -> Truth:
    """The truth of a pattern; of nobody where the package's vocabularies have no such value."""
    try:
        return match(parse(text, facts), facts)
    except PatternError:
        return Truth(set(), set())
