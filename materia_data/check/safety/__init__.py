"""The safety comparison: what a package states that keeps people from harm, and what another package makes of it.

`safety_facts` collects the compared set, `compare` lists every change between two, `safety_digest` tells whether two
are the same. May import `facts`, `read` and the rules of `check`. Source: semantics.md, 5.
"""

from materia_data.check.safety.change import EFFECTS, Change
from materia_data.check.safety.compare import compare
from materia_data.check.safety.gather import SafetySet, safety_digest, safety_facts

__all__ = ["EFFECTS", "Change", "SafetySet", "compare", "safety_digest", "safety_facts"]
